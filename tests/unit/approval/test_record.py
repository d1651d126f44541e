"""The record of an approval: one spelling, a seal over every byte, and a signature that only its key can make."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import replace

import pytest

from briefgen.approval.record import SEAL, ApprovalRecord, RecordError, read_record, record_bytes
from briefgen.approval.signing import is_signed, public_text, signature_bytes
from briefgen.model.approval import Acceptance

RECORD = ApprovalRecord(
    number="LRF-0099",
    name="Paper Kite",
    revision=1,
    by="Orlan",
    role="commander",
    at="2027-03-09T18:00:00Z",
    tool="briefgen 0.1.0",
    digest="a" * 64,
    files={"paper-kite.yaml": "b" * 64, "weather/paper-kite.yaml": "c" * 64},
    figures="d" * 64,
    outcomes={"pass": 40, "caution": 3, "fail": 1},
    accepted=(
        Acceptance("duty", "Crew duty", "fail", "14:35 h", "14:00 h", "a relief crew waits at Låven", "2027-03-31"),
    ),
)
CONTENT = record_bytes(RECORD)


def resealed(content: bytes) -> bytes:
    """Return a record with a seal that fits what was made of it: the work of somebody who knows the form."""
    seal = SEAL.search(content)
    assert seal is not None
    head = content[: seal.start()]
    return head + f'"seal": "{hashlib.sha256(head).hexdigest()}"\n}}\n'.encode()


def test_a_record_is_read_as_it_was_written() -> None:
    """Nothing is lost between the two, letters beyond ASCII included."""
    assert read_record(CONTENT) == RECORD


def test_one_bit_of_any_byte_is_noticed() -> None:
    """Every byte of the file is tried, its lowest and its highest bit: none can be changed unseen."""
    for index in range(len(CONTENT)):
        for bit in (0x01, 0x80):
            changed = bytearray(CONTENT)
            changed[index] ^= bit
            with pytest.raises(RecordError):
                read_record(bytes(changed))


def test_one_byte_more_or_less_anywhere_is_noticed() -> None:
    """Also at the very end, where an editor would add a line."""
    for index in range(len(CONTENT) + 1):
        with pytest.raises(RecordError):
            read_record(CONTENT[:index] + b" " + CONTENT[index:])
        if index < len(CONTENT):
            with pytest.raises(RecordError):
                read_record(CONTENT[:index] + CONTENT[index + 1 :])


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (b'"revision": 1', b'"revision": "1"', "'1' is not of type 'integer'"),
        (b'"by": "Orlan"', b'"by": ""', "non-empty"),
        (b'"role": "commander"', b'"rule": "commander"', "'role' is a required property"),
        (b'"revision": 1', b'"revision":  1', "not spelt as briefgen spells it"),
        (b'"2027-03-31"', b'"next spring"', "does not match"),
        (b'{\n "briefgen"', b'[\n "briefgen"', "not JSON"),
    ],
)
def test_a_record_of_another_form_is_refused_though_its_seal_fits(old: bytes, new: bytes, told: str) -> None:
    """Strict: types, keys, forms and the spelling itself."""
    assert CONTENT.count(old) == 1

    with pytest.raises(RecordError, match=told):
        read_record(resealed(CONTENT.replace(old, new)))


def test_a_seal_is_no_signature() -> None:
    """Whoever knows the form can write another name and seal it; only the signature then tells."""
    key = pytest.importorskip("cryptography.hazmat.primitives.asymmetric.ed25519").Ed25519PrivateKey.from_private_bytes(
        bytes(range(32))
    )
    signed = record_bytes(replace(RECORD, key=public_text(key)))
    signature = signature_bytes(key, signed)
    forged = resealed(signed.replace(b'"Orlan"', b'"Vesk"'))

    assert read_record(forged).by == "Vesk"
    assert is_signed(public_text(key), signature, signed)
    assert not is_signed(public_text(key), signature, forged)


def test_one_bit_of_any_byte_of_a_signature_is_noticed() -> None:
    """Also the bits that base64 leaves free at its end."""
    key = pytest.importorskip("cryptography.hazmat.primitives.asymmetric.ed25519").Ed25519PrivateKey.from_private_bytes(
        bytes(range(32))
    )
    signature = signature_bytes(key, CONTENT)

    for index in range(len(signature)):
        for bit in (0x01, 0x02, 0x10, 0x80):
            changed = bytearray(signature)
            changed[index] ^= bit
            assert not is_signed(public_text(key), bytes(changed), CONTENT), (index, bit)


def test_the_signature_is_that_of_the_standard() -> None:
    """RFC 8032, section 7.1, test 2 (from memory): secret key, public key, one byte, signature."""
    ed25519 = pytest.importorskip("cryptography.hazmat.primitives.asymmetric.ed25519")
    key = ed25519.Ed25519PrivateKey.from_private_bytes(
        bytes.fromhex("4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb")
    )
    public = bytes.fromhex("3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c")
    wanted = (
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
        "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
    )

    assert public_text(key) == base64.b64encode(public).decode()
    assert signature_bytes(key, b"\x72") == base64.b64encode(bytes.fromhex(wanted)) + b"\n"
