"""Signatures over the record of an approval: Ed25519 (RFC 8032), by the library `cryptography`, which is imported here alone."""

from __future__ import annotations

import base64
import binascii
from pathlib import Path
from typing import TYPE_CHECKING

from briefgen.errors import UsageError

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

EXTRA = "pip install 'briefgen[sign]'"
SHOWN = 8  # letters of a key that name it to a person


class CannotVerifyError(Exception):
    """The library that verifies a signature is not installed."""


def private_key(path: Path) -> Ed25519PrivateKey:
    """Return the private key of a file in PEM, without a pass phrase.

    Raises:
        UsageError: It is no such key, or the library is missing.
    """
    expected = "an Ed25519 private key in PEM without a pass phrase, as 'openssl genpkey -algorithm ed25519' makes it"
    try:
        from cryptography.exceptions import UnsupportedAlgorithm
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey as Key
        from cryptography.hazmat.primitives.serialization import load_pem_private_key
    except ImportError as error:
        raise UsageError("signing needs the library cryptography", where=str(path), hint=EXTRA) from error
    try:
        key = load_pem_private_key(path.read_bytes(), None)
    except (ValueError, TypeError, UnsupportedAlgorithm) as error:
        raise UsageError("this is not a key that can be read", where=str(path), expected=expected) from error
    if not isinstance(key, Key):
        raise UsageError("this key is of another kind", where=str(path), expected=expected)
    return key


def public_text(key: Ed25519PrivateKey) -> str:
    """Return the public half of a key in base64, as records and rule sets write it."""
    return base64.b64encode(key.public_key().public_bytes_raw()).decode()


def signature_bytes(key: Ed25519PrivateKey, content: bytes) -> bytes:
    """Return the signature over a record, as its file holds it: base64 and a line end."""
    return base64.b64encode(key.sign(content)) + b"\n"


def is_signed(public: str, signature: bytes, content: bytes) -> bool:
    """Return whether a signature, as its file holds it, is that of a key over a record.

    Raises:
        CannotVerifyError: The library is missing.
    """
    try:
        from cryptography.exceptions import InvalidSignature
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    except ImportError as error:
        raise CannotVerifyError(EXTRA) from error
    try:
        raw = base64.b64decode(signature.removesuffix(b"\n"), validate=True)
        if base64.b64encode(raw) + b"\n" != signature:
            return False
        Ed25519PublicKey.from_public_bytes(base64.b64decode(public, validate=True)).verify(raw, content)
    except (InvalidSignature, binascii.Error, ValueError):
        return False
    return True


def named(public: str) -> str:
    """Return how a key is named to a person."""
    return f"key {public[:SHOWN]}"
