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


QUANTILES = (0.01, 0.05, 0.5, 0.95, 0.99)


@dataclass(frozen=True)
class Band:
    """Time [s after the planned one] and fuel [kg] at one point: quantiles of `QUANTILES`, mean, standard deviation."""

    point: str
    kind: str
    planned_s: float  # after the planned first start
    planned_kg: float
    later_s: tuple[float, ...]
    fuel_kg: tuple[float, ...]
    mean_later_s: float
    mean_fuel_kg: float
    sd_s: float
    sd_kg: float


@dataclass(frozen=True)
class Checked:
    """The replays against the same samples flown in full, at landing: errors as a part of the spread, and both sides' refusals."""

    count: int
    rms_s: float
    rms_kg: float
    part_of_time: float
    part_of_fuel: float
    refused_flown: int
    refused_replayed: int
    agree: int  # samples refused by both or by neither
    means: tuple[tuple[float, float], tuple[float, float]]  # of time [s] and fuel [kg]: flown, replayed
    sds: tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Spread:
    """What thousands of flights come to."""

    samples: int
    seed: int
    error_limit: float  # of the spread of samples flown in full; worse replays are not told
    sources: tuple[tuple[str, str], ...]
    refused: tuple[tuple[str, int], ...]
    bands: tuple[Band, ...]
    under_reserve: float  # part of all samples that land with less than the final reserve, what was refused not counted
    leave_hold: float | None  # part that must leave the last hold before its time; None where there is none
    reserve_kg: float
    hold_needs_kg: float | None
    shares: tuple[tuple[str, float, float], ...]  # cause, its part of the variance of landing time and of landing fuel
    off_s: float
    off_kg: float
    checked: Checked
    worst: tuple[tuple[int, float, float], ...]  # sample, landing fuel replayed and flown [kg]
