"""The kinds of check a rule may ask for, each with the page its finding concerns and the parameters it needs and takes.

One registration here is all that a new check wants besides the function that evaluates it: the schema of rules files, the
check of a rule's parameters and the review take their lists from this table. The function bears the kind's name with
underscores, in one of the review's modules of checks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Any

from briefgen.frozen import dataclass
from briefgen.model.plan import FindingPage


@dataclass(frozen=True)
class Parameter:
    """A figure or word of a rule.

    `form` is its kind of quantity, or "number" or "integer"; empty where it is one of `words`. `stricter` says which way
    it is stricter, so that an override that claims to be stricter can be held to it. `bounds` are further keywords of
    the schema.
    """

    description: str
    example: str | float
    form: str = ""
    words: tuple[str, ...] = ()
    stricter: str = ""  # larger | smaller
    bounds: Mapping[str, str | float] = field(default_factory=dict)
    printed: tuple[str, int] | None = None  # unit and decimals, where they are not those of its form

    @property
    def shown_in(self) -> tuple[str, int]:
        """The unit it is printed in and its decimals; no unit for words."""
        return self.printed or PRINTED_IN.get(self.form, ("", 0))

    def schema(self) -> dict[str, Any]:
        """Return the schema of the parameter."""
        if self.words:
            return {"enum": list(self.words), "description": self.description, "examples": [self.example]}
        plain = self.form in ("number", "integer")
        kind: dict[str, Any] = {"type": self.form} if plain else {"type": "string", "x-form": self.form}
        strict = {"x-stricter": self.stricter} if self.stricter else {}
        return {**kind, "description": self.description, "examples": [self.example], **strict, **self.bounds}


@dataclass(frozen=True)
class RuleKind:
    """A kind of check: its name in rules files, the page its finding concerns, and its parameters."""

    name: str
    page: FindingPage
    needs: tuple[str, ...] = ()
    may_have: tuple[str, ...] = ()

    @property
    def takes(self) -> tuple[str, ...]:
        """Every parameter of the kind."""
        return (*self.needs, *self.may_have)


# The unit and the decimals in which a parameter of a form is printed.
PRINTED_IN: Mapping[str, tuple[str, int]] = {
    "duration": ("min", 0),
    "percentage": ("%", 0),
    "mass": ("lb", 0),
    "length": ("ft", 0),
    "height": ("ft", 0),
    "speed": ("kt", 0),
    "visibility": ("km", 1),
    "number": ("", 3),
}

PARAMETERS: Mapping[str, Parameter] = {
    "reserve": Parameter("Time she must still be able to fly.", "45 min", form="duration", stricter="larger"),
    "light": Parameter(
        "The light in which the rule applies; 'day' needs take-off and landing by day.",
        "day",
        words=("day", "night", "any"),
    ),
    "after": Parameter("Where the reserve must still be there.", "destination", words=("destination", "alternate")),
    "base": Parameter("Reserve in any case.", "30 min", form="duration", stricter="larger"),
    "share": Parameter(
        "Part on top of it: of flight time, or of trip fuel.",
        "15 %",
        form="percentage",
        stricter="larger",
        bounds={"x-least": "0 %", "x-most": "100 %"},
    ),
    "cap": Parameter("The most the rule asks for.", "90 min", form="duration", stricter="larger"),
    "holding": Parameter(
        "Time of holding at the flow of the final reserve.", "5 min", form="duration", stricter="larger"
    ),
    "place": Parameter("Which aerodrome of the mission.", "origin", words=("origin", "destination", "alternate")),
    "state": Parameter("Which mass.", "ramp", words=("ramp", "take-off", "landing", "zero fuel")),
    "states": Parameter(
        "Which states of loading: all, or those while the load is leaving.", "all", words=("all", "drop")
    ),
    "margin": Parameter(
        "Distance kept from the limits of the centre of gravity.",
        "0.5 in",
        form="length",
        stricter="larger",
        printed=("in", 1),
    ),
    "standard": Parameter("Mass of one person.", "190 lb", form="mass", stricter="larger"),
    "distance": Parameter(
        "Which distance of the take-off.",
        "ground run",
        words=("ground run", "distance to 50 ft", "accelerate-stop", "accelerate-go"),
    ),
    "runway share": Parameter(
        "Part of the runway that may be used.",
        "60 %",
        form="percentage",
        stricter="smaller",
        bounds={"x-least": "10 %", "x-most": "100 %"},
    ),
    "wind limit": Parameter(
        "Greatest component of the wind, where it is lower than the aircraft's own.",
        "20 kt",
        form="speed",
        stricter="smaller",
    ),
    "ceiling": Parameter("Least ceiling above the field.", "2,000 ft", form="length", stricter="larger"),
    "visibility": Parameter("Least visibility.", "3 sm", form="visibility", stricter="larger"),
    "two engines": Parameter("Greatest time from the origin, two engines.", "1 h", form="duration", stricter="smaller"),
    "more engines": Parameter(
        "Greatest time from the origin, three engines or more.", "2 h", form="duration", stricter="smaller"
    ),
    "beyond": Parameter(
        "Time after the landing for which weather is wanted.", "1 h", form="duration", stricter="larger"
    ),
    "clearance": Parameter(
        "Height kept above the minimum safe altitude or an obstacle.", "0 ft", form="length", stricter="larger"
    ),
    "least height": Parameter("Least height.", "500 ft", form="height", stricter="larger"),
    "levels": Parameter("Which system of cruising levels.", "visual", words=("visual", "instrument", "either")),
    "from height": Parameter("Height above which the levels apply.", "3,000 ft", form="height"),
    "tolerance": Parameter("How far off a level still counts as on it.", "50 ft", form="length", stricter="smaller"),
    "above": Parameter("Lower edge of the band of pressure altitudes.", "10,000 ft", form="height", stricter="smaller"),
    "up to": Parameter("Upper edge of the band; without it there is none.", "12,000 ft", form="height"),
    "allowed": Parameter("Time in the band without oxygen.", "30 min", form="duration", stricter="smaller"),
    "engines": Parameter(
        "On which engines the obstacle is passed.", "all engines", words=("all engines", "one failed")
    ),
    "engines out": Parameter("Engines stopped.", 1, form="integer", bounds={"minimum": 0, "maximum": 2}),
    "least engines": Parameter("Fewest engines the rule concerns.", 4, form="integer", bounds={"minimum": 1}),
    "linear": Parameter(
        "Rate of climb, feet per minute for each knot of stalling speed in landing configuration.",
        6.9,
        form="number",
        stricter="larger",
        bounds={"minimum": 0},
    ),
    "square": Parameter(
        "Rate of climb, feet per minute for each knot squared.",
        0.079,
        form="number",
        stricter="larger",
        bounds={"minimum": 0},
    ),
    "square per engine": Parameter(
        "Taken off the square term, divided by the number of engines.",
        0.106,
        form="number",
        stricter="smaller",
        bounds={"minimum": 0},
    ),
    "within": Parameter(
        "Time to the nearest aerodrome, all engines running, that answers the rule instead.",
        "90 min",
        form="duration",
        stricter="smaller",
    ),
    "time limit": Parameter("Greatest time.", "14 h", form="duration", stricter="smaller"),
    "highest": Parameter("Highest level of risk that may be left.", "low", words=("low", "medium", "serious", "high")),
}

RULE_KINDS: tuple[RuleKind, ...] = (
    RuleKind("fuel on board", "fuel"),
    RuleKind("fuel components", "fuel"),
    RuleKind("tank capacity", "fuel"),
    RuleKind("fuel grade", "fuel", ("place",)),
    RuleKind("reserve time", "fuel", ("reserve", "light", "after")),
    RuleKind("reserve share", "fuel", ("base", "share", "cap")),
    RuleKind("reserve without alternate", "fuel", ("base", "share", "cap")),
    RuleKind("contingency fuel", "fuel", ("share", "holding")),
    RuleKind("final reserve time", "fuel", ("reserve",)),
    RuleKind("final reserve intact", "fuel"),
    RuleKind("additional fuel", "diversions", ("holding",)),
    RuleKind("mass limit", "balance", ("state",)),
    RuleKind("centre of gravity", "balance", ("states", "margin")),
    RuleKind("lateral balance", "balance"),
    RuleKind("person mass", "balance", ("standard",)),
    RuleKind("take-off distance", "fields", ("distance", "runway share")),
    RuleKind("obstacle clearance", "fields", ("clearance", "engines")),
    RuleKind("landing distance", "fields", ("place", "runway share")),
    RuleKind("crosswind", "fields", (), ("wind limit",)),
    RuleKind("tailwind", "fields", (), ("wind limit",)),
    RuleKind("runway lights", "fields"),
    RuleKind("landing minima", "weather", ("place",)),
    RuleKind("alternate needed", "diversions", ("ceiling", "visibility")),
    RuleKind("alternate minima", "diversions", ("ceiling", "visibility")),
    RuleKind("take-off alternate", "diversions", ("two engines", "more engines")),
    RuleKind("weather valid", "weather", ("beyond",)),
    RuleKind("safe altitude", "route", ("clearance",)),
    RuleKind("height over target", "route", ("least height",)),
    RuleKind("cruising level", "route", ("levels", "from height", "tolerance")),
    RuleKind("oxygen", "route", ("above", "allowed"), ("up to",)),
    RuleKind(
        "en-route climb",
        "diversions",
        ("engines out", "least engines", "linear", "square", "square per engine", "least height"),
        ("within",),
    ),
    RuleKind("duty length", "communications", ("time limit",)),
    RuleKind("time aloft", "communications", ("time limit",)),
    RuleKind("crew positions", "communications"),
    RuleKind("time over target", "timeline"),
    RuleKind("residual risk", "review", ("highest",)),
)
