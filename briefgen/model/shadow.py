"""What the figures of a record throw into the ledger: words filled in, inputs as they were read, or why there is no value."""

from __future__ import annotations

from collections.abc import Iterator
from typing import cast

from briefgen.frozen import dataclass
from briefgen.model.ledger import Foot, Value
from briefgen.model.record import Record, said


@dataclass(frozen=True)
class Shadow:
    """What one figure throws into the ledger."""

    key: str
    label: str
    value: Value | None
    unit: str
    decimals: int
    how: str
    inputs: tuple[str, ...]
    source: str
    spec: str
    absent: str | None = None
    foot: Foot | None = None
    rounding: str = "nearest"


def shadows(record: Record) -> Iterator[Shadow]:
    """Yield what every figure of a record and of those below it throws into the ledger, in order."""
    for one in record.figures():
        kept, declared, ref = one.kept(record), one.declared, one.of(record)
        yield Shadow(
            ref.key, ref.label, cast(Value | None, kept.value), ref.unit, ref.decimals, said(declared.how, record), kept.reads,
            said(declared.source, record), said(declared.spec, record), kept.absent, one.foot(record),
            declared.rounding,
        )  # fmt: skip
    for part in record.parts():
        yield from shadows(part)
