"""Records whose figures are given by hand, by the keys they have in a plan, for tests that move one figure at a time."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from briefgen.model.ledger import Value
from briefgen.model.record import Kept, Record
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.balance.moments import FlownWeights, Logged, MomentFigures
from briefgen.planning.sections.basis.clock import Durations, Milestones
from briefgen.planning.sections.basis.fuel import FuelRequired
from briefgen.planning.sections.basis.navigation import RampWeight
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.written_load import RampFuel, Weights
from briefgen.planning.sections.fields.landing import LandingDistance
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.fields.take_off_rows import DistanceFigures, ObstacleFigures
from briefgen.planning.sections.oxygen import OxygenFigures
from briefgen.planning.sections.way_home.engine_out import WorstWayOut
from briefgen.planning.sections.weather.field_winds import FieldWind
from briefgen.planning.sections.weather.fields import MinimaFigures

NOT_GIVEN = "not given in the scene"
# Which record of a plan has an entry, by the pattern of its key; the last part of the key is the figure.
KINDS: tuple[tuple[str, type[Record]], ...] = (
    (r"fuel\.ramp", RampFuel),
    (r"fuel\.required\..*", FuelRequired),
    (r"time\..*", Milestones),
    (r"mass\.ramp", RampWeight),
    (r"mass\.zero_fuel", Weights),
    (r"mass\.(take_off|landing)", FlownWeights),
    (r"balance\..*", MomentFigures),
    (r"duration\..*", Durations),
    (r"(phase|alternate)\..*", PhaseFigures),
    (r"weather\.field\..*\.(ceiling|visibility|minima)", MinimaFigures),
    (r"weather\.field\..*\.(crosswind|tailwind)", FieldWind),
    (r"fields\.take_off\.\w+\.obstacle\..*", ObstacleFigures),
    (r"fields\.take_off\.\w+\.\w+\.distance", DistanceFigures),
    (r"fields\.(take_off|landing)\.\w+\.available", RunwayFigures),
    (r"fields\.landing\..*", LandingDistance),
    (r"oxygen\..*", OxygenFigures),
    (r"engine_out\..*", WorstWayOut),
)


def constructed(entries: Mapping[str, tuple[Value, str]], writer: LedgerWriter) -> Iterator[Record]:
    """Yield the records that have some entries; one of no kind known here is put as an entry alone."""
    made: dict[tuple[type[Record], str], dict[str, Value]] = {}
    for key, (value, unit) in entries.items():
        kind = next((kind for pattern, kind in KINDS if re.fullmatch(pattern, key)), None)
        head, _, name = key.rpartition(".")
        if kind is None:
            writer.put(key, key, value, unit, method="constructed")
        else:
            made.setdefault((kind, head), {})[name] = value
    for (kind, head), values in made.items():
        yield told(kind, head, values)


def told(kind: type[Record], at: str, values: Mapping[str, Value]) -> Record:
    """Return a record whose figures have the values given and no others."""
    record = _bare(kind)
    record.at = at
    record.__dict__["_logged"] = Logged()
    kept = {one.name: Kept(None, (), NOT_GIVEN) for one in record.figures()}
    unknown = set(values) - set(kept)
    assert not unknown, f"{kind.__name__} has no figure {unknown}"
    kept |= {name: Kept(value, ()) for name, value in values.items()}
    record.__dict__["_figures"] = kept
    return record


def _bare(kind: type[Record]) -> Record:
    """Return a record of a kind, with words for attributes and nothing below it."""
    bare = type(
        f"Bare{kind.__name__}", (kind,),
        {"__init__": lambda self: None, "parts": lambda self: (), "__getattr__": lambda self, name: _word(name)},
    )  # fmt: skip
    return bare()


def _word(name: str) -> str:
    if name.startswith("__"):
        raise AttributeError(name)
    return name
