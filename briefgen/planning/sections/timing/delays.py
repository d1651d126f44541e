"""How to lose time before a timed point: one orbit at the bank of the hold, and dog-legs solved in the forecast wind."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from briefgen.errors import OutOfRangeError
from briefgen.kernel.time_control import DogLeg, dog_leg, orbit_time
from briefgen.kernel.turns import turn_radius
from briefgen.kernel.wind import wind_towards
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Figure, Record, figure, rests_on, working
from briefgen.model.tables import ColumnOf, TableOf
from briefgen.planning.flight.pacing import Stretch, orbit_bank
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.timing.asked import Asked, PaceChosen
from briefgen.planning.sections.timing.points import PointFigures

LOST_S = (120.0, 240.0, 360.0)
DOG_LEG = "two equal legs over the ground, each with its own wind triangle; turns neglected"
DOG_LEG_SOURCE = "plane geometry and the wind triangle; at 60 degrees in a calm the rule of USAF AFPAM 11-216"
TURN = "balance of forces in a level turn"


class Orbit(Record):
    """One turn through 360 degrees before a timed point."""

    def __init__(self, mission: Mission, stretch: Stretch, cruise: PhaseFigures, key: str, before: str) -> None:
        self.at, self.label, self._cruise = f"{key}.orbit", f"Orbit {before}", cruise
        self._mission, self._point = mission, stretch.point

    @property
    def chosen(self) -> str:
        """How its bank was chosen."""
        if self._point.bank_deg is not None:
            return "as written with the timed point"
        return "that of the first hold of the route, else of a standard-rate turn"

    @figure("%(label)s: bank", "deg", how="%(chosen)s")
    def bank(self) -> float:
        return orbit_bank(self._mission, self._point, self._cruise.tas)

    @figure(
        "%(label)s: time lost", "min", decimals=1, how="level turn through 360 degrees at the true airspeed planned"
    )
    def lost(self) -> float:
        return orbit_time(self._cruise.tas, self.bank)

    @figure("%(label)s: radius", "NM", decimals=1, how=TURN)
    def radius(self) -> float:
        return turn_radius(self._cruise.tas, self.bank)


class PlannedOrbits(Record):
    """The orbits in which the time of the plan is lost: whole laps, with straight legs that take up the rest."""

    def __init__(self, bank_deg: float, pace: PaceChosen, hold: PhaseFigures, key: str, before: str) -> None:
        self.at, self.label = f"{key}.planned", f"Planned orbits {before}"
        self._bank_deg, self.pace, self._hold = bank_deg, pace, hold

    @figure("%(label)s: bank", "deg", how="bank of the timing orbit")
    def bank(self) -> float:
        return self._bank_deg

    @working
    def _turns_s(self) -> float:
        return orbit_time(self._hold.tas, self.bank)

    @working
    def _count(self) -> int:
        return math.floor(self.pace.time_lost / self._turns_s)

    @figure("%(label)s: laps", how="whole orbits in the time to be lost")
    def laps(self) -> str:
        return str(self._count)

    @figure(
        "%(label)s: each straight leg", "min", decimals=1,
        how="half of what a lap has over its turns; in still air",
        source="ICAO Doc 8168, Volume I: geometry of a holding pattern",
    )  # fmt: skip
    def leg(self) -> float:
        rests_on(self.laps)
        return 0.5 * (self.pace.time_lost / self._count - self._turns_s)

    @figure("%(label)s: radius", "NM", decimals=1, how=TURN)
    def radius(self) -> float:
        return turn_radius(self._hold.tas, self.bank)


def _part(angle_deg: float, what: str, unit: str, value: Callable[[DogLeg], float]) -> Figure[DogLegFigures, float]:
    """Return the figure of a dog-leg that gives one part of it at one angle."""

    def part(record: DogLegFigures) -> float:
        return value(record.flown(angle_deg))

    label = f"%(label)s at {angle_deg:.0f} degrees: {what}"
    return figure(label, unit, decimals=1, how=DOG_LEG, source=DOG_LEG_SOURCE)(part)


def _out(made: DogLeg) -> float:
    return made.first_s


def _back(made: DogLeg) -> float:
    return made.second_s


def _extra(made: DogLeg) -> float:
    return made.extra_m


class DogLegFigures(Record):
    """A dog-leg that loses a time, at three angles."""

    label: str
    _cruise: PhaseFigures

    def lost_s(self) -> float:
        """Return the time it loses [s], noted as read."""
        raise NotImplementedError

    def flown(self, angle_deg: float) -> DogLeg:
        """Return the dog-leg at an angle.

        Raises:
            Absent: No way is made across such a wind at this angle.
        """
        cruise, phase = self._cruise, self._cruise.phase
        rests_on(cruise.wind_direction, cruise.wind_speed)
        wind = wind_towards(phase.wind_north_m_per_s, phase.wind_east_m_per_s)
        try:
            return dog_leg(cruise.course, cruise.tas, wind, angle_deg, self.lost_s())
        except OutOfRangeError as error:
            raise Absent(f"no way is made across the wind at this angle: {error.problem}") from error

    out_30, back_30, extra_30 = (
        _part(30.0, "time out", "min", _out), _part(30.0, "time back", "min", _back),
        _part(30.0, "extra distance", "NM", _extra),
    )  # fmt: skip
    out_45, back_45, extra_45 = (
        _part(45.0, "time out", "min", _out), _part(45.0, "time back", "min", _back),
        _part(45.0, "extra distance", "NM", _extra),
    )  # fmt: skip
    out_60, back_60, extra_60 = (
        _part(60.0, "time out", "min", _out), _part(60.0, "time back", "min", _back),
        _part(60.0, "extra distance", "NM", _extra),
    )  # fmt: skip


class PlannedDogLeg(DogLegFigures):
    """The dog-leg in which the time of the plan is lost."""

    def __init__(self, pace: PaceChosen, cruise: PhaseFigures, key: str, before: str) -> None:
        self.at, self.label, self._cruise, self.pace = f"{key}.planned", f"Planned dog-leg {before}", cruise, pace

    def lost_s(self) -> float:
        return self.pace.time_lost


class DogLegChosen(DogLegFigures):
    """A dog-leg that loses one of the times of the table."""

    def __init__(self, lost_s: float, cruise: PhaseFigures, key: str, before: str) -> None:
        self.at, self.label = f"{key}.{lost_s / 60.0:02.0f}", f"Dog-leg {before}"
        self._cruise, self._lost_s = cruise, lost_s

    @figure("%(label)s: time lost", "min", decimals=1, how="chosen for the table")
    def lost(self) -> float:
        return self._lost_s

    def lost_s(self) -> float:
        return self.lost


LOST, BANK = ColumnOf("lost", "Time lost", "min"), ColumnOf("bank", "Bank", "deg")
RADIUS, LAPS = ColumnOf("radius", "Radius", "NM"), ColumnOf("laps", "Laps")
LEG = ColumnOf("leg", "Each straight leg", "min")
_PARTS = (
    (30, DogLegFigures.out_30, DogLegFigures.back_30, DogLegFigures.extra_30),
    (45, DogLegFigures.out_45, DogLegFigures.back_45, DogLegFigures.extra_45),
    (60, DogLegFigures.out_60, DogLegFigures.back_60, DogLegFigures.extra_60),
)
DELAYS = TableOf(
    "timing.delays",
    "Losing time before a timed point",
    (
        LOST, BANK, RADIUS, LAPS, LEG,
        *(
            ColumnOf(part.name, f"{head} at {angle}°", part.declared.unit, part)
            for angle, *parts in _PARTS
            for head, part in zip(("Out", "Back", "Farther"), parts, strict=True)
        ),
    ),
    "Dog-leg: leave the track to the right at the angle, hold for the time out, then come back at the same angle. "
    "To the left, the times out and back change places. Turns are not counted.",
)  # fmt: skip


def write_delays(
    mission: Mission, points: Sequence[PointFigures], log: Navigation, asked: Asked, writer: LedgerWriter
) -> None:
    """Enter the delay that is planned, one orbit and three dog-legs for the last cruise before each timed point."""
    rows: list[Row] = []
    for number, point in enumerate(points, start=1):
        cruises = [phase for phase in point.timed.cruises if phase.course_deg is not None]
        if not cruises:
            continue
        cruise, stretch = log.of_phase(cruises[-1]), point.timed.stretch
        key, before = f"timing.delay.{number:02d}", f"before {stretch.point.place.name}"
        pace = asked.paces.get(stretch.through)
        if pace is not None and PaceChosen.time_lost.of(pace).there:
            rows.append(_planned_row(point, pace, log, cruise, key, before, writer))
        rows.append(_orbit_row(Orbit(mission, stretch, cruise, key, before), writer))
        for lost_s in LOST_S:
            made = DogLegChosen(lost_s, cruise, key, before)
            writer.adopt(made)
            rows.append(DELAYS.row(made.label, made, others={LOST: DogLegChosen.lost.of(made)}))
    if rows:
        writer.tabulate(DELAYS.filled(rows))


def _planned_row(
    point: PointFigures, pace: PaceChosen, log: Navigation, cruise: PhaseFigures, key: str, before: str,
    writer: LedgerWriter,
) -> Row:  # fmt: skip
    """Enter how the time of the plan is lost: a dog-leg, or whole laps with straight legs that take up the rest."""
    lost = PaceChosen.time_lost.of(pace)
    if not pace.bank_deg:
        made = PlannedDogLeg(pace, cruise, key, before)
        writer.adopt(made)
        return DELAYS.row(made.label, made, "decision", {LOST: lost})
    hold = next(log.of_phase(phase) for phase in point.timed.planned if phase.kind == "hold")
    laps = PlannedOrbits(pace.bank_deg, pace, hold, key, before)
    writer.adopt(laps)
    cells = {
        LOST: lost, BANK: PlannedOrbits.bank.of(laps), LAPS: PlannedOrbits.laps.of(laps),
        LEG: PlannedOrbits.leg.of(laps), RADIUS: PlannedOrbits.radius.of(laps),
    }  # fmt: skip
    return DELAYS.row_of(laps.label, cells, "decision")


def _orbit_row(orbit: Orbit, writer: LedgerWriter) -> Row:
    writer.adopt(orbit)
    cells = {BANK: Orbit.bank.of(orbit), LOST: Orbit.lost.of(orbit), RADIUS: Orbit.radius.of(orbit)}
    return DELAYS.row_of(orbit.label, cells)
