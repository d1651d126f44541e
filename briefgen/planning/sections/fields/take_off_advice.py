"""What the crew should know beside the distances: a little more of anything, the tail, and an engine failing."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.aircraft.fields import Attitude, FieldPerformance, Strip, TakeOff
from briefgen.errors import BriefgenError
from briefgen.frozen import replace
from briefgen.kernel.constants import KT_M_PER_S
from briefgen.model.plan import Event
from briefgen.model.record import Absent, Record, Ref, figure, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.fields.take_off import (
    EngineFailure,
    TakeOffFigures,
    TakeOffSpeeds,
    UnstickSpeed,
    known,
)
from briefgen.planning.sections.fields.take_off_limits import TakeOffLimits
from briefgen.planning.sections.fields.take_off_rows import SUMMED, said_distance

CHANGE_OF_WEIGHT = 0.05
CHANGE_OF_TEMPERATURE_K = 5.0
CHANGE_OF_WIND_M_PER_S = 5.0 * KT_M_PER_S
SOFT = ("soft", "mud", "wet grass", "slush")  # surfaces on which wheel drag makes holding the tail down worth most
AGAIN = "the take-off worked out again with the change"


class ChangeFigures(Record):
    """What a little more of something does to the run: the slope of the answer."""

    def __init__(
        self, runway: RunwayFigures, name: str, words: str, base: TakeOff, changed: TakeOff | str, source: str
    ) -> None:
        self.at, self.words, self.source = f"{runway.at}.change.{name}", words, source
        self._runway, self._base, self._changed = runway, base, changed

    @figure("Change", how="name of the change")
    def title(self) -> str:
        return self.words

    @figure("Ground run, %(words)s: more by", "ft", how=AGAIN, source="%(source)s")
    def ground_run(self) -> float | str:
        rests_on(self._runway.conditions)
        return said_distance(self._found().ground_run_m - self._base.ground_run_m)

    @figure("To 50 ft, %(words)s: more by", "ft", how=AGAIN, source="%(source)s")
    def distance(self) -> float | str:
        rests_on(self._runway.conditions)
        return said_distance(self._found().distance_m - self._base.distance_m)

    def _found(self) -> TakeOff:
        if isinstance(self._changed, str):
            raise Absent(self._changed)
        return self._changed


CHANGES = TableOf(
    "fields.changes",
    "What a little more does",
    (
        column(ChangeFigures.title, "If", name="what"),
        column(ChangeFigures.ground_run, "Ground run more by"),
        column(ChangeFigures.distance, "To 50 ft more by"),
    ),
)


class AttitudeFigures(Record):
    """The run of a tail-wheel aircraft in one attitude."""

    def __init__(self, runway: RunwayFigures, attitude: Attitude, answer: TakeOff, source: str) -> None:
        self.at, self.attitude, self.source = f"{runway.at}.{attitude.replace(' ', '_')}", attitude, source
        self._runway, self.answer = runway, answer

    @figure("Attitude", how="name of the attitude")
    def title(self) -> str:
        return f"{self.attitude} all the way"

    @figure("Unstick speed, %(attitude)s", AIRSPEED, how=SUMMED, source="%(source)s")
    def unstick_ias(self) -> float:
        rests_on(self._runway.conditions)
        return known(self.answer.unstick_ias_m_per_s)

    @figure("Ground run, %(attitude)s", "ft", how=SUMMED, source="%(source)s")
    def ground_run(self) -> float | str:
        rests_on(self._runway.conditions)
        return said_distance(self.answer.ground_run_m)

    @figure("To 50 ft, %(attitude)s", "ft", how=SUMMED, source="%(source)s")
    def distance(self) -> float | str:
        rests_on(self._runway.conditions)
        return said_distance(self.answer.distance_m)


ATTITUDES = TableOf(
    "fields.attitudes",
    "Tail down or raised",
    (
        column(AttitudeFigures.title, "Attitude", name="what"),
        column(AttitudeFigures.unstick_ias, "Unstick", name="ias"),
        column(AttitudeFigures.ground_run, "Ground run"),
        column(AttitudeFigures.distance, "To 50 ft"),
    ),
)


class LongerRun(Record):
    """What raising the tail early costs, where both ways get her off the ground."""

    def __init__(self, down: AttitudeFigures, raised: AttitudeFigures) -> None:
        self.at, self.down, self.raised = raised.at, down, raised

    @figure(
        "Longer run with the tail raised early", "ft",
        how="ground run with the tail raised less that with it held down",
    )  # fmt: skip
    def longer(self) -> float:
        rests_on(self.raised.ground_run, self.down.ground_run)
        return self.raised.answer.ground_run_m - self.down.answer.ground_run_m


def change_figures(limits: TakeOffLimits, runway: RunwayFigures) -> tuple[ChangeFigures, ...]:
    """Return what a little more weight, warmth or wind from behind does; nothing where she does not get away at all."""
    if limits.impossible:
        return ()
    use, fields = limits.use, limits.fields
    air = use.strip.air
    warmer = replace(use.strip, air=replace(air, temperature_k=air.temperature_k + CHANGE_OF_TEMPERATURE_K))
    less_wind = replace(use.strip, headwind_m_per_s=use.strip.headwind_m_per_s - CHANGE_OF_WIND_M_PER_S)
    changes = (
        ("weight", "5 % more weight", (1.0 + CHANGE_OF_WEIGHT) * use.mass_kg, use.strip),
        ("temperature", "5 °C warmer", use.mass_kg, warmer),
        ("wind", "5 kt less head wind", use.mass_kg, less_wind),
    )
    return tuple(
        ChangeFigures(runway, name, words, limits.answer, _changed(fields, mass_kg, strip), fields.source)
        for name, words, mass_kg, strip in changes
    )


def _changed(fields: FieldPerformance, mass_kg: float, strip: Strip) -> TakeOff | str:
    """Return the take-off with a change, or why there is none: a limit of hers, or the end of a chart."""
    try:
        return fields.take_off(mass_kg, strip)
    except BriefgenError as error:  # the day as it is stands: only the line of this change has no figure
        return error.problem


def attitude_figures(limits: TakeOffLimits, runway: RunwayFigures) -> tuple[AttitudeFigures, ...]:
    """Return the run in each attitude she may be run in; nothing for an aircraft that has only one."""
    use, fields = limits.use, limits.fields
    if len(fields.attitudes) < 2:
        return ()
    return tuple(
        AttitudeFigures(runway, one, fields.take_off(use.mass_kg, use.strip, one), fields.source)
        for one in fields.attitudes
    )


class Advice(Record):
    """The advice on one take-off."""

    def __init__(self, take_off: TakeOffFigures) -> None:
        self._take_off = take_off
        self.changes = change_figures(take_off.limits, take_off.runway)
        self.attitudes = attitude_figures(take_off.limits, take_off.runway)
        finite = self.attitudes and math.isfinite(self.attitudes[1].answer.ground_run_m)
        self.longer = LongerRun(*self.attitudes) if finite else None

    def parts(self) -> Sequence[Record]:
        return [*self.changes, *self.attitudes, *([self.longer] if self.longer else [])]

    def tail_note(self) -> str:
        """Say what raising the tail early costs."""
        if self.longer is None:
            down_m = self.attitudes[0].answer.ground_run_m
            never = "With the tail raised early she does not leave the ground here: hold it down."
            return "" if math.isinf(down_m) else never
        hold = " Hold it down until she flies off." if self._take_off.runway.surface in SOFT else ""
        return f"Raising the tail early and keeping it up costs {LongerRun.longer.of(self.longer)} of run.{hold}"


def write_advice(take_off: TakeOffFigures, writer: LedgerWriter) -> Advice:
    """Enter the advice on one take-off and its tables."""
    advice = Advice(take_off)
    writer.adopt(advice)
    if advice.changes:
        writer.tabulate(CHANGES.filled([CHANGES.row(one.words, one) for one in advice.changes]))
    if advice.attitudes:
        rows = [ATTITUDES.row(one.attitude, one) for one in advice.attitudes]
        writer.tabulate(ATTITUDES.filled(rows, note=advice.tail_note()))
    return advice


def run_calls(take_off: TakeOffFigures, begins: Ref, phase: str) -> tuple[Event, ...]:
    """Return the speeds the co-pilot calls on the run."""
    speeds, place = take_off.speeds, take_off.limits.use.place
    named = (
        ("engine-failure speed", TakeOffSpeeds.critical_ias.of(speeds)),
        ("unstick", UnstickSpeed.unstick_ias.of(take_off.unstick)),
        ("safe", TakeOffSpeeds.safe_ias.of(speeds)),
    )
    calls = ", ".join(f"{words} {ref}" for words, ref in named if ref.there)
    if not calls:
        return ()
    text = f"Calls on the run: {calls}"
    failing, fits = EngineFailure.engine_failure.of(take_off.failure), TakeOffSpeeds.stop_fits_ias.of(speeds)
    if failing.there:
        text += f". An engine fails: {failing}"
    if fits.there:
        text += f"; a stop fits the runway up to {fits}"
    return (Event(begins.key, "call", phase, ("captain", "co-pilot"), text, place.ident),)
