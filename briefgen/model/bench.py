"""What a planner tries out: changes of what was written, what they did, what is uncertain, and many missions beside each other."""

from __future__ import annotations

from datetime import datetime

from briefgen.frozen import dataclass
from briefgen.model.comparison import Comparison


@dataclass(frozen=True)
class Change:
    """A written value that is to be another one: its path as `explain` shows it, and the new text."""

    path: str
    text: str


@dataclass(frozen=True)
class Variation:
    """Changes under one name, such as "40 min late"."""

    name: str
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class Varied:
    """What a variation does to a plan: the plans compared, or why it cannot be planned."""

    name: str
    changes: tuple[Change, ...]
    comparison: Comparison | None
    refused: str = ""  # the sentence of the refusal, empty where it is planned
    figures: tuple[tuple[str, str], ...] = ()  # key and printed figure of what a crew reads first
    failed: tuple[str, ...] = ()  # titles of the findings that fail
    cautioned: tuple[str, ...] = ()


@dataclass(frozen=True)
class WhatIf:
    """A mission as written and its variations side by side."""

    number: str
    name: str
    labels: tuple[tuple[str, str], ...]  # key and label of the figures side by side
    written: Varied
    variations: tuple[Varied, ...]


@dataclass(frozen=True)
class FieldError:
    """By how much a forecast field is off: its standard deviation [m/s or K] and over what it is alike [m, m, s]."""

    sd: float
    over_m: float
    in_height_m: float
    in_time_s: float


@dataclass(frozen=True)
class Uncertainty:
    """What a mission says is uncertain, each with its source; None is not said, and not varied."""

    wind: FieldError | None  # of each component
    temperature: FieldError | None
    consumption_sd_ratio: float | None
    weight_sd_kg: float | None  # of the weight without fuel
    delay_sd_s: float | None  # of a normal distribution folded over: nobody starts before the time
    sources: tuple[tuple[str, str], ...]  # cause and source, in words


@dataclass(frozen=True)
class Use:
    """Something that can serve one mission at a time: from when to when."""

    kind: str  # aircraft, person or place
    name: str
    begin: datetime
    end: datetime


@dataclass(frozen=True)
class Uses:
    """All that one mission uses, and the duty its rules allow a day [s]; None where no rule says it."""

    mission: str  # number and name
    uses: tuple[Use, ...]
    duty_limit_s: float | None


@dataclass(frozen=True)
class Conflict:
    """Two missions that want one thing at once, or a day of one person that is too long, in words."""

    what: str
    missions: tuple[str, ...]
    told: str
