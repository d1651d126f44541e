"""The groups of written values that figures rest on as a whole: parts of the aircraft file, the places, the weather, the rules.

Displacement alone moves some five hundred figures: naming it beside each would say nothing. So a figure that comes out of the
flight names the group, and `explain` ends there with the file and the line at which the group begins.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from briefgen.model.mission import Mission
from briefgen.model.record import Record, figure, note
from briefgen.planning.ledger.writer import LedgerWriter

POWERPLANT, AIRFRAME, INSTRUMENTS = "aircraft.powerplant.file", "aircraft.airframe.file", "aircraft.instruments.file"
SPEEDS, BALANCE, FIELD = "aircraft.speeds.file", "aircraft.balance.file", "aircraft.field.file"
GROUND_FLOWS, FLUIDS, ACTIONS = "aircraft.ground_flows.file", "aircraft.fluids.file", "aircraft.actions.file"
LIMITS, PLACES, RULES, WEATHER = "aircraft.limits.file", "places.file", "rules.file", "weather.file"

# A pattern of the paths of written values, and the entry that stands for them; the first that matches is a value's group.
GROUPS: tuple[tuple[str, str], ...] = (
    (r"weather:", WEATHER),
    (r"places:", PLACES),
    (r"rules:", RULES),
    (
        r"aircraft:model\.(?:engine\b(?! config)|propeller|fuel grades|minimum engine speed|filters|descent manifold)",
        POWERPLANT,
    ),
    (r"aircraft:model\.(?:airframe|engine configurations)", AIRFRAME),
    (r"aircraft:model\.field", FIELD),
    (r"aircraft:charts", POWERPLANT),
    (r"aircraft:(?:instruments|instrument resolution)", INSTRUMENTS),
    (r"aircraft:(?:speeds|descent|phases|minimum control|speeds by weight|mixture settings|carburettor ice)", SPEEDS),
    (r"aircraft:(?:balance|individuals|crew|people)", BALANCE),
    (r"aircraft:ground flows", GROUND_FLOWS),
    (r"aircraft:(?:fluids|fuel transfer)", FLUIDS),
    (r"aircraft:(?:lever order|altitude actions|checklists|emergencies|calls on the run)", ACTIONS),
    (r"aircraft:limits", LIMITS),
)
_ANY = re.compile("|".join(f"({pattern})" for pattern, _ in GROUPS))  # thousands of paths are asked: one look at each
WORDS = {
    POWERPLANT: "Engines, propellers and fuel grades",
    AIRFRAME: "Airframe: drag, lift and engine configurations",
    INSTRUMENTS: "Corrections of her instruments",
    SPEEDS: "Speeds and settings of the phases",
    BALANCE: "Weights, stations, bays and tanks",
    FIELD: "Wheels, attitudes and surfaces",
    GROUND_FLOWS: "Fuel flows on the ground",
    FLUIDS: "Fluids and fuel transfer",
    ACTIONS: "Lever order, actions at heights and checklists",
    LIMITS: "Limits",
    PLACES: "Places",
    RULES: "Rule set",
}
FLOWN_BY = (POWERPLANT, AIRFRAME, INSTRUMENTS, SPEEDS, WEATHER)  # what every minute in the air rests on


class Group(Record):
    """One group, by the file and the line where its first value is written."""

    def __init__(self, key: str, file: str, line: int) -> None:
        self.at, self.label, self._file = key.removesuffix(".file"), WORDS[key], file
        self.origin = f"{file}, from line {line}" if line else ""

    @figure("%(label)s", how="as the file says", source="%(origin)s")
    def file(self) -> str:
        return self._file


class Groups(Record):
    """Every group of which the mission's files write something."""

    def __init__(self, mission: Mission) -> None:
        self._groups: list[Group] = []
        found: dict[str, str] = {}
        for path in mission.given:
            match = _ANY.match(path)
            key = GROUPS[match.lastindex - 1][1] if match and match.lastindex else ""
            if key in WORDS:
                found.setdefault(key, path)
        for key in WORDS:
            first = mission.given[found[key]] if key in found else None
            self._groups.append(Group(key, first.file if first else "nothing written", first.line if first else 0))

    def parts(self) -> Sequence[Record]:
        return self._groups


def rest_on_groups(*keys: str) -> None:
    """Note that the figure being worked out rests on groups of written values."""
    for key in keys:
        note(key)


def write_groups(mission: Mission, writer: LedgerWriter) -> Groups:
    """Enter the groups of written values."""
    groups = Groups(mission)
    writer.adopt(groups)
    return groups
