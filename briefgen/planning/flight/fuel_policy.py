"""Fuel by the policy of the rule set: the way to an alternate, the final reserve, the contingency."""

from __future__ import annotations

from briefgen.errors import PlanError
from briefgen.frozen import dataclass
from briefgen.kernel.altimetry import pressure_altitude
from briefgen.model.mission import Mission
from briefgen.model.performance import IndicatedAirspeed, PowerSetting
from briefgen.model.plan import Phase, PhaseKind
from briefgen.model.rules import FuelPolicy
from briefgen.planning.flight.steps import Crew

GROUND_OUT: tuple[PhaseKind, ...] = ("start", "taxi", "run-up")
ON_THE_GROUND = (*GROUND_OUT, "taxi-in", "shutdown")


@dataclass(frozen=True)
class Diversion:
    """The way to one alternate, flown from the end of the mission's air time."""

    ident: str
    phases: tuple[Phase, ...]

    @property
    def fuel_kg(self) -> float:
        """Fuel burnt on the way [kg]."""
        return self.phases[0].start.fuel_kg - self.phases[-1].end.fuel_kg


@dataclass(frozen=True)
class Reserve:
    """The final reserve: where it is burnt, at which setting, and how much it is."""

    ident: str
    setting: PowerSetting
    fuel_kg: float
    go_around_kg: float = 0.0  # of one go-around at the destination, where the policy asks for it


def air_phases(phases: tuple[Phase, ...]) -> tuple[Phase, ...]:
    """Return the phases from take-off to landing."""
    return tuple(phase for phase in phases if phase.kind not in ON_THE_GROUND)


def final_reserve(mission: Mission, crew: Crew, last: Phase, ident: str) -> Reserve:
    """Return the reserve burnt holding at the policy's height above the last field, at the weight she arrives with."""
    places = {place.ident: place for place in mission.places}
    place, policy = places[ident], mission.rules.fuel
    if place.elevation_m is None:
        raise PlanError(f"{ident} has no elevation", expected="the elevation of the field where the reserve is burnt")
    setting_pa = crew.sky.altimeter_setting(place.lat_deg, place.lon_deg, last.end.instant)
    height_m = pressure_altitude(place.elevation_m + policy.final_reserve_height_m, setting_pa)
    air, _ = crew.sky.flown_air(place.lat_deg, place.lon_deg, height_m, last.end.instant)
    target = IndicatedAirspeed(crew.performance.speeds(last.end.mass_kg).hold_m_per_s)
    exact = crew.performance.cruise(last.end.mass_kg, air, target, phase="hold")
    setting = crew.performance.as_set(exact)
    return Reserve(ident, setting, setting.fuel_flow_kg_per_s * policy.final_reserve_s)


def contingency_kg(policy: FuelPolicy, trip_kg: float, reserve: Reserve) -> float:
    """Return the contingency fuel [kg]: a share of the trip fuel, and no less than a time of holding."""
    holding_kg = policy.contingency_minimum_s * reserve.setting.fuel_flow_kg_per_s
    return max(policy.contingency_ratio * trip_kg, holding_kg)
