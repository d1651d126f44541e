"""What a check may look at, and what it answers: a measure held against a limit, or why there is none."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from datetime import datetime
from functools import partial
from typing import Any, Literal, TypeVar

from briefgen.aircraft.interface import Performance
from briefgen.errors import PlanError
from briefgen.frozen import dataclass, replace
from briefgen.model.ledger import Value
from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.plan import Phase, PhaseKind
from briefgen.model.record import Figure, Record, Ref, reads_of, rests_on
from briefgen.planning.flight.fuel_policy import Diversion
from briefgen.planning.flight.route import alternate_key
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.review.checks.words import spoken
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.ruled import RuleFigures

T = TypeVar("T")
R = TypeVar("R", bound=Record)
Wanted = (
    Figure[Any, Any] | tuple[Figure[Any, Any], str]
)  # a figure, of the record at one place where a plan has several

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
    """What would make a rule pass: words that quote the amounts by name in braces, and the limit as ``{limit}``."""

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
    reads: tuple[str, ...] = ()  # the keys it was worked out from, where it is one of several
    cure: Cure | None = None
    eased: str = ""
    holds: bool | None = None
    phrase: str = "{measured}"
    judges: str = ""  # the fact, by its name in planning.subjects
    others: tuple[Measure, ...] = ()
    measured_of: Ref | None = (
        None  # the figure of the plan that the value is, the limit is, the margin is: entered once
    )
    limit_of: Ref | None = None
    margin_of: Ref | None = None

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


def each(measure: Callable[[T], Measure], over: Iterable[T]) -> list[Measure]:
    """Return a measure of each place, leg or moment, each with what was read for it alone."""
    found = [reads_of(partial(measure, one)) for one in over]
    return [replace(one, reads=reads) for one, reads in found]


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


def amount(rule: RuleFigures, name: str) -> float:
    """Return a numeric parameter of a rule, noted as read."""
    return rule.amount(name)


def word(rule: RuleFigures, name: str) -> str:
    """Return a parameter of a rule that is a word, noted as read."""
    return rule.word(name)


@dataclass(frozen=True)
class Facts:
    """The mission, its flight and every record already entered; what is read of them is noted."""

    mission: Mission
    phases: tuple[Phase, ...]
    writer: LedgerWriter
    performance: Performance | None = None
    diversions: tuple[Diversion, ...] = ()  # the ways to the alternates, as flown

    def ref(self, figure: Figure[Any, Any], at: str = "") -> Ref | None:
        """Return a figure of the one record that has it, or of the one at a place; None where there is none."""
        owner = figure.owner or Record
        found = self.writer.records(owner, at or owner.at)
        refs = [figure.of(record) for record in found]
        return next((ref for ref in refs if ref.there), None)

    def require(self, *wanted: Wanted) -> tuple[Ref, ...]:
        """Return figures if all are known; else all that are missing are named."""
        pairs = [one if isinstance(one, tuple) else (one, "") for one in wanted]
        found = [self.ref(figure, at) for figure, at in pairs]
        missing = [spoken(*pair) for pair, ref in zip(pairs, found, strict=True) if ref is None]
        if missing:
            raise MissingFactError(*missing)
        return tuple(ref for ref in found if ref is not None)

    def number(self, figure: Figure[Any, Any], at: str = "") -> float:
        """Return a figure that is a number; one told in words is as good as missing."""
        (ref,) = self.require((figure, at))
        return self.numeric(ref)

    def numeric(self, ref: Ref) -> float:
        """Return a figure that is a number; one told in words is as good as missing."""
        value = ref.value
        if not isinstance(value, float | int):
            label = ref.label
            raise MissingFactError(f"{label[:1].lower()}{label[1:]} ({value})", cure="change what prevents it")
        return float(value)

    def numbers(self, *wanted: Wanted) -> tuple[float, ...]:
        """Return several figures that are numbers; all that are missing are named together."""
        return tuple(self.numeric(ref) for ref in self.require(*wanted))

    def text(self, figure: Figure[Any, Any], at: str = "") -> str:
        """Return a figure that is a word."""
        (ref,) = self.require((figure, at))
        return str(ref.value)

    def instant(self, figure: Figure[Any, Any]) -> datetime:
        """Return a figure that is an instant."""
        (ref,) = self.require(figure)
        value = ref.value
        if not isinstance(value, datetime):
            raise MissingFactError(f"{spoken(figure)} as an instant")
        return value

    def unit(self, figure: Figure[Any, Any], at: str = "") -> tuple[str, int]:
        """Return the printed unit and decimals of a figure, so that a measure of it is printed alike."""
        (ref,) = self.require((figure, at))
        return (self.writer.airspeed_unit if ref.unit == AIRSPEED else ref.unit), ref.decimals

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

    def last_phase(self, kind: PhaseKind) -> Phase:
        """Return the last phase of a kind."""
        found = [phase for phase in self.phases if phase.kind == kind]
        if not found:
            raise MissingFactError(f"the {kind}")
        return found[-1]

    def light(self, role: str, ident: str) -> str:
        """Return the light at take-off, at landing or at an alternate when she is there."""
        if role == "alternate":
            head = f"{alternate_key(ident)}."
            flown = [one for one in self.writer.records(PhaseFigures) if one.at.startswith(head)]
            lit = [one for one in flown if PhaseFigures.light.of(one).there]
            if not lit:
                raise MissingFactError(f"the way to alternate {ident}")
            return lit[-1].light
        phase = self.last_phase("take-off" if role == "take-off" else "approach")
        return self.text(PhaseFigures.light, phase_key(phase.ident))

    def cruise_flow_kg_per_s(self) -> float:
        """Return the normal cruising consumption: mean fuel flow over all cruise phases of the route."""
        phases = self.cruise_phases()
        for phase in phases:
            self.rest_on(phase_key(phase.ident), PhaseFigures.fuel_burn, PhaseFigures.duration)
        time_s = math.fsum((phase.end.instant - phase.start.instant).total_seconds() for phase in phases)
        fuel_kg = math.fsum(phase.start.fuel_kg - phase.end.fuel_kg for phase in phases)
        if time_s <= 0.0 or fuel_kg <= 0.0:
            raise MissingFactError("fuel burnt in cruise")
        return fuel_kg / time_s

    def rest_on(self, at: str, *figures: Figure[Any, Any]) -> None:
        """Note figures of the records at one place, where they are known, as what a check worked with."""
        for figure in figures:
            if (ref := self.ref(figure, at)) is not None:
                rests_on(ref.value)

    def fuel_cure(self, text: str, mass_kg: float) -> Cure:
        """Return a cure whose ``{cure}`` is a volume of fuel at the mission's density."""
        return Cure(text, (Amount("cure", mass_kg / self.mission.fuel.density_kg_per_m3, "US gal"),))
