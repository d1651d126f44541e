"""How a key of an aircraft file follows from the field of the model it fills, and what its text may be.

A key is the field's name without the unit at its end, underscores written as spaces; the unit decides the kind of
quantity. The schema of aircraft files says the same to editors; a test compares the two.
"""

from __future__ import annotations

from functools import lru_cache

# The longest suffix that fits counts. The second word is the kind of quantity (see briefgen.unit_tables).
SUFFIXES: tuple[tuple[str, str], ...] = (
    ("_kg_per_m3", "density"),
    ("_kg_per_m2", "floor load"),
    ("_m3_per_s", "fuel flow"),
    ("_kg_per_s", "fuel flow"),
    ("_m_per_s", "speed"),
    ("_kg_per_m", "running load"),
    ("_kg_per_j", "specific consumption"),
    ("_per_deg", "lift slope"),
    ("_kg_m", "moment"),
    ("_rpm", "engine speed"),
    ("_deg", "angle"),
    ("_m3", "volume"),
    ("_m2", "area"),
    ("_kg", "mass"),
    ("_pa", "pressure"),
    ("_k", "temperature"),
    ("_m", "length"),
    ("_n", "force"),
    ("_w", "power"),
    ("_s", "duration"),
)
_DIMENSIONS = {
    "_m_per_s": "speed",
    "_m": "length",
    "_kg": "mass",
    "_pa": "pressure",
    "_rpm": "engine speed",
    "_deg": "angle",
}
_SPECIAL_KINDS: tuple[tuple[str, str], ...] = (
    ("displacement_m3", "displacement"),
    ("isa_deviation_from_k", "temperature difference"),
    ("temperature_rise_k", "temperature difference"),
    ("rate_m_per_s", "vertical speed"),
)
_OF_INDICATED_AIRSPEEDS = frozenset(
    {"SpeedCard", "SpeedsAtMass", "SpeedLimits", "FlapLimit", "OpeningLimit", "MinimumControl", "PhaseSetting"}
)
_HYPHENATED = {
    "take off": "take-off",
    "run up": "run-up",
    "tail down": "tail-down",
    "power on": "power-on",
    "co pilot": "co-pilot",
    "de icers": "de-icers",
    "over speed": "over-speed",
    "hot day": "hot-day",
}


@lru_cache(maxsize=512)
def suffix_of(name: str) -> str:
    """Return the unit suffix of a field, empty if it has none."""
    return next((suffix for suffix, _ in SUFFIXES if name.endswith(suffix)), "")


@lru_cache(maxsize=512)
def key_of(name: str) -> str:
    """Return the key under which a file gives a field."""
    parts = [part.removesuffix(suffix_of(part)) for part in name.split("_by_")]
    words = "_by_".join(parts).replace("_", " ")
    for plain, hyphened in _HYPHENATED.items():
        words = words.replace(plain, hyphened)
    return words


def form_of(owner: str, name: str) -> str | None:
    """Return the kind of quantity a field of a class is written as, None for a bare number."""
    for special, kind in _SPECIAL_KINDS:
        if name == special:
            return kind
    suffix = suffix_of(name)
    if suffix == "_m" and "arm" in name.split("_"):
        return "arm"
    if suffix == "_m" and (
        any(part in name for part in ("altitude_limit", "above", "altitude", "not_below")) or owner == "AltitudeAction"
    ):
        return "height"
    if suffix == "_m_per_s" and owner in _OF_INDICATED_AIRSPEEDS:
        return "indicated airspeed"
    return dict(SUFFIXES).get(suffix)


def column_dimensions(name: str) -> tuple[str | None, str | None]:
    """Return the dimensions of argument and value of a curve, as far as the field's name fixes them."""
    if name == "calibrated_by_indicated":
        return "speed", "speed"
    value, _, argument = name.partition("_by_")
    return _DIMENSIONS.get(suffix_of(argument)), _DIMENSIONS.get(suffix_of(value))
