"""What a commander calls the figures that a rule may find missing."""

from __future__ import annotations

from briefgen.planning.ledger import review_keys as keys

WORDS = {
    keys.RAMP_FUEL: "fuel at the ramp",
    keys.TAXI_FUEL: "fuel for the taxi",
    keys.TRIP_FUEL: "fuel for the trip",
    keys.CONTINGENCY_FUEL: "contingency fuel",
    keys.ALTERNATE_FUEL: "fuel to the alternate",
    keys.FINAL_RESERVE_FUEL: "final reserve",
    keys.HOLD_FUEL: "fuel for the hold",
    keys.ISLAND_FUEL: "island reserve",
    keys.UNUSABLE_FUEL: "unusable fuel",
    keys.REQUIRED_FUEL: "total fuel required",
    keys.TAKE_OFF_TIME: "time of take-off",
    keys.LANDING_TIME: "time of landing",
    keys.OVER_TARGET_TIME: "time over the target",
    keys.DUTY_LENGTH: "length of the duty",
    keys.OXYGEN_REQUIRED: "oxygen required",
    keys.OXYGEN_AVAILABLE: "oxygen carried",
    keys.engine_out("left"): "fuel left after the way out with an engine stopped",
    keys.engine_out("phase"): "worst moment for an engine to stop",
    keys.mass("ramp"): "weight at the ramp",
    keys.mass("take-off"): "take-off weight",
    keys.mass("landing"): "landing weight",
    keys.mass("zero fuel"): "zero-fuel weight",
}
HEADS = {
    "fields.take_off.": "take-off from {0}: {1}",
    "fields.landing.": "landing at {0}: {1}",
    "weather.field.": "weather at {0}: {1}",
    "balance.": "balance, {0}: {1}",
    "phase.": "phase {0}: {1}",
    "alternate.": "way to alternate {0}: {1}",
}


def spoken(key: str) -> str:
    """Return a figure in words, from its key, for a text that says it is missing."""
    if key in WORDS:
        return WORDS[key]
    for head, words in HEADS.items():
        if key.startswith(head):
            where, _, what = key.removeprefix(head).partition(".")
            return words.format(_plain(where).upper() if head != "balance." else _plain(where), _plain(what))
    return _plain(key)


def _plain(text: str) -> str:
    return text.replace("_", " ").replace(".", " ")
