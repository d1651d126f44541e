"""Values as they stand in the messages of this room: trade units, rounded as an instrument reads."""

from __future__ import annotations

from briefgen.kernel.constants import FT_M, INHG_PA, KELVIN_AT_0_DEGC, KT_M_PER_S, LB_KG

MPH_M_PER_S = 5280.0 * FT_M / 3600.0  # statute mile of 5,280 ft, exact: NIST SP 811, appendix B


def speed_words(speed_m_per_s: float) -> str:
    """Return a speed in statute miles per hour and in knots."""
    return f"{speed_m_per_s / MPH_M_PER_S:,.0f} mph ({speed_m_per_s / KT_M_PER_S:,.0f} kt)"


def height_words(height_m: float) -> str:
    """Return a height in feet."""
    return f"{height_m / FT_M:,.0f} ft"


def mass_words(mass_kg: float) -> str:
    """Return a mass in pounds."""
    return f"{mass_kg / LB_KG:,.0f} lb"


def pressure_words(pressure_pa: float) -> str:
    """Return a manifold pressure in inches of mercury."""
    return f"{pressure_pa / INHG_PA:.1f} inHg"


def temperature_words(temperature_k: float) -> str:
    """Return a temperature in degrees Celsius."""
    return f"{temperature_k - KELVIN_AT_0_DEGC:.0f} degC"


def rate_words(rate_m_per_s: float) -> str:
    """Return a rate of climb or descent in feet per minute."""
    return f"{rate_m_per_s / FT_M * 60.0:,.0f} ft/min"


PRINTED_UNITS: dict[str, float] = {
    "": 1.0,
    "lb": LB_KG,
    "kg": 1.0,
    "ft": FT_M,
    "m": 1.0,
    "degC diff": 1.0,
    "mph indicated": MPH_M_PER_S,
    "kt indicated": KT_M_PER_S,
    "mph": MPH_M_PER_S,
    "kt": KT_M_PER_S,
    "ft/min": FT_M / 60.0,
    "%": 0.01,
    "rpm": 1.0,
    "inHg": INHG_PA,
}  # SI value of one unit at the head of a chart's axis; the numbers of a chart are shown as it prints them
