"""Landings on the way of a mission: where they stand in the route, and what is taken on and off there."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.spec.build.mission import PATTERNS
from briefgen.spec.build.sectors import FUEL_WAYS, LEGS, landings_of
from briefgen.spec.build.variations import lower_of
from briefgen.spec.meaning.mission import check_leaves
from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey

_TIMES = ("stations before start",)


def landing_faults(survey: Survey, aircraft: Checked | None) -> None:
    """Note what is wrong with the landings of a mission file without faults of shape."""
    landings = [(*LEGS, index) for index in landings_of(survey.checked.document.data)]
    legs = survey.groups(*LEGS)
    for landing in landings:
        _check_way(survey, legs, landing)
        _check_fuel(survey, landing)
        _check_turn_round(survey, landing)
    _check_load(survey, landings)
    runs = [run for leg in legs for run in survey.groups(*leg, "runs")]
    check_leaves(survey, _every_item(survey), survey.texts(runs, "leaves"))
    _check_first_alone(survey, legs[: legs.index(landings[0])])
    if survey.data(("variations",)) is not None:
        survey.fault(
            ("variations",), "variations are of a mission of one sector, and this one lands on its way",
            "no variations", "'whatif' with --set tries a change on one sector, named behind the file as in ferry.yaml#2",
            at_key=True,
        )  # fmt: skip
    if aircraft is not None:
        supplies = Survey(aircraft)
        names = supplies.texts(supplies.groups("fluids"), "name")
        for landing in landings:
            for number in range(len(survey.data((*landing, "filled up")) or ())):
                survey.known((*landing, "filled up", number), names, "a supply of the aircraft file")


def _check_way(survey: Survey, legs: Sequence[KeyPath], landing: KeyPath) -> None:
    """She lands where the leg before ends, and another sector follows."""
    at, index = survey.text(*landing, "at"), legs.index(landing)
    before, after = legs[:index], legs[index + 1 :]
    flown = next(
        (one for one in reversed(before) if "to" in survey.keys(*one) or survey.text(*one, "do") == "land"), None
    )
    here = survey.text(*flown, "to") if flown is not None else None
    if flown is None or here is None:
        nothing = "the entry before is no leg" if flown is None else "nothing is flown since the landing before"
        survey.fault((*landing, "at"), f"nothing has flown to '{at}' when she lands there: {nothing}", "a leg first")
    elif here != at:
        survey.fault(
            (*landing, "at"), f"nothing has flown to '{at}' when she lands there: the leg before ends at {here}",
            f"at: {here}, or a leg to {at} before it",
        )  # fmt: skip
    elif survey.text(*before[-1], "do") in PATTERNS:
        survey.fault(
            (*landing, "at"), f"she lands at '{at}' and is at the end of a pattern", f"a leg to {at} before it"
        )
    if not any("to" in survey.keys(*one) for one in after):
        survey.fault(
            (*landing, "do"), "nothing is flown after this landing", "a leg after it",
            "the last landing is that of the route: 'landing runway'",
        )  # fmt: skip


def _check_fuel(survey: Survey, landing: KeyPath) -> None:
    path = (*landing, "fuel")
    given = [way for way in FUEL_WAYS if way in survey.keys(*path)]
    if len(given) != 1:
        problem = f"{' and '.join(given)} are given together" if given else "nothing says how much is taken on"
        survey.fault(path, problem, f"one of {', '.join(FUEL_WAYS)}", "add: 0 US gal takes on nothing", at_key=True)
    own, grade = survey.text("aircraft", "fuel grade"), survey.text(*path, "grade")
    if own and grade and lower_of(own, grade) is None:
        survey.fault(
            (*path, "grade"), f"'{grade}' is mixed with {own}, and nothing says which is the lower",
            "grades named by their lean and rich numbers, such as 91/96",
        )  # fmt: skip


def _check_turn_round(survey: Survey, landing: KeyPath) -> None:
    path = (*landing, "turn-round")
    stands, stations = survey.si(*path), survey.si("times", *_TIMES)
    if stands is not None and stations is not None and stands < stations:
        survey.fault(
            path, f"'{survey.text(*path)}' is shorter than the {survey.text('times', *_TIMES)} from stations to start",
            f"{survey.text('times', *_TIMES)} or more",
        )  # fmt: skip


def _check_load(survey: Survey, landings: Sequence[KeyPath]) -> None:
    """What leaves is aboard, and a name means one piece."""
    for first, kind, key, what in (
        ("items", "load", "name", "piece of load"),
        ("people", "people", "who", "group of people"),
    ):
        aboard = survey.texts(survey.groups("load", first), key)
        every = survey.groups("load", first)
        for landing in landings:
            gone = _left_before(survey, landing) if kind == "load" else set()
            aboard = [one for one in aboard if one not in gone]
            for number in range(len(survey.data((*landing, f"{kind} off")) or ())):
                name = survey.known((*landing, f"{kind} off", number), aboard, f"a {what} aboard on this landing")
                aboard = [one for one in aboard if one != name]
            every += survey.groups(*landing, f"{kind} on")
            aboard += survey.texts(survey.groups(*landing, f"{kind} on"), key)
        survey.unique(every, key, what)


def _left_before(survey: Survey, landing: KeyPath) -> set[str | None]:
    """Return the load that has left on a run before a landing."""
    before = [leg for leg in survey.groups(*LEGS) if leg[-1] < landing[-1]]  # type: ignore[operator]
    labels = survey.texts([run for leg in before for run in survey.groups(*leg, "runs")], "leaves")
    return {survey.text(*item, "name") for item in _every_item(survey) if survey.text(*item, "leaves") in labels}


def _every_item(survey: Survey) -> list[KeyPath]:
    """Return every piece of load, wherever it comes aboard."""
    landings = [(*LEGS, index) for index in landings_of(survey.checked.document.data)]
    return [*survey.groups("load", "items"), *(item for one in landings for item in survey.groups(*one, "load on"))]


def _check_first_alone(survey: Survey, first: Sequence[KeyPath]) -> None:
    """The time over a target fixes the take-off, so it is of the first sector; a later sector has timed points."""
    at = survey.text("times", "over target", "at")
    places = survey.texts(first, "to")
    if at is not None and at not in places:
        survey.fault(
            ("times", "over target", "at"), f"'{at}' is not a place of the first sector",
            f"one of {', '.join(places)}", "the sectors after it begin when she is ready again: ask for 'timed points' there",
        )  # fmt: skip
