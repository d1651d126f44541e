"""The heads of the keys under which the review finds what concerns a place or a state, each made in one place."""

from __future__ import annotations

from briefgen.planning.ledger.keys import departure_name

MINIMA_MET = "met"  # how the words on the weather at a field begin when it is good enough


def field_weather(role: str, ident: str) -> str:
    """Return the head of the keys of the weather at an aerodrome when it is used for take-off, landing or as alternate."""
    return f"weather.field.{departure_name(ident) if role == 'take-off' else ident.lower()}"


TAKE_OFF_DISTANCES = {  # how a rule names each distance
    "ground run": "ground_run",
    "distance to 50 ft": "distance_50ft",
    "accelerate-stop": "accelerate_stop",
    "accelerate-go": "accelerate_go",
}


def take_off_field(ident: str, part: str = "") -> str:
    """Return the head of the keys of the take-off from an aerodrome, or of a part of it."""
    return f"fields.take_off.{ident.lower()}{f'.{part}' if part else ''}"


def landing_field(ident: str) -> str:
    """Return the head of the keys of the landing at an aerodrome."""
    return f"fields.landing.{ident.lower()}"
