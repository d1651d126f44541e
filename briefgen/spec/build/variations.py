"""Variations written in a mission to the values they set: what 'lower grade' or '40 min late' means for this mission."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, timedelta

from briefgen.errors import Fault
from briefgen.model.aircraft import Aircraft
from briefgen.model.bench import Change, Variation
from briefgen.spec.tree.reader import Reader
from briefgen.spec.words.times import WrittenTime, instant
from briefgen.spec.words.variations import EngineOut, HeadWind, Late, LowerGrade, MoreLoad, Warmer

_RICH_NUMBER = re.compile(r"(\d{2,3})/(\d{2,3})")


def build_variations(mission: Reader, aircraft: Aircraft) -> tuple[tuple[Variation, ...], list[Fault]]:
    """Return the variations a mission names, and the faults of those that have no meaning for it."""
    document = mission.checked.document
    found: list[Variation] = []
    faults: list[Fault] = []
    for number, written in enumerate(mission.data.get("variations") or ()):
        path = ("variations", number)
        if isinstance(written, dict):
            sets = [mission.checked.fields[(*path, "set", index)] for index in range(len(written["set"]))]
            found.append(Variation(written["name"], tuple(one for one in sets if isinstance(one, Change))))
            continue
        changes = changes_of(mission.checked.fields[path], mission, aircraft)
        if isinstance(changes, str):
            faults.append(document.fault(path, f"variations[{number}]: {changes}", "a variation this mission can have"))
        else:
            found.append(Variation(str(written), changes))
    return tuple(found), faults


def changes_of(asked: object, mission: Reader, aircraft: Aircraft) -> tuple[Change, ...] | str:
    """Return what a variation sets in a mission, or why it means nothing there."""
    match asked:
        case HeadWind(text):
            return (Change("weather.more head wind", text),)
        case Warmer(text):
            return (Change("weather.warmer", text),)
        case MoreLoad(mass, bay):
            piece = f'{{ name: "{mass} more", mass: "{mass}", bay: "{bay}", leaves: landing }}'
            return (Change("load.items[+]" if mission.data["load"].get("items") else "load.items", piece if mission.data["load"].get("items") else f"[{piece}]"),)  # fmt: skip
        case LowerGrade():
            return _lower_grade(mission.at("aircraft").text("fuel grade"), _grades(aircraft))
        case EngineOut(at):
            return _engine_out(at, aircraft)
        case Late(delay_s):
            return (_late(mission.at("times"), delay_s),)
    raise TypeError(asked)


def _grades(aircraft: Aircraft) -> list[str]:
    grades = aircraft.model.fuel_grades if aircraft.model else aircraft.charts.fuel_grades if aircraft.charts else ()
    return [one.name for one in grades]


def lower_of(one: str, other: str) -> str | None:
    """Return the lower of two grades by their lean and rich numbers, None where they do not say; a grade is its own lower."""
    if one == other:
        return one
    found = [_RICH_NUMBER.search(grade) for grade in (one, other)]
    if not all(found):
        return None
    return min((one, other), key=lambda grade: tuple(map(int, _RICH_NUMBER.search(grade).groups())))  # type: ignore[union-attr]


def _lower_grade(grade: str, cleared: Sequence[str]) -> tuple[Change, ...] | str:
    """Return the change to the next lower grade: the one of the next lower lean and rich performance numbers."""
    numbers = {name: tuple(map(int, found.groups())) for name in cleared if (found := _RICH_NUMBER.search(name))}
    if grade not in numbers:
        return f"the grade '{grade}' is not named by its lean and rich numbers, so none is known to be lower"
    lower = [name for name in numbers if numbers[name] < numbers[grade]]
    if not lower:
        return f"the aircraft file clears no grade lower than {grade}"
    return (Change("aircraft.fuel grade", max(lower, key=lambda name: numbers[name])),)


def _engine_out(at: str, aircraft: Aircraft) -> tuple[Change, ...] | str:
    """Return the change to the first configuration of the file with one engine fewer."""
    every = [one.configuration for one in aircraft.model.engine_configurations] if aircraft.model else []
    every += aircraft.charts.engine_configurations if aircraft.charts else ()
    one_fewer = [one.name for one in every[1:] if one.running == every[0].running - 1]
    if not one_fewer:
        return "the aircraft file gives no configuration with one engine stopped"
    return (Change("route.engines stopped", f'{{ from: "{at}", engines: "{one_fewer[0]}" }}'),)


def _late(times: Reader, delay_s: float) -> Change:
    """Return the change of the time that fixes the mission: take-off, or over the target."""
    fixed = ("take-off at",) if "take-off at" in times else ("over target", "time")
    written = times.at(*fixed[:-1]).value(fixed[-1], WrittenTime)
    moved = instant(written, times.value("zone", str)) + timedelta(seconds=delay_s)
    return Change(f"times.{'.'.join(fixed)}", f"{moved.astimezone(UTC):%Y-%m-%d %H:%M:%SZ}")
