"""The limits of an aircraft file against each other and against the weights and speeds they hold for."""

from __future__ import annotations

import itertools
import math

from briefgen.spec.meaning.ordered import below, not_above, not_below
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey
from briefgen.spec.tree.tables import column_unit, columns_si
from briefgen.units import in_unit

_ENGINE: KeyPath = ("limits", "engine")
# Of each group the keys that rise from one to the next; equal is allowed.
_RISING: tuple[tuple[KeyPath, tuple[str, ...]], ...] = (
    ((*_ENGINE, "oil temperature"), ("before opening up", "normal to", "greatest", "short time")),
    ((*_ENGINE, "oil pressure"), ("least", "normal from", "normal to", "greatest")),
    ((*_ENGINE, "oil pressure"), ("idle", "normal from")),
    ((*_ENGINE, "fuel pressure"), ("least", "normal from", "normal to")),
    ((*_ENGINE, "cylinder head"), ("before opening up", "ground", "take-off")),
    ((*_ENGINE, "cylinder head"), ("before stopping", "ground")),
    ((*_ENGINE, "cylinder head"), ("lean cruise", "rich cruise", "climb", "take-off")),
    ((*_ENGINE, "magneto drop"), ("difference", "greatest")),
)
_RANGES: tuple[tuple[KeyPath, str, str], ...] = (
    (("limits", "field temperature"), "from", "to"),
    ((*_ENGINE, "oil temperature"), "normal from", "normal to"),
    ((*_ENGINE, "carburettor air"), "kept from", "kept to"),
    ((*_ENGINE, "carburettor air"), "icing from", "icing to"),
)


def check_limits(survey: Survey) -> None:
    """Note every limit that does not fit another, at its line."""
    _check_weights(survey)
    _check_envelope_weights(survey)
    _check_speeds(survey)
    _check_speed_limits(survey)
    _check_speeds_by_mass(survey)
    _check_minimum_control(survey)
    _check_engine(survey)
    _check_wind(survey)
    _check_openings(survey)


def _check_weights(survey: Survey) -> None:
    limits: KeyPath = ("balance", "limits")
    for lower, upper in (("zero fuel", "take-off"), ("landing", "take-off"), ("take-off", "ramp")):
        not_above(survey, (*limits, lower), (*limits, upper), f"{upper} limit")
    for one in survey.groups("individuals"):
        for name in ("zero fuel", "landing"):
            not_above(survey, (*one, "basic mass"), (*limits, name), f"{name} limit")


def _check_envelope_weights(survey: Survey) -> None:
    """Every envelope reaches from below the basic weights to the greatest take-off weight."""
    for path in survey.groups("balance", "envelopes"):
        data = survey.data(path)
        try:
            masses, unit = columns_si(data)[1], column_unit(list(data["columns"].values())[1]) or ""
        except (LookupError, TypeError, ValueError, AttributeError):
            continue  # not a table of arms and masses: said elsewhere
        if not masses or not unit:
            continue
        low, high = (f"{in_unit(mass, unit):,.0f} {unit}" for mass in (min(masses), max(masses)))
        heavy = [(*one, "basic mass") for one in survey.groups("individuals")] + [("balance", "limits", "take-off")]
        for weight in heavy:
            value = survey.si(*weight)
            if value is not None and not min(masses) <= value <= max(masses):
                problem = f"'{survey.text(*weight)}' lies outside the weights of the envelope '{data.get('name')}'"
                survey.fault(weight, problem, f"{low} to {high}, or an envelope that reaches it")


def _check_speeds(survey: Survey) -> None:
    for name in ("threshold", "final"):
        not_above(survey, ("speeds", name), ("speeds", "flaps limit"), "flap limit")
        not_above(survey, ("speeds", name), ("speeds", "gear limit"), "gear limit")
    not_above(survey, ("speeds", "threshold"), ("speeds", "final"), "speed on final")
    for name in ("climb", "climb on instruments", "descent", "hold", "approach", "flaps limit", "gear limit"):
        not_above(survey, ("speeds", name), ("speeds", "never exceed"), "speed never to be exceeded")
    _check_above_unstick(survey)
    written, needed = survey.data(("speeds", "climb on instruments in")), survey.si("speeds", "climb on instruments")
    if needed is not None and written is None:
        problem = "it is not said when the climb on instruments is flown"
        survey.fault(("speeds", "climb on instruments"), problem, "climb on instruments in: [cloud, darkness]")
    if written is not None and needed is None and survey.text("speeds", "climb on instruments") == "none":
        path: KeyPath = ("speeds", "climb on instruments in")
        survey.fault(
            path, "there is no speed for it", "a speed in 'climb on instruments', or this key left out", at_key=True
        )


def _check_above_unstick(survey: Survey) -> None:
    """After take-off she is flown faster than she unsticks at her greatest weight; slower would be near the stall."""
    unstick, at_mass = survey.si("speeds", "unstick"), survey.si("speeds", "unstick mass")
    greatest = survey.si("balance", "limits", "take-off")
    if unstick is None or not at_mass or greatest is None:
        return
    least = unstick * math.sqrt(greatest / at_mass)
    for name in ("safe", "climb", "climb on instruments"):
        value, unit = survey.si("speeds", name), survey.unit("speeds", name)
        if value is not None and value < least:
            shown = f"{math.ceil(in_unit(least, unit))} {unit}"
            problem = f"'{survey.text('speeds', name)}' is below the unstick speed at the greatest take-off weight"
            survey.fault(("speeds", name), problem, f"at least {shown} indicated")


def _check_speed_limits(survey: Survey) -> None:
    speeds: KeyPath = ("limits", "speeds")
    not_above(survey, (*speeds, "normal operating"), ("speeds", "never exceed"), "speed never to be exceeded")
    for name in ("gear lowering", "gear raising"):
        not_above(survey, (*speeds, name), ("speeds", "gear limit"), "gear limit")
    for flap in survey.groups(*speeds, "flaps"):
        not_above(survey, (*flap, "greatest"), ("speeds", "never exceed"), "speed never to be exceeded")
        not_below(survey, (*flap, "greatest"), ("speeds", "flaps limit"), "flap limit that holds for every setting")


def _check_speeds_by_mass(survey: Survey) -> None:
    rows = survey.groups("speeds by mass")
    for before, after in itertools.pairwise(rows):
        below(survey, (*before, "mass"), (*after, "mass"))
    for row in rows:
        not_above(survey, (*row, "threshold"), ("speeds", "flaps limit"), "flap limit")
        not_above(survey, (*row, "threshold"), (*row, "final"), "speed on final")


def _check_minimum_control(survey: Survey) -> None:
    """Every engine configuration has one row; with one engine stopped at most she can be held from the safe speed."""
    found = [*survey.groups("model", "engine configurations"), *survey.groups("charts", "engine configurations")]
    running = {survey.text(*one, "name"): survey.data((*one, "running")) for one in found}
    names = [name for name in running if name is not None]
    rows = survey.groups("minimum control")
    survey.unique(rows, "engines", "row of minimum control")
    for row in rows:
        name = survey.known((*row, "engines"), names, "an engine configuration of this file")
        engines, count = survey.data(("engines",)), running.get(name)
        if isinstance(engines, int) and isinstance(count, int) and count >= engines - 1:
            not_above(survey, (*row, "at take-off power"), ("speeds", "safe"), "safe speed")
        not_above(survey, (*row, "at climb power"), (*row, "at take-off power"), "speed at take-off power")
    missing = [name for name in names if name not in survey.texts(rows, "engines")]
    if rows and missing:
        problem = f"there is no row for {' nor for '.join(repr(name) for name in missing)}"
        expected = "a row for every engine configuration of this file; 'the stall governs' where there is no such speed"
        survey.fault(("minimum control",), problem, expected, at_key=True)


def _check_engine(survey: Survey) -> None:
    for group, keys in _RISING:
        for lower, upper in itertools.pairwise(keys):
            not_above(survey, (*group, lower), (*group, upper), f"'{upper}'")
    for group, low, high in _RANGES:
        below(survey, (*group, low), (*group, high))
    for band in survey.groups(*_ENGINE, "avoided engine speeds"):
        below(survey, (*band, "from"), (*band, "to"))
    for grade in survey.groups("model", "fuel grades"):
        not_below(survey, (*_ENGINE, "over-speed"), (*grade, "take-off", "engine speed"), "take-off engine speed")
    oil: KeyPath = (*_ENGINE, "oil temperature")
    for name, other in (("short time", "short time limit"), ("short time limit", "short time")):
        if survey.text(*oil, name) is not None and survey.text(*oil, other) is None:
            survey.fault((*oil, name), f"it is given without '{other}'", f"{other} too, or neither", at_key=True)


def _check_wind(survey: Survey) -> None:
    wind: KeyPath = ("limits", "wind")
    surfaces = survey.texts(survey.groups("model", "field", "surfaces"), "name")
    rows = survey.groups(*wind, "surfaces")
    survey.unique(rows, "surface", "surface")
    for row in rows:
        if surfaces:
            survey.known((*row, "surface"), surfaces, "a surface of this file")
        for name in ("crosswind", "tailwind"):
            not_above(survey, (*row, name), (*wind, name), f"{name} limit of any surface")


def _check_openings(survey: Survey) -> None:
    """A door that opens in flight says at what speeds, and no other door does."""
    doors = survey.groups("balance", "doors")
    told = {survey.text(*door, "name") or "": survey.data((*door, "opens in flight")) for door in doors}
    opening = [name for name, opens in told.items() if opens is not False]  # what is no answer is said elsewhere
    rows = survey.groups("limits", "speeds", "openings")
    survey.unique(rows, "door", "opening")
    for row in rows:
        survey.known((*row, "door"), opening, "a door of this file that opens in flight")
        below(survey, (*row, "least"), (*row, "greatest"))
    missing = [name for name, opens in told.items() if opens is True and name not in survey.texts(rows, "door")]
    if missing and survey.data(("limits", "speeds")) is not None:
        problem = f"there is no row for '{missing[0]}', which opens in flight"
        survey.fault(("limits", "speeds", "openings"), problem, "the speeds at which it may be open", at_key=True)
