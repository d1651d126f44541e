"""Every ledger key the review looks up, in one place, so that a renamed entry is followed with one edit."""

from __future__ import annotations

from briefgen.planning.ledger.keys import departure_name

RAMP_FUEL = "fuel.ramp"  # all fuel aboard as the engines are started, with what cannot be used [kg]
REQUIRED = "fuel.required."
VOLUME_SUFFIX = "_volume"  # the same line again, by volume
TAXI_FUEL = "fuel.required.taxi"
TRIP_FUEL = "fuel.required.trip"
CONTINGENCY_FUEL = "fuel.required.contingency"
ALTERNATE_FUEL = "fuel.required.alternate"
FINAL_RESERVE_FUEL = "fuel.required.final_reserve"
HOLD_FUEL = "fuel.required.hold"  # where a hold is planned
ISLAND_FUEL = "fuel.required.island"
UNUSABLE_FUEL = "fuel.required.unusable"
REQUIRED_FUEL = "fuel.required.total"

TAKE_OFF_TIME = "time.take_off"
LANDING_TIME = "time.landing"
OVER_TARGET_TIME = "time.over_target"
DUTY_LENGTH = "duration.duty"

OXYGEN_REQUIRED = "oxygen.required"
OXYGEN_AVAILABLE = "oxygen.available"

MAGNETIC_TRACK = "course_magnetic"  # of a phase
FUEL_LEFT = "fuel_remaining"  # of a phase
PHASE_LIGHT = "light"  # of a phase, at its end

MINIMA = "minima"  # of the weather at a field: words that begin with MINIMA_MET when it is good enough
MINIMA_MET = "met"

BALANCE = "balance."
FORWARD_MARGIN = "forward_margin"
AFT_MARGIN = "aft_margin"
NEAREST_LIMIT = "nearest"
LATERAL_MOMENT = "lateral_moment"
DROP_STATES = ("run.", "hang_up.")  # how the states begin in which load is leaving or has failed to


def mass(state: str) -> str:
    """Return the key of the mass at ramp, take-off, landing or without fuel."""
    return f"mass.{state.replace(' ', '_').replace('-', '_')}"


def balance(state: str, name: str) -> str:
    """Return the key of one figure of a balance state."""
    return f"{BALANCE}{state}.{name}"


def field_weather(role: str, ident: str, name: str) -> str:
    """Return the key of one figure of the weather at an aerodrome when it is used for take-off, landing or as alternate."""
    use = departure_name(ident) if role == "take-off" else ident.lower()
    return f"weather.field.{use}.{name}"


TAKE_OFF_DISTANCES = {  # how a rule names each distance
    "ground run": "ground_run",
    "distance to 50 ft": "distance_50ft",
    "accelerate-stop": "accelerate_stop",
    "accelerate-go": "accelerate_go",
}


def take_off_field(ident: str, name: str) -> str:
    """Return the key of one figure of the take-off from an aerodrome."""
    return f"fields.take_off.{ident.lower()}.{name}"


def landing_field(ident: str, name: str) -> str:
    """Return the key of one figure of the landing at an aerodrome."""
    return f"fields.landing.{ident.lower()}.{name}"


def engine_out(name: str) -> str:
    """Return the key of one figure of the worst way out with an engine stopped."""
    return f"engine_out.{name}"


def finding(ident: str, name: str) -> str:
    """Return the key of one figure of a finding."""
    return f"finding.{ident}.{name}"
