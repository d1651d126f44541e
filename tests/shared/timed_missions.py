"""The demo mission with its times changed, as its author would change them: in the text of a copy of its files."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from briefgen.aircraft.factory import performance_of
from briefgen.model.handling import InstrumentResolution
from briefgen.model.mission import Leg, Mission
from briefgen.model.plan import Phase
from briefgen.planning.flight.route_forms import placed
from briefgen.planning.flight.schedule import Flown, settled
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.steps import Crew
from briefgen.spec import read_mission
from tests.shared.demo_missions import SPECS

WINDOW = timedelta(minutes=5)  # of every point given here
SECOND = timedelta(seconds=1)
_SHEET_FROM = "from: 2027-02-17 19:30Z"
_SHEET_EARLIER = "from: 2027-02-17 18:30Z"  # so that she finds her hold when she is home sooner
_TARGET = re.compile(r"^  over target: .*\n", re.MULTILINE)


def timed_mission(
    folder: Path, *points: tuple[str, datetime], take_off: datetime | None = None, calm: bool = False
) -> Mission:
    """Return Cedar Lantern with further timed points, with a take-off time in place of that over target, or in a calm."""
    copy = folder / "specs"
    shutil.copytree(SPECS, copy, dirs_exist_ok=True)
    file = copy / "cedar-lantern.yaml"
    text = file.read_text(encoding="utf-8")
    lines = "".join(f"    - {{ at: {at}, time: {_utc(when)}, window: 5 min }}\n" for at, when in points)
    added = f"  timed points:\n{lines}" if points else ""
    if take_off is not None:
        text = _TARGET.sub(f"  take-off at: {_utc(take_off)}\n{added}", text)
    else:
        text = _TARGET.sub(lambda match: match.group() + added, text)
    file.write_text(text, encoding="utf-8")
    weather = copy / "weather" / "2027-02-17-evening.yaml"
    sky = weather.read_text(encoding="utf-8").replace(_SHEET_FROM, _SHEET_EARLIER)
    weather.write_text(re.sub(r"\d{3}T/\d+ kt", "000T/0 kt", sky) if calm else sky, encoding="utf-8")
    return read_mission(file)


def to_second(when: datetime) -> datetime:
    """Return an instant without its part of a second, as it can be written in a mission."""
    return when.replace(microsecond=0)


def _utc(when: datetime) -> str:
    return when.strftime('"%Y-%m-%d %H:%M:%SZ"')


def crew_of(mission: Mission) -> Crew:
    """Return what flies a mission."""
    return Crew(performance_of(mission.aircraft, mission.fuel_grade), Sky(mission.weather, mission.places))


def flown(mission: Mission) -> Flown:
    """Return a mission flown."""
    return settled(placed(mission), crew_of(mission))


def leg_to(mission: Mission, ident: str) -> int:
    """Return the route item that flies to a place."""
    return next(i for i, item in enumerate(mission.route.items) if isinstance(item, Leg) and item.to.ident == ident)


def over(mission: Mission, sortie: Flown, ident: str) -> datetime:
    """Return when she is first over a place."""
    return leg_phases(mission, sortie, ident)[-1].end.instant


def leg_phases(mission: Mission, sortie: Flown, ident: str, kind: str = "") -> list[Phase]:
    """Return the phases of the leg to a place, all or of one kind."""
    item = leg_to(mission, ident)
    return [phase for phase in sortie.phases if phase.item == item and kind in ("", phase.kind)]


def take_off_time(sortie: Flown) -> datetime:
    """Return when the brakes are released."""
    return next(phase for phase in sortie.phases if phase.kind == "take-off").start.instant


def finely_read(mission: Mission) -> Mission:
    """Return the mission with instruments read so finely that rounding a setting moves nothing worth the name."""
    fine = InstrumentResolution(engine_speed_rpm=0.1, manifold_pressure_pa=1.0)
    return replace(mission, aircraft=replace(mission.aircraft, instrument_resolution=fine))
