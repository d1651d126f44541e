"""What the engine's gauges and the speeds must not pass, and the ratings: the limits of the aircraft file, one line each."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.model.handling import MixtureSettings
from briefgen.model.limits import CrewLimits
from briefgen.model.mission import Mission
from briefgen.model.powerplant import Rating
from briefgen.model.record import Absent, Record, figure
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.absence import said
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import LIMITS, POWERPLANT, SPEEDS, rest_on_groups

OF_FILE = "limits of the aircraft file"
TEMPERATURE, PRESSURE, SPEED = "degC", "psi", "rpm"
Gauge = tuple[str, str, float | None, float | None, float | None, float | None]  # words, unit, least, from, to, most


class GaugeLine(Record):
    """One gauge: what must be reached, what is usual, what must not be passed."""

    def __init__(self, number: int, gauge: Gauge, file: str) -> None:
        self.at, self.file = f"briefing.gauge.{number:02d}", file
        self.words, self.unit, self._least, self._from, self._to, self._most = gauge

    @figure("Gauge", how=OF_FILE)
    def name(self) -> str:
        return self.words

    @figure("%(words)s: least", "%(unit)s", how=OF_FILE, source="%(file)s")
    def least(self) -> float:
        rest_on_groups(LIMITS)
        return said(self._least, "no least is given")

    @figure("%(words)s: usual from", "%(unit)s", how=OF_FILE, source="%(file)s")
    def usual_from(self) -> float:
        rest_on_groups(LIMITS)
        return said(self._from, "nothing usual is given")

    @figure("%(words)s: usual to", "%(unit)s", how=OF_FILE, source="%(file)s")
    def usual_to(self) -> float:
        rest_on_groups(LIMITS)
        return said(self._to, "nothing usual is given")

    @figure("%(words)s: most", "%(unit)s", how=OF_FILE, source="%(file)s")
    def most(self) -> float:
        rest_on_groups(LIMITS)
        return said(self._most, "no most is given")


GAUGES = TableOf(
    "briefing.gauges", "Gauges",
    (column(GaugeLine.name, "Gauge"), column(GaugeLine.least, "least", ""), column(GaugeLine.usual_from, "from", ""),
     column(GaugeLine.usual_to, "to", ""), column(GaugeLine.most, "most", "")),
)  # fmt: skip


def _gauges(limits: CrewLimits) -> Iterator[Gauge]:
    engine = limits.engine
    head, oil, pressure, fuel = engine.cylinder_head, engine.oil_temperature, engine.oil_pressure, engine.fuel_pressure
    air = engine.carburettor_air
    yield (
        "Oil pressure",
        PRESSURE,
        pressure.least_pa,
        pressure.normal_from_pa,
        pressure.normal_to_pa,
        pressure.greatest_pa,
    )
    yield "Oil pressure, idling", PRESSURE, pressure.idle_pa, None, None, None
    yield "Oil", TEMPERATURE, oil.before_opening_up_k, oil.normal_from_k, oil.normal_to_k, oil.greatest_k
    yield "Heads, opening up", TEMPERATURE, head.before_opening_up_k, None, None, head.ground_k
    yield "Heads, take-off", TEMPERATURE, None, None, None, head.take_off_k
    yield "Heads, climb", TEMPERATURE, None, None, None, head.climb_k
    yield "Heads, cruise rich", TEMPERATURE, None, None, None, head.rich_cruise_k
    yield "Heads, cruise lean", TEMPERATURE, None, None, None, head.lean_cruise_k
    yield "Fuel pressure", PRESSURE, fuel.least_pa, fuel.normal_from_pa, fuel.normal_to_pa, None
    yield "Carburettor air", TEMPERATURE, None, air.kept_from_k, air.kept_to_k, None
    yield "Magneto drop", SPEED, None, None, None, engine.magneto_drop.greatest_rpm
    yield "Over-speed", SPEED, None, None, None, engine.over_speed_rpm


class RatingLine(Record):
    """One rating of the fuel grade."""

    def __init__(self, name: str, words: str, rating: Rating, grade: str, names: MixtureSettings) -> None:
        self._names, self.at, self.words, self._rating, self.grade = (
            names,
            f"briefing.rating.{name}",
            words,
            rating,
            grade,
        )
        self.how = f"rating of the aircraft file on {grade}"

    @figure("Rating", how="as the aircraft file names it")
    def name(self) -> str:
        return self.words

    @figure("%(words)s: manifold pressure, most", "inHg", decimals=1, how="%(how)s")
    def manifold_pressure(self) -> float:
        rest_on_groups(POWERPLANT)
        return self._rating.manifold_pressure_pa

    @figure("%(words)s: engine speed, most", "rpm", how="%(how)s")
    def rpm(self) -> float:
        rest_on_groups(POWERPLANT)
        return self._rating.engine_speed_rpm

    @figure("%(words)s: mixture", how="%(how)s")
    def mixture(self) -> str:
        rest_on_groups(POWERPLANT, SPEEDS)
        return self._names.of(self._rating.mixture)

    @figure("%(words)s: no longer than", "min", how="%(how)s")
    def time(self) -> float:
        if self._rating.time_limit_s is None:
            raise Absent("no limit of time")
        rest_on_groups(POWERPLANT)
        return self._rating.time_limit_s


class LeanPoint(Record):
    """One point of the line up to which lean is permitted."""

    def __init__(self, number: int, rpm: float, pressure_pa: float, lean: str) -> None:
        self.at, self._rpm, self._pressure_pa, self.lean = f"briefing.lean.{number:02d}", rpm, pressure_pa, lean

    @figure("Line of %(lean)s: engine speed", "rpm", how="fuel grade of the aircraft file")
    def rpm(self) -> float:
        rest_on_groups(POWERPLANT)
        return self._rpm

    @figure("Line of %(lean)s: manifold pressure not above", "inHg", decimals=1, how="fuel grade of the aircraft file")
    def manifold_pressure(self) -> float:
        rest_on_groups(POWERPLANT)
        return self._pressure_pa


RATINGS = TableOf(
    "briefing.ratings", "Ratings, never more than",
    (column(RatingLine.name, "Rating"), column(RatingLine.manifold_pressure, "inHg"), column(RatingLine.rpm, "rpm"),
     column(RatingLine.mixture, "Mixture"), column(RatingLine.time, "Time")),
)  # fmt: skip
LEAN = TableOf(
    "briefing.lean", "Lean: not above",
    (column(LeanPoint.rpm, "rpm"), column(LeanPoint.manifold_pressure, "inHg")),
)  # fmt: skip


class SpeedLimit(Record):
    """One airspeed of the limits card."""

    def __init__(self, number: int, words: str, least: float | None, most: float | None) -> None:
        self.at, self.words, self._least, self._most = f"briefing.speed_limit.{number:02d}", words, least, most

    @figure("Speed limit", how=OF_FILE)
    def name(self) -> str:
        return self.words

    @figure("%(words)s: not below", AIRSPEED, how=OF_FILE)
    def least(self) -> float:
        rest_on_groups(LIMITS, SPEEDS)
        return said(self._least, "no least speed is given")

    @figure("%(words)s: not above", AIRSPEED, how=OF_FILE)
    def most(self) -> float:
        rest_on_groups(LIMITS, SPEEDS)
        return said(self._most, "no greatest speed is given")


SPEED_LIMITS = TableOf(
    "briefing.speed_limits", "Speed limits",
    (column(SpeedLimit.name, "For"), column(SpeedLimit.least, "not below"), column(SpeedLimit.most, "not above")),
)  # fmt: skip


def _speed_limits(mission: Mission) -> Iterator[tuple[str, float | None, float | None]]:
    speeds = mission.aircraft.limits.speeds
    yield "Usual operation", None, speeds.normal_operating_m_per_s
    for flap in speeds.flaps:
        yield flap.setting, None, flap.greatest_m_per_s
    if speeds.gear_lowering_m_per_s is not None:
        yield "Gear down", None, speeds.gear_lowering_m_per_s
    if speeds.gear_raising_m_per_s is not None:
        yield "Gear up", None, speeds.gear_raising_m_per_s
    for opening in speeds.openings:
        yield opening.door, opening.least_m_per_s, opening.greatest_m_per_s
    for one in mission.aircraft.minimum_control:
        if one.at_take_off_power_m_per_s is not None:
            yield f"Control, {one.engines}", one.at_take_off_power_m_per_s, None


def write_limits(mission: Mission, writer: LedgerWriter) -> None:
    """Enter gauges, ratings and speed limits."""
    gauges = [GaugeLine(n, one, mission.aircraft.name) for n, one in enumerate(_gauges(mission.aircraft.limits), 1)]
    speeds = [SpeedLimit(n, *one) for n, one in enumerate(_speed_limits(mission), 1)]
    for record in (*gauges, *speeds):
        writer.adopt(record)
    writer.tabulate(GAUGES.filled([GAUGES.row(one.words, one) for one in gauges]))
    writer.tabulate(SPEED_LIMITS.filled([SPEED_LIMITS.row(one.words, one) for one in speeds]))
    _write_ratings(mission, writer)


def _write_ratings(mission: Mission, writer: LedgerWriter) -> None:
    model = mission.aircraft.model
    grade = next((one for one in model.fuel_grades if one.name == mission.fuel_grade), None) if model else None
    if grade is None:
        return
    names = mission.aircraft.mixture_settings
    ratings = [
        RatingLine("take_off", "Take-off", grade.take_off, grade.name, names),
        RatingLine("climb", "Climb", grade.climb, grade.name, names),
    ]
    line = grade.lean_manifold_pressure_pa_by_engine_speed_rpm
    lean = [LeanPoint(n, rpm, value, names.lean) for n, (rpm, value) in enumerate(zip(line.x, line.y, strict=True), 1)]
    for record in (*ratings, *lean):
        writer.adopt(record)
    writer.tabulate(RATINGS.filled([RATINGS.row(one.words, one) for one in ratings]))
    writer.tabulate(LEAN.filled([LEAN.row(one.at, one) for one in lean], title=f"{names.lean.capitalize()}: not above"))
