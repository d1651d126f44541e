"""A mission against the files it names: places, runways, crew, fuel, load, route and times that must fit each other."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise

from briefgen.errors import Fault
from briefgen.model.performance import IndicatedAirspeed
from briefgen.spec.build.mission import PATTERNS, PLACE_IT
from briefgen.spec.build.points import point_faults
from briefgen.spec.meaning.levels import level_faults
from briefgen.spec.meaning.place_files import Places
from briefgen.spec.tree.check import Checked, nearest
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey
from briefgen.spec.words.times import WrittenTime, instant
from briefgen.units import QuantityError

PHASES = (
    "start", "taxi", "run-up", "take-off", "climb", "cruise", "descent", "run", "hold", "approach",
    "taxi-in", "shutdown",
)  # fmt: skip
POSITIONS = ("captain", "co-pilot", "flight engineer", "navigator", "radio operator", "loadmaster", "observer")
_FUEL_WAYS = ("at ramp", "by tank", "as required plus")
LANDING = "landing"


def mission_faults(
    mission: Checked, aircraft: Checked | None, place_files: Sequence[Checked], *, goes_on: bool = False
) -> list[Fault]:
    """Return what is wrong with the meaning of a mission file, as far as the files it names can be read.

    A sector that goes on from another has its time from there, and its fuel from the landing.
    """
    survey = Survey(mission)
    places = Places(place_files)
    if place_files:
        point_faults(survey, places.idents())
        _check_places(survey, places)
        level_faults(survey, places)
    _check_route(survey, [*places.idents(), *survey.keys("points")])
    _check_crew(survey)
    _check_runs(survey)
    _check_times(survey, goes_on=goes_on)
    if not goes_on:
        _check_fuel_way(survey)
    survey.unique(survey.groups("load", "items"), "name", "piece of load")
    survey.unique([*survey.groups("alternates"), *survey.groups("en route alternates")], "place", "alternate")
    if aircraft is not None:
        _check_aircraft(survey, Survey(aircraft), places)
    return survey.faults


def _check_crew(survey: Survey) -> None:
    """Refuse one person in two positions: nobody sits in two seats."""
    seats: dict[str, str] = {}
    for position in survey.keys("crew"):
        path = ("crew", position) if survey.text("crew", position) else ("crew", position, "name")
        name = " ".join((survey.text(*path) or "").split()).casefold()
        if name and name in seats:
            problem = f"'{survey.text(*path)}' is both {seats[name]} and {position}"
            survey.fault(path, problem, "one person for each position, told apart by name")
        seats.setdefault(name, position)


def _check_places(survey: Survey, places: Places) -> None:
    fields, idents = places.idents(), [*places.idents(), *survey.keys("points")]
    for leg in survey.groups("route", "legs"):
        survey.known((*leg, "to"), idents, "a place of the places files")
        survey.known((*leg, "at"), idents, "a place of the places files")
    on_route = [text for leg in survey.groups("route", "legs") if (text := survey.text(*leg, "to"))]
    for timed in (("times", "over target"), *survey.groups("times", "timed points")):
        over = survey.known((*timed, "at"), idents, "a place of the places files")
        if over is not None and on_route and over not in on_route:
            survey.known((*timed, "at"), on_route, "a place of the route", elsewhere=idents)
    survey.known(
        ("route", "engines stopped", "from"), on_route, "a place where a leg of the route ends", elsewhere=idents
    )
    start = [text for text in (survey.text("route", "from"),) if text]
    names = [*start, *on_route] if set(on_route) <= set(idents) else idents
    for call in survey.groups("calls"):
        survey.known((*call, "at"), [*names, *PHASES], "a place of the route or a phase", elsewhere=idents)
    for alternate in survey.groups("alternates"):
        if on_route and survey.text(*alternate, "place") == on_route[-1]:
            survey.fault((*alternate, "place"), f"'{on_route[-1]}' is the destination", "another aerodrome")
    for alternate in (*survey.groups("alternates"), *survey.groups("en route alternates")):
        for number in range(len(survey.data((*alternate, "via")) or ())):
            survey.known((*alternate, "via", number), idents, "a place of the places files")
        for end in ("from", "until"):
            survey.known((*alternate, end), on_route, "a place where a leg of the route ends")
    for where, runway in _landings(survey):
        ident = survey.known(where, fields, "a place of the places files")
        if ident is None:
            continue
        if not places.is_aerodrome(ident):
            survey.fault(where, f"'{ident}' is not an aerodrome", "a place of the kind aerodrome")
        elif places.runways(ident):
            survey.known(runway, places.runways(ident), f"a runway of {ident}")


def _landings(survey: Survey) -> list[tuple[KeyPath, KeyPath]]:
    """Return the paths of place and runway of every take-off and landing."""
    legs = [leg for leg in survey.groups("route", "legs") if "to" in survey.keys(*leg)]
    found: list[tuple[KeyPath, KeyPath]] = [(("route", "from"), ("route", "runway"))]
    if legs:
        found.append(((*legs[-1], "to"), ("route", "landing runway")))
    listed = [*survey.groups("alternates"), *survey.groups("en route alternates")]
    return found + [((*one, "place"), (*one, "runway")) for one in listed]


def _check_route(survey: Survey, idents: list[str]) -> None:
    """Each leg goes somewhere; each action and hold is where the leg before it ends."""
    here = survey.text("route", "from")
    legs = survey.groups("route", "legs")
    if legs and not any("to" in survey.keys(*leg) for leg in legs):
        survey.fault(("route", "legs"), "no leg flies anywhere", "at least one leg with 'to'", at_key=True)
    for index, leg in enumerate(legs):
        to, at = survey.text(*leg, "to"), survey.text(*leg, "at")
        if to is not None and to == here:
            survey.fault((*leg, "to"), f"the leg begins at '{to}' and ends there", "another place")
        if at is not None and at in idents and (index == 0 or (at != here and here in idents)):
            before = f"the leg before ends at {here}" if index else "the first entry is no leg"
            expected = f"at: {here}, or a leg to {at} before it" if index else "a leg first"
            survey.fault((*leg, "at"), f"nothing has flown to '{at}' when this begins: {before}", expected)
        here = to or here
        if survey.text(*leg, "do") in PATTERNS:
            _check_pattern(survey, leg, legs[index - 1] if index else None)
            here = ""
        _check_steps(survey, leg)
        speed = survey.checked.fields.get((*leg, "speed"))
        if survey.text(*leg, "do") in ("drop", "look", "wait") and not isinstance(speed, IndicatedAirspeed | None):
            expected = 'an indicated airspeed, such as "130 mph indicated"'
            survey.fault((*leg, "speed"), f"'{survey.text(*leg, 'speed')}' is not an indicated airspeed", expected)


def _check_pattern(survey: Survey, leg: KeyPath, before: KeyPath | None) -> None:
    """A pattern begins at the end of the leg before it; a creeping line has the length of its lines, a square has none."""
    if before is None or "to" not in survey.keys(*before):
        survey.fault(
            (*leg, "do"), "the entry before a pattern is no leg", "a leg to the place where the pattern begins"
        )
    has, square = "length" in survey.keys(*leg), survey.text(*leg, "do") == "expanding square"
    if has == square:
        problem = (
            "the lines of a square have no length of their own" if square else "the length of the lines is missing"
        )
        survey.fault(
            (*leg, "length") if has else leg, problem, "spacing alone" if square else "length: 12 NM", at_key=True
        )


def _check_steps(survey: Survey, leg: KeyPath) -> None:
    for before, after in pairwise(survey.groups(*leg, "steps")):
        first, second = survey.si(*before, "after"), survey.si(*after, "after")
        if first is not None and second is not None and second <= first:
            problem = f"'{survey.text(*after, 'after')}' does not come after the step before"
            survey.fault((*after, "after"), problem, f"more than {survey.text(*before, 'after')}")


def check_leaves(survey: Survey, items: Sequence[KeyPath], labels: Sequence[str]) -> None:
    """Every load leaves on a run or stays aboard until a landing; one that names a place is told how it is unloaded there."""
    on_route = survey.texts(survey.groups("route", "legs"), "to")
    for item in items:
        place = survey.text(*item, "leaves")
        if place not in on_route or place in labels:
            survey.known((*item, "leaves"), [*labels, LANDING], "a run of this mission")
            continue
        survey.fault(
            (*item, "leaves"), f"'{place}' is a place, and load leaves on a run or stays aboard until a landing",
            f"one of {', '.join([*labels, LANDING])}", f"to unload it at {place}, land there: 'do: land' with 'load off'",
        )  # fmt: skip


FALL = {"course", "falls at", "forward throw"}


def _check_runs(survey: Survey) -> None:
    """Every label of a run has a load, every load a run or the landing."""
    runs = [run for leg in survey.groups("route", "legs") for run in survey.groups(*leg, "runs")]
    survey.unique(runs, "leaves", "run")
    for run in runs:
        said = set(survey.keys(*run))
        if said & (FALL - {"course"}) and not said >= FALL:
            lacks = " and ".join(f"'{one}'" for one in sorted(FALL - said))
            survey.fault(
                run,
                f"a release point also needs {lacks}",
                "'course', 'falls at' and 'forward throw', or a course alone",
            )
    labels = survey.texts(runs, "leaves")
    items = survey.groups("load", "items")
    check_leaves(survey, items, labels)
    loads = survey.texts(items, "leaves")
    if not set(loads) <= {*labels, LANDING}:
        return  # the label meant is not known, nor the run that is left without load
    for run in runs:
        label = survey.text(*run, "leaves")
        if label is not None and label not in loads:
            problem = f"no piece of load leaves on '{label}'"
            survey.fault((*run, "leaves"), problem, "a label that a piece of load names, or no label")


def _check_times(survey: Survey, *, goes_on: bool) -> None:
    given = [key for key in ("take-off at", "over target") if key in survey.keys("times")]
    if len(given) != 1 and survey.keys("times") and not goes_on:
        problem = "both 'take-off at' and 'over target' are given" if given else "no time is given"
        survey.fault(("times",), problem, "either 'take-off at' or 'over target'", at_key=True)
    zone = survey.checked.fields.get(("times", "zone"))
    before: tuple[datetime, str] | None = None
    points = [(*point, "time") for point in survey.groups("times", "timed points")]
    for path in (("times", "take-off at"), ("times", "over target", "time"), *points):
        written = survey.checked.fields.get(path)
        if isinstance(zone, str) and isinstance(written, WrittenTime):
            try:
                here = instant(written, zone)
            except QuantityError as error:
                survey.fault(path, error.problem, error.expected, error.hint)
                continue
            if before is not None and here <= before[0]:
                problem, expected = f"'{written.text}' is not after {before[1]}", "times in the order of the route"
                survey.fault(path, problem, expected)
            before = (here, written.text)


def _check_fuel_way(survey: Survey) -> None:
    keys = survey.keys("load", "fuel")
    given = [way for way in _FUEL_WAYS if way in keys]
    if survey.data(("load", "fuel")) is not None and len(given) != 1:
        problem = f"{' and '.join(given)} are given together" if given else "no fuel is given"
        survey.fault(("load", "fuel"), problem, f"one of {', '.join(_FUEL_WAYS)}", at_key=True)


def _check_people(survey: Survey, aircraft: Survey) -> None:
    """People sit where the aircraft file has seats for them."""
    seats = aircraft.texts(aircraft.groups("people", "seats"), "station")
    for group in survey.groups("load", "people"):
        if seats:
            survey.known((*group, "station"), seats, "a station with seats")
        else:
            survey.fault(
                (*group, "station"), "the aircraft file says nothing of seats for people", "a file with 'people'"
            )


def _check_aircraft(survey: Survey, aircraft: Survey, places: Places) -> None:
    registrations = aircraft.texts(aircraft.groups("individuals"), "registration")
    survey.known(("aircraft", "individual"), registrations, "an airframe of the aircraft file")
    grades = [
        grade for part in ("model", "charts") for grade in aircraft.texts(aircraft.groups(part, "fuel grades"), "name")
    ]
    if grades:
        survey.known(("aircraft", "fuel grade"), grades, "a fuel grade the aircraft is cleared for")
    seats = aircraft.texts(aircraft.groups("crew"), "position")
    for position in survey.keys("crew"):
        if seats and position in POSITIONS and position not in seats:
            problem = f"the aircraft has no seat for a {position}"
            survey.fault(("crew", position), problem, f"one of {', '.join(seats)}", at_key=True)
    bays = aircraft.texts(aircraft.groups("balance", "bays"), "name")
    stations = aircraft.texts(aircraft.groups("balance", "stations"), "name")
    for item in survey.groups("load", "items"):
        survey.known((*item, "bay"), [*bays, *stations, PLACE_IT], "a bay or station of the aircraft")
    _check_people(survey, aircraft)
    tanks = aircraft.texts(aircraft.groups("balance", "tanks"), "name")
    for tank in survey.keys("load", "fuel", "by tank"):
        if tanks and tank not in tanks:
            survey.fault(
                ("load", "fuel", "by tank", tank),
                "the aircraft has no such tank",
                f"one of {', '.join(tanks)}",
                nearest(tank, tanks),
            )
    configurations = aircraft.texts(aircraft.groups("model", "airframe", "configurations"), "name")
    if charts := aircraft.keys("charts", "charts"):  # a chart of cruise with flaps out is named so
        configurations = ["clean", *(name.removeprefix("cruise ") for name in charts if name.startswith("cruise "))]
    for leg in survey.groups("route", "legs"):
        survey.known((*leg, "configuration"), configurations, "a configuration of the aircraft")
    _check_surfaces(survey, aircraft, places)


def _check_surfaces(survey: Survey, aircraft: Survey, places: Places) -> None:
    """The aircraft file has figures for the surface of every runway that is used."""
    surfaces = aircraft.texts(aircraft.groups("model", "field", "surfaces"), "name")
    checked: set[KeyPath] = set()
    for where, runway in _landings(survey):
        ident, name = survey.text(*where), survey.text(*runway)
        if not surfaces or ident not in places.surveys or name is None:
            continue
        found = places.surface(ident, name)
        if found is None or found[1] in checked:
            continue
        checked.add(found[1])
        of_place, path = found
        surface = of_place.text(*path)
        if surface is not None and surface not in surfaces:
            problem = f"the aircraft file has no figures for '{surface}', the surface of {ident} runway {name}"
            survey.fault(runway, problem, f"a runway of {', '.join(surfaces)}")
