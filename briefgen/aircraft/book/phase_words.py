"""What the file says of a phase, put beside what the charts print for it."""

from __future__ import annotations

from dataclasses import replace

from briefgen.aircraft.handling import Handling
from briefgen.model.handling import FlightPhase, PhaseSetting
from briefgen.model.performance import Mixture, PowerSetting


def with_words(handling: Handling, setting: PowerSetting, phase: FlightPhase) -> PowerSetting:
    """Return a setting with the levers of which the file says a word for the phase and the charts none."""
    said, air = handling.of(phase), setting.air
    return replace(
        setting,
        boost_pumps=handling.boost_pumps(phase, air),
        cowl_flaps=handling.cowl_flaps(phase, air),
        filters={"in": "on", "out": "off"}.get(said.filters or ""),
    )


def without_chart(setting: PowerSetting, said: PhaseSetting) -> PowerSetting:
    """Return a setting of clean flight as one of a phase with gear or flaps out: its levers would not hold height."""
    return replace(
        setting,
        engine_speed_rpm=said.engine_speed_rpm,
        manifold_pressure_pa=None,
        mixture=said.mixture or setting.mixture,
        power_w=None,
        governing_limit="no chart with gear and flaps out: fuel of clean level flight at that speed, less than is burnt",
    )


def kept_to(setting: PowerSetting, mixture: Mixture | None) -> PowerSetting:
    """Return a setting that says so where the chart prints another mixture than the phase asks for."""
    if mixture is None or setting.mixture in (None, mixture):
        return setting
    return replace(setting, governing_limit=f"chart, which prints only {setting.mixture} here; {mixture} asked for")
