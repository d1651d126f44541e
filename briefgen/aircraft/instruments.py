"""The deviation card of an individual's compass."""

from __future__ import annotations

from briefgen.kernel.interpolate import Axis, Curve
from briefgen.model.aircraft import Aircraft


def compass_deviation(aircraft: Aircraft, magnetic_heading_deg: float) -> float:
    """Return the deviation of the compass on a magnetic heading [deg], east positive: magnetic = compass + deviation."""
    card = aircraft.instruments.compass_deviation_deg_by_magnetic_heading_deg
    curve = Curve(Axis(card.argument, "deg", card.x), card.value, "deg", card.y)
    return curve.at(magnetic_heading_deg % 360.0)
