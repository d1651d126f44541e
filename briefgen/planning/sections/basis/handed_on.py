"""What the sector before leaves to this one, as the first figures of a sector that goes on from another."""

from __future__ import annotations

from datetime import datetime

from briefgen.model.mission import HandedOn, Mission
from briefgen.model.record import Record, Sum, figure, given, rests_on, total
from briefgen.planning.sections.basis.groups import (
    BALANCE,
    FLOWN_BY,
    GROUND_FLOWS,
    PLACES,
    RULES,
    rest_on_groups,
)
from briefgen.planning.sections.basis.written_load import RampFuel


class HandedOnFigures(Record):
    """Time and fuel on blocks at the end of the sector before, and what the landing adds to both."""

    at = "handed_on"

    def __init__(self, mission: Mission, handed_on: HandedOn) -> None:
        number = mission.sector.number if mission.sector else 0
        self._handed_on = handed_on
        self._ramp: RampFuel | None = None
        self.origin = f"{mission.file}#{number - 1}"
        self._flown = (*FLOWN_BY, GROUND_FLOWS, BALANCE, PLACES, RULES)

    def of_ramp(self, ramp: RampFuel) -> None:
        """Take the fuel at the ramp, which what is taken on is the rest of."""
        self._ramp = ramp

    @figure("Sector before", how="as the route says")
    def before(self) -> str:
        rest_on_groups(PLACES)
        return self._handed_on.before

    @figure("Duty began", "UTC", how="briefing before the first sector", source="%(origin)s")
    def reporting(self) -> datetime:
        rest_on_groups(*self._flown)
        return self._handed_on.reporting

    @figure("On blocks before", "UTC", how="engines stopped at the end of the sector before", source="%(origin)s")
    def on_blocks(self) -> datetime:
        rest_on_groups(*self._flown)
        return self._handed_on.on_blocks

    @given("Turn-round", "h:min", spec="landing.turn-round")
    def turn_round(self) -> float:
        return self._handed_on.turn_round_s

    @figure("Fuel on blocks before", "lb", how="fuel left at the end of the sector before", source="%(origin)s")
    def fuel(self) -> float:
        rest_on_groups(*self._flown)
        return self._handed_on.fuel_kg

    @total("Fuel taken on", "lb", how="fuel at the ramp less fuel on blocks before")
    def taken_on(self) -> Sum:
        assert self._ramp is not None
        return Sum([RampFuel.ramp.of(self._ramp)], [HandedOnFigures.fuel.of(self)])


class DensityMixed(Record):
    """The density of the fuel of a sector that goes on: of what was left and of what was taken on."""

    at = "fuel"

    def __init__(self, mission: Mission, handed_on: HandedOnFigures) -> None:
        self._fuel, self._handed_on = mission.fuel, handed_on

    @figure("Fuel density", "lb/US gal", decimals=2, how="of what was left and what was taken on, by volume")
    def density(self) -> float:
        rests_on(self._handed_on.fuel)
        return self._fuel.density_kg_per_m3


class RampFuelHandedOn(RampFuel):
    """Fuel at the ramp of a sector that goes on: what was left, and what was taken on."""

    def __init__(self, mission: Mission, fuel_kg: float, handed_on: HandedOnFigures) -> None:
        super().__init__(mission, fuel_kg)
        self._handed_on = handed_on
        count = mission.start.for_sectors if mission.start else 0
        least = f"the least that the fuel policy requires on {_sectors(count)} from here, and what is asked over it"
        self.settled = least if count else "what was left, and what is taken on here"

    @figure("Fuel at the ramp", "US gal", how="%(settled)s", rounding="down")
    def ramp_volume(self) -> float:
        rests_on(self._handed_on.fuel)
        rest_on_groups(*FLOWN_BY, GROUND_FLOWS, BALANCE, PLACES, RULES)
        return self._fuel_kg / self._mission.fuel.density_kg_per_m3


class RampFuelAhead(RampFuel):
    """Fuel at the ramp of a first sector, settled for those after it too: no fuel is taken on where it ends."""

    def __init__(self, mission: Mission, fuel_kg: float) -> None:
        super().__init__(mission, fuel_kg)
        self.settled = _sectors(mission.start.for_sectors if mission.start else 1)

    @figure(
        "Fuel at the ramp", "US gal", rounding="down",
        how="the least that the fuel policy requires on %(settled)s, and what is asked over it",
    )  # fmt: skip
    def ramp_volume(self) -> float:
        rest_on_groups(*FLOWN_BY, GROUND_FLOWS, BALANCE, PLACES, RULES)
        return self._fuel_kg / self._mission.fuel.density_kg_per_m3


def _sectors(count: int) -> str:
    return "the sector" if count == 1 else f"the {count} sectors"
