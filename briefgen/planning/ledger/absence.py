"""What an aircraft does not say, told as absent with its reason."""

from __future__ import annotations

from typing import TypeVar

from briefgen.model.record import Absent

T = TypeVar("T")

NOT_PRINTED = "the charts of this aircraft do not give it"


def said(value: T | None, reason: str = NOT_PRINTED) -> T:
    """Return a value.

    Raises:
        Absent: There is none, or the word is empty.
    """
    if value is None or value == "":
        raise Absent(reason)
    return value
