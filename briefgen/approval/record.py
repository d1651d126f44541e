"""The record of an approval: one text for one content, sealed over every byte before the seal, read strictly.

The seal tells an accident or a careless edit; whoever means to deceive can make another one. A signature cannot be made
without its key.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from briefgen.errors import BriefgenError
from briefgen.frozen import dataclass
from briefgen.model.approval import Acceptance

FORMAT = "approval/1"
LARGEST_BYTES = 1_000_000
SEAL = re.compile(rb'"seal": "([0-9a-f]{64})"\n\}\n\Z')


class RecordError(BriefgenError):
    """A record of an approval cannot be trusted, and why."""


@dataclass(frozen=True)
class ApprovalRecord:
    """What is written beside a specification when somebody approves its plan."""

    number: str
    name: str
    revision: int
    by: str
    role: str
    at: str  # ISO 8601, UTC, to the second
    tool: str
    digest: str  # of the plan: every file read and every figure as printed
    files: Mapping[str, str]  # every file read, with its SHA-256
    figures: str  # SHA-256 of the approved plan kept beside the record
    outcomes: Mapping[str, int]  # how many findings pass, are cautions, fail
    accepted: tuple[Acceptance, ...]
    key: str = ""  # the public key it is signed with, base64; empty where it is not


def record_bytes(record: ApprovalRecord) -> bytes:
    """Return the one text of a record, the seal over all before it at the end."""
    data = {"briefgen": FORMAT, **asdict(record), "accepted": [asdict(one) for one in record.accepted]}
    unsealed = json.dumps(data, indent=1, ensure_ascii=False).removesuffix("\n}").encode() + b",\n "
    return unsealed + f'"seal": "{hashlib.sha256(unsealed).hexdigest()}"\n}}\n'.encode()


def read_record(content: bytes) -> ApprovalRecord:
    """Return the record that a text holds.

    Raises:
        RecordError: Any byte of it is not what was written: the seal, the form or the spelling does not fit.
    """
    if len(content) > LARGEST_BYTES:
        raise RecordError(f"the record is larger than {LARGEST_BYTES:,} bytes")
    seal = SEAL.search(content)
    if seal is None:
        raise RecordError("the record has no seal")
    if hashlib.sha256(content[: seal.start()]).hexdigest() != seal[1].decode():
        raise RecordError("the record was altered after it was written: its seal does not fit")
    record = _built(_data(content))
    if record_bytes(record) != content:
        raise RecordError("the record is not spelt as briefgen spells it")
    return record


def _data(content: bytes) -> dict[str, Any]:
    try:
        data = json.loads(content)
    except (ValueError, RecursionError) as error:
        raise RecordError("the record is not JSON") from error
    fault = _shape_fault(data)
    if fault:
        raise RecordError(f"the record does not have the form {FORMAT}: {fault}")
    assert isinstance(data, dict)
    return data


def _shape_fault(data: object) -> str:
    from jsonschema import Draft202012Validator

    from briefgen.spec import schema_text

    errors = sorted(Draft202012Validator(json.loads(schema_text("approval"))).iter_errors(data), key=str)
    return errors[0].message if errors else ""


def _built(data: dict[str, Any]) -> ApprovalRecord:
    fields = {name: value for name, value in data.items() if name not in ("briefgen", "seal")}
    fields["accepted"] = tuple(Acceptance(**one) for one in fields["accepted"])
    return ApprovalRecord(**fields)
