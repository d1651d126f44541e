"""What the crew does in order: checklists, actions by height, the order of levers, emergencies."""

from __future__ import annotations

from typing import Literal

from briefgen.frozen import dataclass
from briefgen.model.handling import FlightPhase
from briefgen.model.performance import LeverName

# In the order of a flight; a file gives its checklists in this order.
ChecklistPhase = Literal[
    "outside inspection", "before entering", "start", "starting", "taxi", "run-up", "take-off", "climb", "cruise",
    "en route", "fuel transfer", "drop", "descent", "landing", "go-around", "after landing", "shutdown", "leaving",
]  # fmt: skip


@dataclass(frozen=True)
class ChecklistItem:
    """One line: who does it, the challenge and the response; both may hold ledger keys in braces."""

    position: str
    challenge: str
    response: str
    note: str


@dataclass(frozen=True)
class Checklist:
    """A checklist of one phase."""

    phase: ChecklistPhase
    title: str
    items: tuple[ChecklistItem, ...]


RunMoment = Literal[
    "power set", "engine-failure speed", "unstick speed", "speed at 50 ft", "first power reduction", "climbing speed"
]  # fmt: skip


@dataclass(frozen=True)
class RunCall:
    """What one position calls at a moment of the run and the climb away, in the words that are spoken."""

    at: RunMoment
    position: str
    says: str


@dataclass(frozen=True)
class EmergencyAction:
    """One action of an emergency and who does it; the text may hold ledger keys in braces."""

    position: str
    action: str


@dataclass(frozen=True)
class Emergency:
    """An emergency: the phases it can happen in, what is done at once and by heart, and what follows from the list."""

    name: str
    phases: tuple[FlightPhase, ...]
    at_once: tuple[EmergencyAction, ...]
    then: tuple[EmergencyAction, ...]
    note: str


@dataclass(frozen=True)
class AltitudeAction:
    """Something to do when a height is crossed; `reference` says from where the height is counted."""

    height_m: float
    reference: str  # "pressure" (altitude) or "above field"
    direction: str  # "climbing" or "descending"
    position: str
    action: str
    reason: str
    lever: str = ""  # the lever it moves, as in the lever order; its power steps then leave that lever to it


@dataclass(frozen=True)
class LeverOrder:
    """The order of the levers when power is increased and when it is reduced."""

    increasing: tuple[LeverName, ...]
    reducing: tuple[LeverName, ...]
