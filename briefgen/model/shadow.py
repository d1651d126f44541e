"""What the figures of a record throw into the ledger: words filled in, inputs as they were read, or why there is no value."""

from __future__ import annotations

from collections.abc import Iterator
from typing import cast

from briefgen.frozen import dataclass
from briefgen.model.ledger import Foot, Value
from briefgen.model.record import Record


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


class _Attributes:
    """The attributes of a record by name, for the words of a declaration."""

    def __init__(self, record: Record) -> None:
        self._record = record

    def __getitem__(self, name: str) -> object:
        return getattr(self._record, name)


def _said(text: str, record: Record) -> str:
    return text % _Attributes(record) if "%(" in text else text


def shadows(record: Record) -> Iterator[Shadow]:
    """Yield what every figure of a record and of those below it throws into the ledger, in order."""
    for one in record.figures():
        kept, said = one.kept(record), one.declared
        yield Shadow(
            one.key_in(record), _said(said.label, record), cast(Value | None, kept.value), _said(said.unit, record),
            said.decimals if isinstance(said.decimals, int) else getattr(record, said.decimals),
            _said(said.how, record), kept.reads, _said(said.source, record), _said(said.spec, record), kept.absent,
            one.foot(record),
        )  # fmt: skip
    for part in record.parts():
        yield from shadows(part)
