"""Names of the facts that both a section and a rule may judge, so that a commander reads each of them once."""

from __future__ import annotations

CENTRE_OF_GRAVITY = "centre of gravity"


def mass(state: str) -> str:
    """Name the weight at ramp, take-off, landing or without fuel, against the aircraft file."""
    return f"mass {state}"


def wind(name: str, ident: str) -> str:
    """Name the crosswind or tail wind at an aerodrome, against the aircraft file."""
    return f"{name} {ident}"


def take_off(distance: str) -> str:
    """Name one distance of the take-off, against the runway."""
    return f"take-off {distance}"


def obstacle(name: str, *, failed: bool) -> str:
    """Name an obstacle after take-off, passed on all engines or with one failed."""
    return f"obstacle {name}{' failed' if failed else ''}"


def landing(ident: str) -> str:
    """Name the landing distance at an aerodrome, against the runway."""
    return f"landing {ident}"


def time_over(ident: str) -> str:
    """Name the time over a place, against what was asked for."""
    return f"time over {ident}"


def water(runway: str, *, standing: bool) -> str:
    """Name water on a runway, wet or standing: one fact however often the runway is used."""
    return f"water {runway}{' standing' if standing else ''}"
