"""What the file says of a phase, put beside what the charts print for it."""

from __future__ import annotations

from briefgen.aircraft.flight_point import AirspeedSystem
from briefgen.aircraft.handling import Handling
from briefgen.errors import OutOfRangeError
from briefgen.frozen import replace
from briefgen.kernel.constants import KELVIN_AT_0_DEGC
from briefgen.model.handling import FlightPhase, PhaseSetting
from briefgen.model.performance import Air, Mixture, PowerSetting

NO_WARM_AIR = "; made without warm air in the carburettors, which asks for more manifold pressure"


def refuse_warm_air(handling: Handling, *, icing: bool) -> None:
    """Refuse a ceiling in icing cloud where the file sets warm air against it, which charts do not count."""
    against = handling.against_ice("climb", Air(0.0, KELVIN_AT_0_DEGC, icing=icing))
    if against is not None and (against.intercooler is not None or against.carburettor_heat is not None):
        raise OutOfRangeError(
            "the charts are made without warm air in the carburettors: no ceiling is known in icing cloud",
            expected="a level clear of the cloud",
        )


def with_words(handling: Handling, setting: PowerSetting, phase: FlightPhase) -> PowerSetting:
    """Return a setting with the levers of which the file says a word for the phase and the charts none."""
    air, against = setting.air, handling.against_ice(phase, setting.air)
    warm = against is not None and (against.intercooler is not None or against.carburettor_heat is not None)
    return replace(
        setting,
        phase=phase,
        boost_pumps=handling.boost_pumps(phase, air),
        cowl_flaps=handling.cowl_flaps(phase, air),
        filters={"in": "on", "out": "off"}.get(handling.filters(phase, air) or ""),
        intercooler=against.intercooler if against else setting.intercooler,
        carburettor_heat=against.carburettor_heat if against else setting.carburettor_heat,
        governing_limit=f"{setting.governing_limit}{NO_WARM_AIR}" if warm else setting.governing_limit,
        mixture_name=handling.mixture_settings.of(setting.mixture) if setting.mixture else None,
    )


def without_chart(handling: Handling, setting: PowerSetting, said: PhaseSetting) -> PowerSetting:
    """Return a setting of clean flight as one of a phase with gear or flaps out: its levers would not hold height."""
    mixture = said.mixture or setting.mixture
    return replace(
        setting,
        engine_speed_rpm=said.engine_speed_rpm,
        manifold_pressure_pa=None,
        mixture=mixture,
        mixture_name=handling.mixture_settings.of(mixture) if mixture else None,
        power_w=None,
        governing_limit="no chart with gear and flaps out: fuel of clean level flight in the pattern, less than is burnt",
    )


def on_level_fuel(level: PowerSetting) -> PowerSetting:
    """Return a descent without a chart of it: the fuel of level flight, and no levers, which would hold height."""
    return replace(
        level,
        engine_speed_rpm=None,
        manifold_pressure_pa=None,
        mixture=None,
        mixture_name=None,
        governing_limit="no chart for the descent: fuel of level flight at that speed, more than is burnt",
    )


def at_speed(setting: PowerSetting, airspeeds: AirspeedSystem, ias_m_per_s: float) -> PowerSetting:
    """Return a setting as one at another indicated airspeed on the same fuel."""
    point = airspeeds.at_indicated(setting.air, ias_m_per_s)
    return replace(
        setting,
        ias_m_per_s=ias_m_per_s,
        cas_m_per_s=point.cas_m_per_s,
        tas_m_per_s=point.tas_m_per_s,
        specific_range_m_per_kg=point.tas_m_per_s / setting.fuel_flow_kg_per_s,
    )


def kept_to(handling: Handling, setting: PowerSetting, mixture: Mixture | None) -> PowerSetting:
    """Return a setting that says so where the chart prints another mixture than the phase asks for."""
    if mixture is None or setting.mixture in (None, mixture):
        return setting
    asked = handling.mixture_settings.of(mixture)
    limit = f"chart, which prints only {setting.mixture_name} here; {asked} asked for"
    return replace(setting, governing_limit=limit)


def cruise_in(configuration: str) -> str:
    """Return the name of the chart of level flight on all engines in a configuration."""
    return "cruise" if configuration == "clean" else f"cruise {configuration}"
