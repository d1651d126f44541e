"""What a check may look at, and what it answers: a measure held against a limit, or why there is none."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from typing import Literal

from briefgen.aircraft.interface import Performance
from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.model.ledger import Value
from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.plan import Phase
from briefgen.model.rules import Rule
from briefgen.planning.flight.idents import alternate_key
from briefgen.planning.ledger import review_keys as keys
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.checks.words import spoken

ROUND_OFF_RATIO = 1e-9  # a margin below this part of the limit (or of one SI unit) is arithmetic, not a breach
NO_LIMIT = "none"  # what an entry says of a ceiling when there is no ceiling


class MissingFactError(PlanError):
    """A check needs something the plan does not know; the rule fails and says what."""

    def __init__(self, *what: str, cure: str = "") -> None:
        super().__init__(f"not known: {', '.join(what)}", expected="the missing figures in the mission or its files")
        self.what = what
        self.cure = cure or f"supply {', '.join(what)}"


@dataclass(frozen=True)
class Amount:
    """A quantity a cure names: SI value, and how it is printed."""

    name: str
    value: float
    unit: str
    decimals: int = 0


@dataclass(frozen=True)
class Cure:
    """What would make a rule pass: words that quote the amounts by name in braces."""

    text: str
    amounts: tuple[Amount, ...] = ()
    besides: str = ""  # the way out that is left where a section has already said another with its number


@dataclass(frozen=True)
class Measure:
    """The worst of what a check found, against its limit; value, limit and margin are printed alike.

    Infinity (no ceiling at all) keeps any limit. ``holds`` judges what is told in words. ``eased`` turns a breach into a
    caution because something else in the plan already answers it, and says what. ``phrase`` is what was found as a clause
    that quotes ``{measured}``; one that also quotes ``{limit}`` says everything itself, with ``{left}`` for what is short or
    in hand. ``others`` are the measures of the same rule at the other places, legs or moments.
    """

    value: Value
    limit: Value
    unit: str
    decimals: int
    sense: Literal["at least", "at most"]
    method: str
    subject: str = ""
    inputs: tuple[str, ...] = ()
    cure: Cure | None = None
    eased: str = ""
    holds: bool | None = None
    phrase: str = "{measured}"
    judges: str = ""  # the fact, by its name in planning.subjects
    others: tuple[Measure, ...] = ()

    @property
    def margin(self) -> float:
        """What is left to the limit, negative when it is broken (seconds where instants are compared)."""
        if self.holds is not None:
            return math.inf if self.holds else -math.inf
        if isinstance(self.value, datetime) and isinstance(self.limit, datetime):
            over = (self.value - self.limit).total_seconds()
        elif isinstance(self.value, float | int) and isinstance(self.limit, float | int):
            over = float(self.value) - float(self.limit)
        else:
            raise TypeError("a measure and its limit are of different sorts")
        left = over if self.sense == "at least" else -over
        return 0.0 if abs(left) <= self._round_off else left

    @property
    def _round_off(self) -> float:
        scale = abs(self.limit) if isinstance(self.limit, float | int) else 0.0
        return ROUND_OFF_RATIO * max(scale, 1.0)

    @property
    def kept(self) -> bool:
        """Whether the limit is kept; on the limit is kept."""
        return self.margin >= 0.0


@dataclass(frozen=True)
class NotApplicable:
    """The rule does not concern this mission, and why."""

    why: str


Answer = Measure | NotApplicable


def worst(measures: Iterable[Measure]) -> Measure:
    """Return the measure with the smallest margin; they must be in one unit, and at least one."""
    return _worst(measures, lambda measure: measure.margin)


def _worst(measures: Iterable[Measure], key: Callable[[Measure], float]) -> Measure:
    """Return the measure with the smallest key, which carries the rest in the order of their keys."""
    first, *rest = sorted(measures, key=key)
    return replace(first, others=tuple(rest))


def relative_margin(measure: Measure) -> float:
    """Return the margin as a part of the limit."""
    limit = measure.limit
    return measure.margin / abs(limit) if isinstance(limit, float | int) and limit else measure.margin


def relatively_worst(measures: Iterable[Measure]) -> Measure:
    """Return the measure with the smallest margin as a part of its limit, for measures in different units."""
    return _worst(measures, relative_margin)


def shown(place: Place) -> str:
    """Return a place by its name, with its identifier."""
    return f"{place.name} ({place.ident})" if place.name else place.ident


def amount(rule: Rule, name: str) -> float:
    """Return a numeric parameter of a rule; the schema has seen to it that it is there."""
    value = rule.parameters[name]
    if isinstance(value, str):
        raise TypeError(f"parameter {name} of rule {rule.ident} is not a number")
    return float(value)


def word(rule: Rule, name: str) -> str:
    """Return a parameter of a rule that is a word."""
    return str(rule.parameters[name])


@dataclass(frozen=True)
class Facts:
    """The mission, its flight and every figure already in the ledger."""

    mission: Mission
    phases: tuple[Phase, ...]
    writer: LedgerWriter
    performance: Performance | None = None

    def require(self, *keys: str) -> tuple[str, ...]:
        """Return the keys if all are in the ledger; else all that are missing are named."""
        missing = [key for key in keys if key not in self.writer]
        if missing:
            raise MissingFactError(*(spoken(key) for key in missing))
        return keys

    def number(self, key: str) -> float:
        """Return the SI value of an entry; an entry in words is as good as missing."""
        self.require(key)
        value = self.writer[key].value
        if not isinstance(value, float | int):
            label = self.writer[key].label
            raise MissingFactError(f"{label[:1].lower()}{label[1:]} ({value})", cure="change what prevents it")
        return float(value)

    def numbers(self, *keys: str) -> tuple[float, ...]:
        """Return the SI values of several entries; all that are missing are named together."""
        self.require(*keys)
        return tuple(self.number(key) for key in keys)

    def number_or_none(self, key: str) -> float:
        """Return the SI value of an entry, infinite when the entry says there is no limit."""
        self.require(key)
        return math.inf if self.writer[key].value == NO_LIMIT else self.number(key)

    def text(self, key: str) -> str:
        """Return an entry that is a word."""
        self.require(key)
        return str(self.writer[key].value)

    def instant(self, key: str) -> datetime:
        """Return the instant of a time entry."""
        self.require(key)
        value = self.writer[key].value
        if not isinstance(value, datetime):
            raise MissingFactError(f"{spoken(key)} as an instant")
        return value

    def unit(self, key: str) -> tuple[str, int]:
        """Return the printed unit and decimals of an entry, so that a measure of it is printed alike."""
        entry = self.writer[key]
        return entry.unit, entry.decimals

    def need_performance(self) -> Performance:
        """Return the aircraft's answers; a review without them cannot judge climb."""
        if self.performance is None:
            raise MissingFactError("the performance of the aircraft")
        return self.performance

    def cruise_phases(self) -> tuple[Phase, ...]:
        """Return the level pieces of the legs; a flight without any cannot be judged en route."""
        found = tuple(phase for phase in self.phases if phase.kind == "cruise" and phase.item is not None)
        if not found:
            raise MissingFactError("a cruise phase")
        return found

    def last_phase(self, kind: str) -> Phase:
        """Return the last phase of a kind."""
        found = [phase for phase in self.phases if phase.kind == kind]
        if not found:
            raise MissingFactError(f"the {kind}")
        return found[-1]

    def light(self, role: str, ident: str) -> tuple[str, str]:
        """Return the light at take-off, at landing or at an alternate when she is there, and the key that says so."""
        if role == "alternate":
            head = f"{alternate_key(ident)}."
            flown = [key for key in self.writer.keys(head) if key.endswith(f".{keys.PHASE_LIGHT}")]
            if not flown:
                raise MissingFactError(f"the way to alternate {ident}")
            key = flown[-1]
        else:
            phase = self.last_phase("take-off" if role == "take-off" else "approach")
            key = f"{phase_key(phase.ident)}.{keys.PHASE_LIGHT}"
        return self.text(key), key

    def cruise_flow_kg_per_s(self) -> float:
        """Return the normal cruising consumption: mean fuel flow over all cruise phases of the route."""
        phases = self.cruise_phases()
        time_s = math.fsum((phase.end.instant - phase.start.instant).total_seconds() for phase in phases)
        fuel_kg = math.fsum(phase.start.fuel_kg - phase.end.fuel_kg for phase in phases)
        if time_s <= 0.0 or fuel_kg <= 0.0:
            raise MissingFactError("fuel burnt in cruise")
        return fuel_kg / time_s

    def fuel_cure(self, text: str, mass_kg: float) -> Cure:
        """Return a cure whose ``{cure}`` is a volume of fuel at the mission's density."""
        return Cure(text, (Amount("cure", mass_kg / self.mission.fuel.density_kg_per_m3, "US gal"),))
