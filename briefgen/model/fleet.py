"""What many missions use at what time, and where two of them want the same thing."""

from __future__ import annotations

from datetime import datetime

from briefgen.frozen import dataclass


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
