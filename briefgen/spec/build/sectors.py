"""A mission with landings on its way, cut into one written mission a sector: each a file as its author might have written it.

What is cut is the tree of the file, before its meaning is read, so that every check of a mission holds for every sector and every
value still knows its line. What only the flight can tell (the time, the fuel left) is handed on when the sectors are flown.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from briefgen.model.ledger import Given
from briefgen.model.mission import Landing, Mission, Sector
from briefgen.model.places import Place
from briefgen.spec.build.mission import fuel_volume_m3
from briefgen.spec.build.variations import lower_of
from briefgen.spec.tree.change import put
from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.load import Data, Document, KeyPath, Mark
from briefgen.spec.tree.reader import Reader
from briefgen.spec.tree.shape import path_text

LAND, STAYS = "land", "landing"
LEGS: KeyPath = ("route", "legs")
OF_THE_LAST = ("alternates", "en route alternates")  # written with the landing for every sector but the last
OF_ITS_OWN = (*OF_THE_LAST, "route", "times", "load", "calls", "variations")  # all else holds for every sector
ONCE = ("take-off at", "over target", "timed points")  # of the times
FUEL_WAYS = {"to": "at ramp", "least plus": "as required plus", "add": "add"}


def landings_of(data: Data) -> tuple[int, ...]:
    """Return which entries of the route are landings on the way."""
    route = data.get("route") if isinstance(data, dict) else None
    legs = route.get("legs") if isinstance(route, dict) else None
    return tuple(n for n, leg in enumerate(legs) if isinstance(leg, dict) and leg.get("do") == LAND) if isinstance(legs, list) else ()  # fmt: skip


@dataclass
class _Part:
    """A file being put together from parts of another."""

    checked: Checked
    data: Data = field(default_factory=dict)
    values: dict[KeyPath, Mark] = field(default_factory=dict)
    keys: dict[KeyPath, Mark] = field(default_factory=dict)
    texts: dict[KeyPath, str] = field(default_factory=dict)
    fields: dict[KeyPath, object] = field(default_factory=dict)
    origins: list[tuple[KeyPath, KeyPath]] = field(default_factory=list)

    @property
    def whole(self) -> Document:
        """The file that parts are taken from."""
        return self.checked.document

    def take(self, here: KeyPath, there: KeyPath) -> None:
        """Take a value with all below it."""
        deep = len(there)
        self.data = put(self.data, here, _at(self.whole.data, there))
        for ours, theirs in ((self.values, self.whole.values), (self.keys, self.whole.keys)):
            ours.update({(*here, *path[deep:]): mark for path, mark in theirs.items() if path[:deep] == there})
        texts = self.whole.texts
        self.texts.update({(*here, *path[deep:]): text for path, text in texts.items() if path[:deep] == there})
        self.fields.update(
            {(*here, *path[deep:]): one for path, one in self.checked.fields.items() if path[:deep] == there}
        )
        if here != there:
            self.origins.append((here, there))

    def write(self, here: KeyPath, text: str, at: KeyPath) -> None:
        """Write a text of our own, standing where a value of the file does."""
        self.data = put(self.data, here, text)
        self.texts[here] = self.fields[here] = text
        self.values[here] = self.whole.mark(at)
        self.origins.append((here, at))

    def begin(self, here: KeyPath, at: KeyPath, empty: Data) -> None:
        """Begin a group or a list."""
        self.data = put(self.data, here, empty)
        self.values[here] = self.whole.mark(at)
        if at in self.whole.keys:
            self.keys[here] = self.whole.keys[at]

    def file(self) -> Checked:
        """Return the file, longer paths asked for their origin first."""
        origins = tuple(sorted(self.origins, key=lambda pair: -len(pair[0])))
        document = replace(
            self.whole, data=self.data, values=self.values, keys=self.keys, texts=self.texts, origins=origins
        )
        return Checked(document, self.fields)


@dataclass(frozen=True)
class _Span:
    """One sector in the file: the landings it lies between, None at the ends, and its entries of the route."""

    number: int  # from 0
    before: int | None
    after: int | None
    legs: range


def cut(whole: Checked) -> tuple[Checked, ...]:
    """Return a mission file without faults of shape as one file a sector; one without landings is itself.

    The first has the take-off and the fuel of the mission. Each has the load and the people who are aboard then; what leaves on
    a run of a later sector stays aboard until it.
    """
    data: Any = whole.document.data
    if not landings_of(data):
        return (whole,)
    spans = _spans(data)
    aboard = _carried(data, spans)
    asked = _timed(data, spans)
    return tuple(_sector(whole, span, aboard[span.number], asked[span.number]) for span in spans)


def _sector(whole: Checked, span: _Span, aboard: _Aboard, asked: Sequence[KeyPath]) -> Checked:
    part = _Part(whole)
    data: Any = whole.document.data
    part.values[()] = part.whole.mark(())
    for key in data:
        if key not in OF_ITS_OWN:
            part.take((key,), (key,))
    _route(part, span)
    _times(part, span, asked)
    _load(part, span, aboard)
    end: KeyPath = () if span.after is None else (*LEGS, span.after)
    for key in OF_THE_LAST:
        if key in _at(data, end):
            part.take((key,), (*end, key))
    _calls(part, span)
    return part.file()


def _route(part: _Part, span: _Span) -> None:
    data: Any = part.whole.data
    part.begin(("route",), ("route",), {})
    begun: KeyPath = ("route",) if span.before is None else (*LEGS, span.before)
    ended: KeyPath = ("route",) if span.after is None else (*LEGS, span.after)
    part.take(("route", "from"), (*begun, "from" if span.before is None else "at"))
    part.take(("route", "runway"), (*begun, "runway" if span.before is None else "take-off runway"))
    part.begin(LEGS, LEGS, [])
    for number, leg in enumerate(span.legs):
        part.take((*LEGS, number), (*LEGS, leg))
    part.take(("route", "landing runway"), (*ended, "landing runway" if span.after is None else "runway"))
    stopped = data["route"].get("engines stopped")
    if stopped and span == next((one for one in _spans(data) if stopped["from"] in _places(data, one)), None):
        part.take(("route", "engines stopped"), ("route", "engines stopped"))


def _spans(data: Any) -> list[_Span]:
    """Return the sectors of a mission in order."""
    bounds = [None, *landings_of(data), None]
    count = len(data["route"]["legs"])
    return [
        _Span(number, before, after, range(0 if before is None else before + 1, count if after is None else after))
        for number, (before, after) in enumerate(pairwise(bounds))
    ]


def _places(data: Any, span: _Span) -> list[str]:
    """Return the places where the legs of a sector end."""
    legs = data["route"]["legs"]
    return [str(legs[n]["to"]) for n in span.legs if "to" in legs[n]]


def _times(part: _Part, span: _Span, asked: Sequence[KeyPath]) -> None:
    data: Any = part.whole.data
    part.begin(("times",), ("times",), {})
    for key in data["times"]:
        if key not in ONCE or (span.before is None and key != "timed points"):
            part.take(("times", key), ("times", key))
    if asked:
        part.begin(("times", "timed points"), ("times", "timed points"), [])
    for number, path in enumerate(asked):
        part.take(("times", "timed points", number), path)


def _timed(data: Any, spans: Sequence[_Span]) -> list[list[KeyPath]]:
    """Return the timed points of each sector: in their order, each in the first sector from there on that passes its place."""
    found: list[list[KeyPath]] = [[] for _ in spans]
    here = 0
    for number, point in enumerate(data["times"].get("timed points") or ()):
        passed = [n for n, span in enumerate(spans) if n >= here and str(point["at"]) in _places(data, span)]
        here = passed[0] if passed else here
        found[here].append(("times", "timed points", number))
    return found


@dataclass(frozen=True)
class _Aboard:
    """What is carried on one sector: where it is written, and whether it leaves only on a later one."""

    items: tuple[tuple[KeyPath, bool], ...]
    people: tuple[KeyPath, ...]


def _carried(data: Any, spans: Sequence[_Span]) -> list[_Aboard]:
    """Return what is aboard on each sector."""
    items = _listed(("load", "items"), data["load"].get("items"))
    people = _listed(("load", "people"), data["load"].get("people"))
    found = []
    for span in spans:
        if span.before is not None:
            here, landing = (*LEGS, span.before), data["route"]["legs"][span.before]
            items = [one for one in items if one[1]["name"] not in landing.get("load off", ())]
            people = [one for one in people if one[1]["who"] not in landing.get("people off", ())]
            items += _listed((*here, "load on"), landing.get("load on"))
            people += _listed((*here, "people on"), landing.get("people on"))
        labels = _labels(data, [span])
        later = _labels(data, spans[span.number + 1 :])
        kept = tuple((path, item["leaves"] in later and item["leaves"] not in labels) for path, item in items)
        found.append(_Aboard(kept, tuple(path for path, _ in people)))
        items = [one for one in items if one[1]["leaves"] not in labels]
    return found


def _listed(path: KeyPath, groups: Any) -> list[tuple[KeyPath, Any]]:
    return [((*path, number), one) for number, one in enumerate(groups or ())]


def _labels(data: Any, spans: Iterable[_Span]) -> set[str]:
    """Return the labels of the runs of some sectors."""
    legs = [data["route"]["legs"][n] for span in spans for n in span.legs]
    return {run["leaves"] for leg in legs for run in leg.get("runs", ()) if "leaves" in run}


def _load(part: _Part, span: _Span, aboard: _Aboard) -> None:
    part.begin(("load",), ("load",), {})
    if span.before is None:
        part.take(("load", "fuel"), ("load", "fuel"))
    else:
        _fuel(part, (*LEGS, span.before))
    if aboard.items:
        part.begin(("load", "items"), ("load", "items"), [])
    for number, (path, later) in enumerate(aboard.items):
        part.take(("load", "items", number), path)
        if later:
            part.write(("load", "items", number, "leaves"), STAYS, (*path, "leaves"))
    if aboard.people:
        part.begin(("load", "people"), ("load", "people"), [])
    for number, path in enumerate(aboard.people):
        part.take(("load", "people", number), path)


def _fuel(part: _Part, landing: KeyPath) -> None:
    """Take the fuel of a landing: how much is taken on, and the density of it."""
    data: Any = part.whole.data
    here: KeyPath = ("load", "fuel")
    fuel, first = _at(data, (*landing, "fuel")), data["load"]["fuel"]
    part.begin(here, (*landing, "fuel"), {})
    for key, ours in FUEL_WAYS.items():
        if key in fuel:
            part.take((*here, ours), (*landing, "fuel", key))
    grade = fuel.get("grade")
    if "density" in fuel:
        part.take((*here, "density"), (*landing, "fuel", "density"))
    elif grade is None or grade == data["aircraft"]["fuel grade"]:
        for key in ("density", "density at", "temperature"):
            if key in first:
                part.take((*here, key), (*here, key))
    if grade is not None:
        part.take(("aircraft", "fuel grade"), (*landing, "fuel", "grade"))


def _calls(part: _Part, span: _Span) -> None:
    """Take the calls at a phase, and those at a place of this sector."""
    data: Any = part.whole.data
    route = data["route"]
    start = route["from"] if span.before is None else route["legs"][span.before]["at"]
    others = {place for one in _spans(data) for place in _places(data, one)} | {str(route["from"])}
    ours = {str(start), *_places(data, span)}
    paths = [
        ("calls", n)
        for n, call in enumerate(data.get("calls", ()))
        if str(call["at"]) in ours or str(call["at"]) not in others
    ]
    if paths:
        part.begin(("calls",), ("calls",), [])
    for number, path in enumerate(paths):
        part.take(("calls", number), path)


def _at(data: Data, path: KeyPath) -> Any:
    found: Any = data
    for key in path:
        found = found[key]
    return found


def build_landings(mission: Reader, places: Mapping[str, Place], missions: Sequence[Mission]) -> tuple[Landing, ...]:
    """Return the landings between the sectors of a mission without faults."""
    own = mission.at("aircraft").text("fuel grade")
    found = []
    for index, after in zip(landings_of(mission.data), missions[1:], strict=True):
        reader = mission.at(*LEGS, index)
        fuel = reader.at("fuel")
        found.append(
            Landing(
                at=places[reader.text("at")],
                turn_round_s=reader.si("turn-round"),
                filled_up=reader.texts("filled up"),
                fuel_grade=fuel.text_or("grade", own),
                supply_m3=fuel_volume_m3(fuel, "supply", after.fuel.density_kg_per_m3) if "supply" in fuel else None,
                path=f"route.legs[{index}]",
            )
        )
    return tuple(found)


def given_of_landing(whole: Document, number: int) -> dict[str, Given]:
    """Return what is written of the landing before a sector (numbered from 0), its paths beginning with ``landing``."""
    if not number:
        return {}
    landing = (*LEGS, landings_of(whole.data)[number - 1])
    texts = {path: text for path, text in whole.texts.items() if path[: len(landing)] == landing}
    return {
        path_text(("landing", *path[len(landing) :])): Given(whole.file, *whole.values[path], text)
        for path, text in texts.items()
    }


def as_sectors(missions: Sequence[Mission], landings: Sequence[Landing]) -> tuple[Mission, ...]:
    """Return the missions of all sectors, each knowing the others; of two grades mixed the lower counts from then on."""
    if not landings:
        return tuple(missions)
    named: list[Mission] = []
    for number, one in enumerate(missions, start=1):
        grade = one.fuel_grade
        if named:
            grade = _grade_aboard(named[-1].fuel_grade, one)
        named.append(replace(one, name=f"{one.name}, sector {number} of {len(missions)}", fuel_grade=grade))
    return tuple(
        replace(one, sector=Sector(number, tuple(named), tuple(landings))) for number, one in enumerate(named, start=1)
    )


def _grade_aboard(before: str, after: Mission) -> str:
    nothing = after.fuel.kind == "add" and not after.fuel.volume_m3
    return before if nothing else lower_of(before, after.fuel_grade) or after.fuel_grade
