"""A closed destination: how long a hold can be kept up with a field still in reach, and when it must be left."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.kernel.constants import FT_M
from briefgen.kernel.turns import RaceTrack, race_track
from briefgen.model.mission import Hold
from briefgen.model.plan import Event, Phase
from briefgen.model.record import Record, figure, note, rests_on, working
from briefgen.planning.flight.home.holding import leave_by
from briefgen.planning.flight.home.refuges import Refuge, WayHome
from briefgen.planning.flight.home.spots import Spot
from briefgen.planning.flight.route import item_keys
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.way_home.places import HeldBack
from briefgen.planning.sections.way_home.spots import FUEL_THERE, SpotFigures

LOW_HOLD_M = 14_000.0 * FT_M
LOW_LEG_S, HIGH_LEG_S = 60.0, 90.0
LEAVERS = ("captain", "co-pilot", "navigator", "flight engineer", "radio operator")
IN_STILL_AIR = "true airspeed of the hold and its bank, balanced turn in still air"


class Pattern(Record):
    """The race-track that a hold is flown in: radius of turn, time of a leg and of a lap, in still air."""

    def __init__(self, head: str, flown: PhaseFigures, hold: Hold) -> None:
        self.at, self._flown, self._hold = head, flown, hold
        low = flown.phase.start.pressure_altitude_m <= LOW_HOLD_M
        self._leg_s = LOW_LEG_S if low else HIGH_LEG_S

    @working
    def _track(self) -> RaceTrack:
        note(f"{self.at}.bank")
        return race_track(self._flown.tas, self._hold.bank_deg, self._leg_s)

    @figure("Radius of turn in the hold", "NM", decimals=2, how=IN_STILL_AIR)
    def turn_radius(self) -> float:
        return self._track.turn_radius_m

    @figure(
        "Time on each straight leg", "min", decimals=1, how="one minute up to 14,000 ft, one and a half above",
        source="ICAO Doc 8168 Volume I, holding procedures (from memory)",
    )  # fmt: skip
    def leg_time(self) -> float:
        rests_on(self._flown.pressure_altitude)
        return self._leg_s

    @figure("One lap of the hold", "min", decimals=1, how=f"two legs and a full turn; {IN_STILL_AIR}")
    def lap_time(self) -> float:
        rests_on(self.leg_time)
        return self._track.lap_s


class LeaveBy(SpotFigures):
    """The moment at which a hold kept up must be left for a field."""

    def __init__(self, head: str, refuge: Refuge, spot: Spot, how: str, kept: HeldBack, log: Navigation) -> None:
        self.place, self._kept = refuge.place.name, kept
        key, label = f"{head}.leave_for.{refuge.place.ident.lower()}", f"Leave the hold for {self.place} by"
        super().__init__(key, label, how, spot, log)

    def _solved(self) -> None:
        super()._solved()
        rests_on(self._kept.ways)
        note("times.approach")

    @figure("Longest hold with %(place)s in reach", "min", how="leave-by time less the beginning of the hold")
    def longest(self) -> float:
        return (self.time - self.during.begin).total_seconds()

    def event(self) -> Event:
        """Return it as a decision that stands where the hold begins, for it is there that the crew must know it."""
        phase, by = self.spot.phase, LeaveBy.time.of(self)
        text = f"{self.label} {by}: fuel {FUEL_THERE.of(self)}, {LeaveBy.longest.of(self)} after the hold began"
        begins = PhaseFigures.begin.of(self.during)
        return Event(begins.key, "decision", phase.ident, LEAVERS, text, phase.place)


def _holds(home: WayHome) -> Sequence[tuple[str, Phase, Hold]]:
    """Return the planned holds with the heads of their keys."""
    items = home.mission.route.items
    found = []
    for phase in home.flown.phases:
        hold = items[phase.item] if phase.kind == "hold" and phase.item is not None else None
        if isinstance(hold, Hold) and phase.item is not None:
            found.append((item_keys(items)[phase.item], phase, hold))
    return found


def write_waiting(
    home: WayHome, refuges: tuple[Refuge, ...], kept: HeldBack, log: Navigation, how: str, writer: LedgerWriter
) -> list[Event]:
    """Enter how long each planned hold can be kept up with an alternate still in reach, past its planned end too."""
    events: list[Event] = []
    for head, phase, hold in _holds(home):
        writer.adopt(Pattern(head, log.of_phase(phase), hold))
        for refuge in refuges:
            spot = leave_by(home, phase, refuge) if refuge.height_m is not None else None
            if spot is not None:
                made = LeaveBy(head, refuge, spot, how, kept, log)
                writer.adopt(made)
                events.append(made.event())
    return events
