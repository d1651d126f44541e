"""An empty log for one mission: its head, its lines with their numbers and planned times, and the keys to fill in."""

from __future__ import annotations

import json
from datetime import datetime, timedelta

from briefgen.model.flight_log import Blanks
from briefgen.model.mission import Action, Mission

HALF_MINUTE = timedelta(seconds=30)
FRONT = """# The log of one flight, to be copied from the blanks of its cards; `briefgen schema log` describes every key.
# What is left out is not known, and nothing is put in its place. Times: local, or UTC with a Z.
briefgen: log/1
mission: {mission}
number: {number}
revision: {revision}
# reading error: 8 US gal        # of one reading of all tanks together, one standard deviation; wanted with any fuel
# density: 6.0 lb/US gal         # if it was measured
# zero fuel weight: 33,900 lb    # if she was loaded otherwise than planned
# landed at: {alternate}
"""
KEYS = """# A line may carry: time, position, fuel (or 'fuel by tank: {{ ... }}'), altitude, indicated, engine speed, manifold pressure,
# mixture, fuel flow, air temperature, wind (found since the line above), remarks. A moment between lines has no number.
#   - {{ no: 3, at: MARLIN, time: "17:25Z", fuel: "1,180 US gal", indicated: 150 mph indicated, wind: 110T/22 kt }}
lines:
"""
BACK = """# engines:
#   take-off power: 3 min
#   oil in: [{each}]
#   oil out: [{each}]
#   oil added: [{each}]
#   oil dilution: {{ lasts: 4 min, at: "22:40Z" }}
#   engine hours: [{hours}]        # before the flight
# defects:
#   - {{ what: "magneto drop of 90 rpm on the left", engine: 2, found: run-up }}
# remarks:
#   - birds on the strip at dawn
"""


def empty_log(mission: Mission, mission_file: str, blanks: Blanks) -> str:
    """Return the text of a log with nothing filled in, which may be read as it stands."""
    alternate = mission.alternates[0].place.ident if mission.alternates else mission.route.destination.ident
    head = FRONT.format(
        mission=json.dumps(mission_file, ensure_ascii=False), number=json.dumps(mission.number, ensure_ascii=False),
        revision=mission.revision, alternate=alternate,
    )  # fmt: skip
    events = [f'# {name}: {{ time: "{_day(at)}" }}'.ljust(45) + "# as planned" for name, at in blanks.events.items()]
    engines = mission.aircraft.engines
    back = BACK.format(each=", ".join(["24 US gal"] * engines), hours=", ".join(["412 h 20 min"] * engines))
    lines = [_line(one.number, one.place, one.where, one.instant) for one in blanks.lines]
    drops = _drops(mission)
    return head + "\n".join(events) + "\n" + KEYS.format() + "\n".join(lines or ["  []"]) + "\n" + drops + back


def _line(number: int, place: str, where: str, planned: datetime) -> str:
    found = f"no: {number}, at: {place}" if place else f"no: {number}"
    return f"  - {{ {found} }}".ljust(34) + f"# {where or 'half hour'}, planned {_clock(planned)}Z"


def _drops(mission: Mission) -> str:
    runs = [run.leaves for item in mission.route.items if isinstance(item, Action) for run in item.runs if run.leaves]
    if not runs:
        return ""
    lines = [f"#   - {{ leaves: {json.dumps(label, ensure_ascii=False)}, mass: 0 lb }}" for label in runs]
    return "\n".join(["# drops:                         # what really left; 0 lb where it hung up", *lines]) + "\n"


def _clock(instant: datetime) -> str:
    return f"{instant + HALF_MINUTE:%H:%M}"


def _day(instant: datetime) -> str:
    return f"{instant + HALF_MINUTE:%Y-%m-%d %H:%M}Z"
