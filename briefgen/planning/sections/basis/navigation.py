"""Navigation log: every phase as a row of figures, every leg as their sum."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from briefgen.model.ledger import Row
from briefgen.model.mission import Leg, Mission, RouteItem
from briefgen.model.plan import Phase
from briefgen.model.record import Record, Sum, figure, note, rests_on, total
from briefgen.model.tables import TableOf, column
from briefgen.planning.flight.fuel_policy import ON_THE_GROUND
from briefgen.planning.flight.pacing import point_index
from briefgen.planning.flight.route import alternate_key, item_keys
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import FIELD, FLOWN_BY, GROUND_FLOWS, PLACES, rest_on_groups
from briefgen.planning.sections.basis.inputs import Allowances, Written
from briefgen.planning.sections.basis.phases import CARD_SPEEDS, Chain, PhaseFigures, roots_of
from briefgen.planning.sections.basis.written_load import RampFuel
from briefgen.planning.sections.basis.written_route import written_keys

BURN_VOLUME, LEFT_VOLUME = PhaseFigures.fuel_burn.volume(), PhaseFigures.fuel_remaining.volume()
_LOG_COLUMNS = (
    column(PhaseFigures.reaching, "To"),
    column(PhaseFigures.altitude, "Altitude"),
    column(PhaseFigures.course, "Track"),
    column(PhaseFigures.course_magnetic, "Track"),
    column(PhaseFigures.variation, "Variation"),
    column(PhaseFigures.wind_direction, "Wind from"),
    column(PhaseFigures.wind_speed, "Wind"),
    column(PhaseFigures.tas, "True airspeed"),
    column(PhaseFigures.drift, "Drift"),
    column(PhaseFigures.heading_magnetic, "Heading"),
    column(PhaseFigures.heading_compass, "Compass"),
    column(PhaseFigures.ground_speed, "Ground speed"),
    column(PhaseFigures.distance, "Distance"),
    column(PhaseFigures.cumulative, "Run"),
    column(PhaseFigures.duration, "Time"),
    column(PhaseFigures.end, "At"),
    column(BURN_VOLUME, "Burn"),
    column(LEFT_VOLUME, "Left"),
)
LOG = TableOf("legs", "Navigation log", _LOG_COLUMNS)
ALTERNATE_LOG = TableOf("alternate.*.legs", "Way to an alternate", _LOG_COLUMNS)
PHASES = TableOf(
    "phases",
    "Phase by phase",
    (
        column(PhaseFigures.to, "Phase"),
        column(PhaseFigures.begin, "From"),
        column(PhaseFigures.end, "To"),
        column(PhaseFigures.begin_local, "From"),
        column(PhaseFigures.duration, "Time"),
        column(PhaseFigures.altitude, "Altitude at end"),
        column(BURN_VOLUME, "Burn"),
        column(LEFT_VOLUME, "Fuel remaining"),
        column(PhaseFigures.mass, "Weight at end"),
        column(PhaseFigures.light, "Light"),
    ),
)


class OffBlocks(Record):
    """The clock as the sortie begins."""

    at = "time"

    def __init__(self, mission: Mission, first: Phase, written: Written) -> None:
        self._mission, self._first, self._written = mission, first, written
        goes_on = written.handed_on is not None
        self.begun = "on blocks before, and the turn-round" if goes_on else "take-off less run-up, taxi and start"

    @figure("Start engines", "UTC", how="%(begun)s", name="start")
    def off_blocks(self) -> datetime:
        allowed = self._written.allowances
        if self._written.handed_on is not None:
            rests_on(self._written.handed_on.on_blocks, self._written.handed_on.turn_round)
            return self._first.start.instant
        rests_on(allowed.start, allowed.taxi_out, allowed.run_up, Allowances.take_off_at.or_none(allowed))
        target = self._mission.times.over_target
        if self._mission.times.take_off is None and target is not None:
            self._rests_on_the_way_to(point_index(self._mission, target))
        return self._first.start.instant

    def _rests_on_the_way_to(self, target: int) -> None:
        """Note what settles the time from take-off to the first timed point, which the take-off is worked back from."""
        rests_on(self._written.allowances.take_off, self._written.allowances.first_reduction_height)
        rests_on(self._written.weights.zero_fuel, self._written.ramp.ramp)
        for key in ("timing.01.asked", "fuel.grade", *written_keys(self._mission, 0, target + 1), *CARD_SPEEDS):
            note(key)
        rest_on_groups(*FLOWN_BY, PLACES, GROUND_FLOWS, FIELD)

    @figure("Distance at take-off", "NM", how="where the route begins")
    def origin(self) -> float:
        return 0.0


class RampWeight(Record):
    """Weight at the ramp."""

    at = "mass"

    def __init__(self, written: Written) -> None:
        self._written = written

    @figure("Weight at the ramp", "lb", how="zero-fuel weight with the fuel at the ramp")
    def ramp(self) -> float:
        return self._written.weights.zero_fuel + self._written.ramp.ramp


def legs_flown(mission: Mission, phases: Mapping[int, Phase]) -> Iterator[tuple[str, Phase]]:
    """Yield the head of the keys of each leg that has a phase among those given by item of the route, and that phase."""
    for index, (key, item) in enumerate(zip(item_keys(mission.route.items), mission.route.items, strict=True)):
        if isinstance(item, Leg) and index in phases:
            yield key, phases[index]


class ItemFlown(Record):
    """One item of the route as the sum of the phases flown for it."""

    def __init__(self, key: str, item: RouteItem, own: Sequence[PhaseFigures]) -> None:
        self.at, self._own = key, own
        self.name = item.to.name if isinstance(item, Leg) else f"{type(item).__name__} at {item.at.name}"
        self.last = own[-1].title

    def fuel_density(self) -> float:
        return self._own[0].fuel_density()

    @figure("%(last)s: altitude", "ft", how="altitude of what follows at the end of the leg")
    def end_altitude(self) -> float:
        return self._own[-1].altitude

    @total("%(name)s: distance", "NM", how="sum of its phases")
    def distance(self) -> Sum:
        return Sum([PhaseFigures.distance.of(phase) for phase in self._own])

    @total("%(name)s: time", "min", how="sum of its phases")
    def duration(self) -> Sum:
        return Sum([PhaseFigures.duration.of(phase) for phase in self._own])

    @total("%(name)s: fuel burnt", "lb", how="sum of its phases", volume=True)
    def fuel_burn(self) -> Sum:
        return Sum([PhaseFigures.fuel_burn.of(phase) for phase in self._own])

    @figure("%(name)s: over at", "UTC", how="end of its last phase")
    def eta(self) -> datetime:
        return self._own[-1].end


class WayEnd(Record):
    """The altitude at which the way to an alternate ends, which its descent is named after."""

    def __init__(self, key: str, last: PhaseFigures) -> None:
        self.at, self._last, self.last = key, last, last.title

    @figure("%(last)s: altitude", "ft", how="altitude of what follows at the end of the leg")
    def end_altitude(self) -> float:
        return self._last.altitude


class Navigation(Record):
    """The sortie and the ways to the alternates, phase by phase and leg by leg."""

    def __init__(self, mission: Mission, flown: Flown, written: Written, writer: LedgerWriter) -> None:
        first = flown.phases[0]
        self.clock, self.fuel, self.weight = OffBlocks(mission, first, written), written.ramp, RampWeight(written)
        self._mission, self._writer = mission, writer
        self.start = Chain(
            OffBlocks.off_blocks.of(self.clock), OffBlocks.origin.of(self.clock), RampFuel.ramp.of(self.fuel),
            RampWeight.ramp.of(self.weight),
        )  # fmt: skip
        self.phases = self._chained(flown.phases, self.start)
        landing = max(number for number, one in enumerate(flown.phases) if one.kind == "approach")
        self.ways = {one.ident: self._chained(one.phases, self.phases[landing - 1].chain) for one in flown.diversions}
        self.items = self._items()

    def _chained(self, phases: Sequence[Phase], chain: Chain) -> tuple[PhaseFigures, ...]:
        records = []
        for phase in phases:
            records.append(PhaseFigures(self._mission, phase, roots_of(self._mission, phase, self._writer), chain))
            chain = records[-1].chain
        return tuple(records)

    def _items(self) -> tuple[ItemFlown, ...]:
        found = []
        for index, (key, item) in enumerate(
            zip(item_keys(self._mission.route.items), self._mission.route.items, strict=True)
        ):
            own = [one for one in self.phases if one.phase.item == index]
            if own:
                found.append(ItemFlown(key, item, own))
        return tuple(found)

    def parts(self) -> Sequence[Record]:
        ways = [[*way, WayEnd(alternate_key(ident), way[-2])] for ident, way in self.ways.items()]
        return [self.clock, self.weight, *self.phases, *self.items, *(one for way in ways for one in way)]

    @property
    def phases_in_air(self) -> tuple[PhaseFigures, ...]:
        """The phases from take-off to landing."""
        return tuple(one for one in self.phases if one.phase.kind not in ON_THE_GROUND)

    def of_phase(self, phase: Phase) -> PhaseFigures:
        """Return the figures of a phase.

        Raises:
            LookupError: It is not flown in this plan.
        """
        for one in (*self.phases, *(one for way in self.ways.values() for one in way)):
            if one.phase is phase or one.phase.ident == phase.ident:
                return one
        raise LookupError(f"the phase {phase.ident} is not flown")

    def of_item(self, key: str) -> ItemFlown:
        """Return the figures of an item of the route, named by the head of its keys.

        Raises:
            LookupError: It is not flown in this plan.
        """
        for one in self.items:
            if one.at == key:
                return one
        raise LookupError(f"the item {key} is not flown")


def write_navigation(mission: Mission, flown: Flown, written: Written, writer: LedgerWriter) -> Navigation:
    """Enter the sortie, the ways to the alternates, and their tables."""
    log = Navigation(mission, flown, written, writer)
    writer.adopt(log)
    writer.tabulate(PHASES.filled(log_rows(log.phases, PHASES)))
    writer.tabulate(LOG.filled(log_rows([one for one in log.phases if one.phase.settings], LOG)))
    for ident, way in log.ways.items():
        key = alternate_key(ident).removeprefix("alternate.")
        writer.tabulate(ALTERNATE_LOG.filled(log_rows(way, ALTERNATE_LOG), which=key, title=f"Way to {ident}"))
    return log


def log_rows(phases: Sequence[PhaseFigures], table: TableOf) -> list[Row]:
    """Return a table row for each phase, with the cells that phase has."""
    return [table.row(one.title, one, one.phase.kind) for one in phases]
