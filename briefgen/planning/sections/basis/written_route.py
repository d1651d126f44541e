"""Places, legs, holds, passes and alternates as the author wrote them."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import Action, Alternate, Height, HeightChange, Hold, Leg, Mission, RouteItem, Run
from briefgen.model.places import Place, Terrain
from briefgen.model.record import Absent, Record, figure, given, note, rests_on
from briefgen.planning.flight.route import alternate_key, item_keys
from briefgen.planning.ledger.absence import said
from briefgen.planning.ledger.keys import place_key
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter

HEIGHT_REFERENCES = {
    "altitude": "on the altimeter setting in force",
    "pressure": "on the standard setting",
    "above field": "above the field",
    "above overcast": "above the top of the overcast",
}


def _as_written(writer: LedgerWriter, spec: str) -> str:
    origin = writer.origin(spec)
    return origin.text if origin else ""


def written_keys(mission: Mission, first: int = 0, last: int | None = None) -> tuple[str, ...]:
    """Return the keys of what the author wrote of the items of the route from one to another: where, how high, how fast."""
    items = mission.route.items
    keys: list[str] = []
    for index, (key, item) in enumerate(zip(item_keys(items), items, strict=True)):
        if index < first or (last is not None and index > last):
            continue
        place = place_key((item.to if isinstance(item, Leg) else item.at).ident)
        keys += [f"{key}.height", f"{place}.latitude", f"{place}.longitude"]
        if isinstance(item, Action):
            keys.append(f"{key}.ias")
            keys += [f"{key}.run.{number:02d}.lasts" for number in range(1, len(item.runs) + 1)]
            continue
        keys.append(f"{key}.cruise")
        if isinstance(item, Hold):
            keys += [f"{key}.time", f"{key}.bank"]
        else:
            steps = range(1, len(item.changes) + 1)
            keys += [f"{key}.step.{number:02d}.{name}" for number in steps for name in ("height", "after")]
    end = len(items) if last is None else min(last + 1, len(items))
    shaped = (key for index in range(first, end) for key in pattern_keys(mission, index))
    return tuple(dict.fromkeys((*keys, *shaped)))


PATTERN = (
    "course",
    "length",
    "spacing",
    "lines",
    "turn",
    "bank",
)  # what shapes a pattern, as the specification names it


def pattern_keys(mission: Mission, index: int) -> tuple[str, ...]:
    """Return the keys of what shapes the pattern that an item of the route is a line of, none for any other item."""
    paths = mission.route.paths
    path = paths[index] if index < len(paths) else ""
    if f"{path}.spacing" not in mission.given:
        return ()
    first = item_keys(mission.route.items)[paths.index(path)]
    return tuple(f"{first}.pattern.{name}" for name in PATTERN if f"{path}.{name}" in mission.given)


class PatternWritten(Record):
    """What shapes a pattern, in the author's words; it stands with its first line."""

    def __init__(self, key: str, path: str, writer: LedgerWriter) -> None:
        self.at, self.path, self._writer = f"{key}.pattern", path, writer

    def _words(self, name: str) -> str:
        origin = self._writer.origin(f"{self.path}.{name}")
        if origin is None:
            raise Absent("the pattern has none")
        return origin.text

    @given("Pattern: course of the first line", spec="%(path)s.course")
    def course(self) -> str:
        return self._words("course")

    @given("Pattern: length of a line", spec="%(path)s.length")
    def length(self) -> str:
        return self._words("length")

    @given("Pattern: from line to line", spec="%(path)s.spacing")
    def spacing(self) -> str:
        return self._words("spacing")

    @given("Pattern: lines", spec="%(path)s.lines")
    def lines(self) -> str:
        return self._words("lines")

    @given("Pattern: first turn", spec="%(path)s.turn")
    def turn(self) -> str:
        return self._words("turn")

    @given("Pattern: bank in the turns", spec="%(path)s.bank")
    def bank(self) -> str:
        return self._words("bank")


class PlaceWritten(Record):
    """A place by its position."""

    def __init__(self, place: Place, writer: LedgerWriter) -> None:
        self.at, self.name, self._place = place_key(place.ident), place.name, place
        named = f"places:{place.ident}.position"
        self.spec = named if writer.origin(named) else f"points.{place.ident}.position"

    @given("%(name)s: latitude", "latitude", spec="%(spec)s")
    def latitude(self) -> float:
        return self._place.lat_deg

    @given("%(name)s: longitude", "longitude", spec="%(spec)s")
    def longitude(self) -> float:
        return self._place.lon_deg


class PlaceFromPoint(Record):
    """A point that lies at a bearing and a distance from another, which stands before it."""

    HOW = "bearing and distance along the shortest line from the point before; magnetic with the variation there"

    def __init__(self, place: Place) -> None:
        assert place.offset is not None
        self.at, self.name, self._place, self._offset = place_key(place.ident), place.name, place, place.offset
        self.spec = f"points.{place.ident}"
        self.unit = "degM" if self._offset.magnetic else "degT"
        self._start = place_key(self._offset.from_ident)

    @given("%(name)s: bearing", "%(unit)s", spec="%(spec)s.bearing")
    def bearing(self) -> float:
        return self._offset.bearing_deg

    @given("%(name)s: distance", "NM", decimals=1, spec="%(spec)s.distance")
    def distance(self) -> float:
        return self._offset.distance_m

    def _rests(self, name: str) -> None:
        note(f"{self._start}.{name}")
        rests_on(self.bearing, self.distance)

    @figure("%(name)s: latitude", "latitude", how=HOW)
    def latitude(self) -> float:
        self._rests("latitude")
        return self._place.lat_deg

    @figure("%(name)s: longitude", "longitude", how=HOW)
    def longitude(self) -> float:
        self._rests("longitude")
        return self._place.lon_deg


class PlaceOfPattern(PlaceFromPoint):
    """The end of a line of a pattern, from the end of the line before; ``shaped`` are the keys of what shapes the pattern."""

    FROM_LINES = "from the lines of the pattern"

    def __init__(self, place: Place, shaped: Sequence[str]) -> None:
        super().__init__(place)
        self._shaped = shaped

    def _note_shape(self) -> None:
        for key in self._shaped:
            note(key)

    @figure("%(name)s: bearing", "%(unit)s", how=FROM_LINES)
    def bearing(self) -> float:
        self._note_shape()
        return self._offset.bearing_deg

    @figure("%(name)s: distance", "NM", how=FROM_LINES, decimals=1)
    def distance(self) -> float:
        self._note_shape()
        return self._offset.distance_m


class HeightWritten(Record):
    """What every item of the route has: the height it is flown at."""

    _height: Height
    path: str

    @property
    def height_label(self) -> str:
        """How the height is measured."""
        name = "Height" if self._height.reference.startswith("above") else "Altitude"
        return f"{name}, {HEIGHT_REFERENCES[self._height.reference]}"

    @given("%(height_label)s", "ft", spec="%(path)s.altitude")
    def height(self) -> float:
        return self._height.value_m


class StepWritten(HeightWritten):
    """A change of height on a leg."""

    def __init__(self, leg: str, number: int, change: HeightChange, path: str) -> None:
        self.at, self.path = f"{leg}.step.{number:02d}", f"{path}.steps[{number - 1}]"
        self._height, self._change = change.height, change

    @given("Step begins after", "NM", spec="%(path)s.after")
    def after(self) -> float:
        return self._change.after_m


class LegWritten(HeightWritten):
    """A leg as the author wrote it, with its safe altitude."""

    def __init__(self, key: str, leg: Leg, path: str, writer: LedgerWriter, shaped: Sequence[str]) -> None:
        self.at, self.path, self.to, self._shaped = key, path, leg.to.name, shaped
        self._height, self._leg = leg.height, leg
        self._cruise = _as_written(writer, f"{path}.cruise")

    @given("Cruise to %(to)s", spec="%(path)s.cruise")
    def cruise(self) -> str:
        return self._cruise

    @figure(
        "Run-in and run-out on the line to %(to)s", "NM", decimals=2,
        how="half of what the turn onto the next line is longer than the step across, at each end that has a turn; "
        "radius from true airspeed and bank, still air",
        source="L. E. Dubins, American Journal of Mathematics 79 (1957) 497-516",
    )  # fmt: skip
    def run_out(self) -> float:
        if not self._leg.run_out_m:
            raise Absent("no line of a survey")
        for key in self._shaped:
            note(key)
        rests_on(self.height, self.cruise)
        return self._leg.run_out_m

    def parts(self) -> Sequence[Record]:
        return [StepWritten(self.at, n, change, self.path) for n, change in enumerate(self._leg.changes, start=1)]


class SafeAltitudeWritten(Record):
    """The minimum safe altitude of a leg or of the way to an alternate, as the author wrote it."""

    def __init__(self, key: str, safe_m: float, path: str, to: str = "") -> None:
        self.at, self._safe_m, self.path = key, safe_m, path
        self.label = f"Minimum safe altitude to {to}" if to else "Minimum safe altitude"

    @given("%(label)s", "ft", spec="%(path)s.safe altitude")
    def safe_height(self) -> float:
        return self._safe_m


class SafeAltitudeOfTerrain(Record):
    """The minimum safe altitude of a leg, worked out from ground heights, and on what it rests."""

    def __init__(self, key: str, leg: Leg, terrain: Terrain) -> None:
        self.at, self._leg, self._terrain = key, leg, terrain
        self.to, self.origin = leg.to.name, f"terrain file of the mission: {terrain.source}"

    @given("Clearance over the terrain", "ft", spec="terrain.clearance")
    def terrain_clearance(self) -> float:
        return self._terrain.clearance_m

    @given("Corridor to either side", "NM", decimals=1, spec="terrain.corridor")
    def terrain_corridor(self) -> float:
        return self._terrain.corridor_m

    @figure(
        "Minimum safe altitude to %(to)s", "ft", source="%(origin)s",
        how="highest cell of the terrain file within the corridor and the clearance, rounded up to 100 ft; not from a chart",
    )  # fmt: skip
    def safe_height(self) -> float:
        rests_on(self.terrain_clearance, self.terrain_corridor)
        if self._leg.safe_height_m is None:
            raise Absent("the terrain file does not reach the leg")
        return self._leg.safe_height_m


class HoldWritten(HeightWritten):
    """A hold as the author wrote it."""

    def __init__(self, key: str, hold: Hold, path: str, writer: LedgerWriter) -> None:
        self.at, self.path, self.over = key, path, hold.at.name
        self._height, self._hold = hold.height, hold
        self._cruise = _as_written(writer, f"{path}.speed")

    @given("Planned hold", "min", spec="%(path)s.for")
    def time(self) -> float:
        return self._hold.duration_s

    @given("Bank in the hold", "deg", spec="%(path)s.bank")
    def bank(self) -> float:
        return self._hold.bank_deg

    @given("Speed of the hold over %(over)s", spec="%(path)s.speed")
    def cruise(self) -> str:
        return self._cruise


class ActionWritten(HeightWritten):
    """Passes over a place as the author wrote them."""

    def __init__(self, key: str, action: Action, path: str) -> None:
        self.at, self.path, self._height, self._action = key, path, action.height, action

    @given("Speed of the passes", AIRSPEED, spec="%(path)s.speed")
    def ias(self) -> float:
        return self._action.ias_m_per_s

    def parts(self) -> Sequence[Record]:
        return [RunWritten(self.at, n, run, self.path) for n, run in enumerate(self._action.runs, start=1)]


NO_FALL = "the mission does not say how the load falls"


class RunWritten(Record):
    """One pass of an action as the author wrote it."""

    def __init__(self, action: str, number: int, run: Run, path: str) -> None:
        self.at, self.spec, self.number, self._run = (
            f"{action}.run.{number:02d}",
            f"{path}.runs[{number - 1}]",
            number,
            run,
        )

    @given("Pass %(number)s lasts", "min", spec="%(spec)s.lasts")
    def lasts(self) -> float:
        return self._run.duration_s

    @given("Pass %(number)s: course", "degT", spec="%(spec)s.course")
    def course(self) -> float:
        return said(self._run.course_deg, "the mission gives no course of this pass")

    @given("Pass %(number)s: the load falls at", "ft/min", spec="%(spec)s.falls at")
    def falls_at(self) -> float:
        return said(self._run.falls_at_m_per_s, NO_FALL)

    @given("Pass %(number)s: forward throw of the load", "ft", spec="%(spec)s.forward throw")
    def throw(self) -> float:
        return said(self._run.throw_m, NO_FALL)


class AlternateWritten(HeightWritten):
    """The way to an alternate as the author wrote it."""

    def __init__(self, number: int, alternate: Alternate, writer: LedgerWriter) -> None:
        self.at, self.path = alternate_key(alternate.place.ident), f"alternates[{number}]"
        self.to, self._height, self._alternate = alternate.place.name, alternate.height, alternate
        self._cruise = _as_written(writer, f"{self.path}.cruise")

    @given("Cruise to %(to)s", spec="%(path)s.cruise")
    def cruise(self) -> str:
        return self._cruise

    def parts(self) -> Sequence[Record]:
        safe_m = self._alternate.safe_height_m
        return [] if safe_m is None else [SafeAltitudeWritten(self.at, safe_m, self.path)]


def item_records(mission: Mission, key: str, item: RouteItem, path: str, writer: LedgerWriter) -> list[Record]:
    """Return the records of one item of the route."""
    if isinstance(item, Hold):
        return [HoldWritten(key, item, path, writer)]
    if isinstance(item, Action):
        return [ActionWritten(key, item, path)]
    shaped = pattern_keys(mission, item_keys(mission.route.items).index(key))
    records: list[Record] = [LegWritten(key, item, path, writer, shaped)]
    if any(one.startswith(f"{key}.pattern.") for one in shaped):
        records.append(PatternWritten(key, path, writer))
    if item.safe_height_m is not None and item.safe_from_terrain and mission.terrain is not None:
        records.append(SafeAltitudeOfTerrain(key, item, mission.terrain))
    elif item.safe_height_m is not None:
        records.append(SafeAltitudeWritten(key, item.safe_height_m, path, item.to.name))
    return records
