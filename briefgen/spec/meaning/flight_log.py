"""A log against its mission: lines and places there are, times in order, fuel that falls, tanks and loads by their names."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from briefgen.errors import Fault
from briefgen.model.flight_log import GROUND_EVENTS
from briefgen.model.mission import Action, Mission
from briefgen.spec.build.flight_log import LogFrame, blank_of, instants_of
from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey
from briefgen.units import in_unit

RISES_BY_READING = (
    3.0  # standard deviations of the difference of two readings: less is the reading, more is a slip of the pen
)
OF_TWO = 2.0**0.5  # the error of a difference of two equally good readings is that of one by so much
PER_ENGINE = ("oil in", "oil out", "oil added", "engine hours")


def log_faults(checked: Checked, mission: Mission, frame: LogFrame) -> list[Fault]:
    """Return what is wrong with the meaning of a log, each fault at its place."""
    survey = Survey(checked)
    _check_head(survey, mission)
    _check_lines(survey, frame)
    instants = instants_of(survey, frame)
    _check_order(survey, instants)
    _check_fuel(survey, mission)
    _check_drops(survey, mission)
    _check_engines(survey, mission)
    return survey.faults


def _check_head(survey: Survey, mission: Mission) -> None:
    number, revision = survey.text("number"), survey.data(("revision",))
    if number is not None and number != mission.number:
        survey.fault(
            ("number",), f"this is the log of {number}", f"the log of {mission.number}, as the mission is numbered"
        )
    if isinstance(revision, int) and revision != mission.revision:
        survey.fault(
            ("revision",), f"this is the log of revision {revision}", f"revision {mission.revision}, the one planned",
            "plan with the revision that was flown",
        )  # fmt: skip
    fields = (mission.route.destination.ident, *(one.place.ident for one in (*mission.alternates, *mission.en_route)))
    survey.known(("landed at",), fields, "a field of this mission to land at")


def _check_lines(survey: Survey, frame: LogFrame) -> None:
    """Each line fills one line of the card, in the order of their numbers; a place agrees with the number beside it."""
    last, count = 0, len(frame.blanks.lines)
    places = tuple(dict.fromkeys(one.place for one in frame.blanks.lines if one.place))
    for path in survey.groups("lines"):
        number, at = survey.data((*path, "no")), survey.known((*path, "at"), places, "a place of this log")
        blank = blank_of(survey, path, frame.blanks)
        if isinstance(number, int) and blank is None:
            survey.fault((*path, "no"), f"there is no line {number} in this log", f"a number from 1 to {count}")
        elif isinstance(number, int) and number <= last:
            survey.fault(
                (*path, "no"), f"line {number} stands below line {last}", "lines in the order of the card, each once"
            )
        if at and blank is not None and blank.place != at:
            expected = (
                f"'{blank.place}', or the number of a line at {at}"
                if blank.place
                else f"no place: line {blank.number} is one of the clock"
            )
            survey.fault((*path, "at"), f"line {blank.number} is not at {at}", expected)
        elif at and number is None and blank is None:
            numbers = ", ".join(str(one.number) for one in frame.blanks.lines if one.place == at)
            survey.fault((*path, "at"), f"{at} stands in several lines", f"the number of one of them: {numbers}")
        last = blank.number if blank is not None else last
        if survey.si(*path, "fuel flow") == 0.0:
            survey.fault((*path, "fuel flow"), "an engine that runs burns fuel", "a fuel flow above nothing")
        if not {"time", "no", "at"} & set(survey.keys(*path)):
            survey.fault(
                path, "the line says neither its number nor a time", "'no' as on the card, or 'time'", at_key=True
            )


def _check_order(survey: Survey, instants: Mapping[KeyPath, datetime]) -> None:
    """Times rise from off blocks to on blocks, in the order in which they are written."""
    before: tuple[KeyPath, datetime] | None = None
    for path, instant in instants.items():
        if before is not None and instant < before[1]:
            above = survey.checked.document.mark((*before[0], "time")).line
            problem = f"'{survey.text(*path, 'time')}' is before '{survey.text(*before[0], 'time')}' on line {above}"
            survey.fault(
                (*path, "time"), problem, "times in the order of the flight",
                "a time of day means the one nearest to the plan; write the date where it is more than twelve hours off",
            )  # fmt: skip
        before = (path, instant)


def _check_fuel(survey: Survey, mission: Mission) -> None:
    """Fuel falls, and no tank holds more than it can."""
    tanks = {tank.name: tank.capacity_m3 for tank in mission.aircraft.balance.tanks}
    error_m3 = survey.si("reading error")
    places = [(name,) for name in GROUND_EVENTS[:2]] + survey.groups("lines") + [(name,) for name in GROUND_EVENTS[2:]]
    last: tuple[KeyPath, float] | None = None
    for path in places:
        read = _read(survey, path, tanks)
        if read is None:
            continue
        where, volume_m3 = read
        if error_m3 is None and last is None:
            survey.fault(
                (), "fuel is read, and 'reading error' is missing",
                "reading error: how far one reading of all tanks together may be off, such as \"8 US gal\"",
            )  # fmt: skip
        _check_capacity(survey, where, volume_m3, sum(tanks.values()))
        if last is not None and volume_m3 - last[1] > RISES_BY_READING * OF_TWO * (error_m3 or 0.0):
            line = survey.checked.document.mark(last[0]).line
            survey.fault(
                where, f"the fuel rises by {in_unit(volume_m3 - last[1], 'US gal'):,.0f} US gal since the reading on line {line}",
                "less fuel than before, within the reading error",
            )  # fmt: skip
        last = (where, volume_m3)


def _read(survey: Survey, path: KeyPath, tanks: Mapping[str, float]) -> tuple[KeyPath, float] | None:
    """Return where fuel was read and how much [m3]; None where it was not."""
    names = survey.keys(*path, "fuel by tank")
    whole = survey.si(*path, "fuel")
    if names and whole is not None:
        survey.fault((*path, "fuel"), "fuel is written twice", "'fuel' or 'fuel by tank', not both", at_key=True)
    if not names:
        return None if whole is None else ((*path, "fuel"), whole)
    where = (*path, "fuel by tank")
    for name in names:
        if name not in tanks:
            survey.fault((*where, name), f"'{name}' is not a tank", f"one of {', '.join(tanks)}", at_key=True)
        else:
            _check_capacity(survey, (*where, name), survey.si(*where, name) or 0.0, tanks[name])
    missing = [name for name in tanks if name not in names]
    if missing:
        survey.fault(where, f"not read: {', '.join(missing)}", "every tank, or 'fuel' for all together", at_key=True)
    return where, sum(survey.si(*where, name) or 0.0 for name in names)


def _check_capacity(survey: Survey, path: KeyPath, volume_m3: float, most_m3: float) -> None:
    if volume_m3 > most_m3 * (1.0 + 1e-9):
        shown = f"{in_unit(volume_m3, 'US gal'):,.0f} US gal is more than it holds"
        survey.fault(path, shown, f"at most {in_unit(most_m3, 'US gal'):,.0f} US gal")


def _check_drops(survey: Survey, mission: Mission) -> None:
    """What left is a load that was to leave, each once, and no more of it than was aboard."""
    labels = [run.leaves for item in mission.route.items if isinstance(item, Action) for run in item.runs if run.leaves]
    drops = survey.groups("drops")
    survey.unique(drops, "leaves", "drop")
    for path in drops:
        label, mass_kg = (
            survey.known((*path, "leaves"), labels, "a label under which a load leaves"),
            survey.si(*path, "mass"),
        )
        aboard_kg = sum(item.mass_kg for item in mission.items if item.leaves == label)
        if label and mass_kg is not None and mass_kg > aboard_kg * (1.0 + 1e-9):
            survey.fault(
                (*path, "mass"),
                f"'{survey.text(*path, 'mass')}' is more than was aboard",
                f"at most {in_unit(aboard_kg, 'lb'):,.0f} lb",
            )


def _check_engines(survey: Survey, mission: Mission) -> None:
    count = mission.aircraft.engines
    for key in PER_ENGINE:
        values = survey.data(("engines", key))
        if isinstance(values, list) and len(values) != count:
            survey.fault(
                ("engines", key), f"{len(values)} engines are written", f"{count}, one for each engine", at_key=True
            )
    for path in survey.groups("defects"):
        engine = survey.data((*path, "engine"))
        if isinstance(engine, int) and engine > count:
            survey.fault((*path, "engine"), f"there is no engine {engine}", f"a number from 1 to {count}")
