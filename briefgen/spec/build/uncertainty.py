"""What a mission says may be otherwise, and by how much."""

from __future__ import annotations

from briefgen.model.bench import FieldError, Uncertainty
from briefgen.spec.tree.reader import Reader

SD = "standard deviation"


def build_uncertainty(mission: Reader) -> Uncertainty | None:
    """Return the uncertainty of a mission; None where it states none: nothing is taken for it."""
    if "uncertainty" not in mission:
        return None
    said = mission.at("uncertainty")
    sources = tuple((cause, said.at(cause).text("source")) for cause in said.data)
    return Uncertainty(
        _field(said, "wind"), _field(said, "temperature"), _plain(said, "consumption"), _plain(said, "weight"), _plain(said, "delay"),
        sources,
    )  # fmt: skip


def _field(said: Reader, cause: str) -> FieldError | None:
    if cause not in said:
        return None
    one = said.at(cause)
    return FieldError(one.si(SD), one.si("over"), one.si("in height"), one.si("in time"))


def _plain(said: Reader, cause: str) -> float | None:
    return said.at(cause).si(SD) if cause in said else None
