"""Phases, people, checklists and emergencies of an aircraft file: names that must meet and what a phase must say."""

from __future__ import annotations

import itertools
import re
from typing import get_args

from briefgen.model.procedures import ChecklistPhase
from briefgen.spec.build.aircraft import chart_rows
from briefgen.spec.meaning.ordered import not_above, not_below
from briefgen.spec.tree.files import SpecFiles
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey

_PHASES = (
    "taxi", "run-up", "take-off", "after take-off", "climb", "cruise", "hold", "descent", "pattern", "final",
    "go-around", "after landing", "shutdown",
)  # fmt: skip
_ALOFT = ("after take-off", "climb", "cruise", "hold", "drop", "descent", "pattern", "final", "go-around")
_NEEDS = {"take-off": ("fuel from", "rating"), "go-around": ("rating", "airspeed"), "drop": ("airspeed",)}
_BRACES = re.compile(r"\{[a-z][a-z0-9_.-]*\}")


def check_handling(survey: Survey, flaps: list[str]) -> None:
    """Note what does not fit in phases, transfers, people, checklists and emergencies; `flaps` are her settings."""
    _check_phases(survey, flaps)
    _check_cowl_flaps(survey)
    _check_intake(survey)
    _check_transfers(survey)
    stations = survey.texts(survey.groups("balance", "stations"), "name")
    for seat in survey.groups("people", "seats"):
        survey.known((*seat, "station"), stations, "a station of this file")
    survey.unique(survey.groups("people", "seats"), "station", "row of seats")
    survey.unique(survey.groups("people", "rafts"), "name", "raft")
    _check_checklist_order(survey)
    _check_who(survey)
    _check_fluids(survey)


def flap_settings(survey: Survey, files: SpecFiles) -> list[str]:
    """Return the flap settings the file names: the model's, or the words of the chart of stalling speeds."""
    named = survey.texts(survey.groups("model", "airframe", "configurations"), "name")
    path: KeyPath = ("charts", "charts", "stall")
    axes = survey.keys(*path, "axes")
    if named or "configuration" not in axes:
        return named
    if survey.text(*path, "file") is not None and files.refer_table(survey.checked.document, (*path, "file")) is None:
        return []
    try:
        rows = chart_rows(survey.data(path), lambda name: files.tables[name])
        return list(dict.fromkeys(str(row[axes.index("configuration")]) for row in rows))
    except (LookupError, TypeError, ValueError):
        return []  # not a chart that can be read: said elsewhere


def _check_phases(survey: Survey, flaps: list[str]) -> None:
    rows = survey.groups("phases")
    survey.unique(rows, "phase", "row of phases")
    written = survey.texts(rows, "phase")
    missing = [phase for phase in _PHASES if phase not in written]
    if rows and missing:
        survey.fault(("phases",), f"there is no row for {', '.join(missing)}", "a row for each phase", at_key=True)
    tanks = survey.texts(survey.groups("balance", "tanks"), "name")
    for row in [*rows, *survey.groups("limits", "speeds", "flaps")]:
        for key in ("flaps", "setting"):
            if flaps:
                survey.known((*row, key), flaps, "a flap setting of this file")
    for row in rows:
        phase = survey.text(*row, "phase") or ""
        for key in _NEEDS.get(phase, ()):
            if survey.data((*row, key)) is None:
                survey.fault(row, f"'{key}' is missing for {phase}", f"{key}, which the plan needs in this phase")
        for index in range(len(survey.data((*row, "fuel from")) or ())):
            survey.known((*row, "fuel from", index), tanks, "a tank of this file")
        not_below(survey, (*row, "engine speed"), (*row, "least engine speed"), "least engine speed of the phase")
        if phase in _ALOFT:
            least: KeyPath = ("model", "minimum engine speed")
            not_below(survey, (*row, "least engine speed"), least, "least engine speed in flight")
        _check_airspeed(survey, row)


def _check_airspeed(survey: Survey, row: KeyPath) -> None:
    """The speed of a phase keeps the limits of its flaps and its gear."""
    listed = {survey.text(*one, "setting"): one for one in survey.groups("limits", "speeds", "flaps")}
    flaps = survey.text(*row, "flaps")
    if flaps != "clean":
        limit: KeyPath = (*listed[flaps], "greatest") if flaps in listed else ("speeds", "flaps limit")
        not_above(survey, (*row, "airspeed"), limit, "flap limit")
    if survey.text(*row, "gear") == "down":
        not_above(survey, (*row, "airspeed"), ("speeds", "gear limit"), "gear limit")


def _check_cowl_flaps(survey: Survey) -> None:
    """Every phase has a position, and each position a drag."""
    positions = survey.keys("model", "airframe", "cowl flap drag area")
    if not positions:
        return
    for row in survey.groups("phases"):
        survey.known((*row, "cowl flaps"), positions, "a cowl-flap position of this file")
        survey.known((*row, "hot-day cowl flaps", "position"), positions, "a cowl-flap position of this file")
        if survey.data((*row, "cowl flaps")) is None:
            phase = survey.text(*row, "phase") or ""
            survey.fault(row, f"'cowl flaps' is missing for {phase}", f"one of {', '.join(positions)}")


def _check_intake(survey: Survey) -> None:
    """Filters, intercooler and carburettor heat are set where she has them, and it is said when heat is on."""
    ice, engine = ("carburettor ice",), ("model", "engine")
    levers = survey.data(("lever order", "increasing"))
    for key in ("filters", "intercooler", "carburettor heat"):
        if survey.data((*ice, key)) is not None and isinstance(levers, list) and key not in levers:
            survey.fault((*ice, key), f"'{key}' stands in no lever order of this file", "a lever she has")
    if survey.data(engine) is None:
        return
    has = {"filters": "filter loss", "intercooler": "turbo", "carburettor heat": "carburettor heat"}
    for row in [*survey.groups("phases"), ice]:
        for key, given in has.items():
            if survey.data((*row, key)) is not None and survey.data((*engine, given)) is None:
                survey.fault((*row, key), f"the engine has no '{given}'", f"no '{key}', or '{given}' of the engine")
        if survey.text(*row, "filters") == "by altitude" and survey.text("model", "filters off above") in (
            None,
            "none",
        ):
            survey.fault(
                (*row, "filters"), "there is no altitude to go by", "'filters off above' of the model, or in or out"
            )
    if survey.data((*engine, "carburettor heat")) is not None and survey.data((*ice, "carburettor heat")) is None:
        survey.fault(ice, "it is not said when carburettor heat is on", "carburettor heat: on", at_key=True)


def _check_transfers(survey: Survey) -> None:
    tanks = survey.texts(survey.groups("balance", "tanks"), "name")
    for row in survey.groups("fuel transfer", "transfers"):
        source = survey.known((*row, "tank"), tanks, "a tank of this file")
        for index in range(len(survey.data((*row, "into")) or ())):
            into = survey.known((*row, "into", index), tanks, "a tank of this file")
            if into is not None and into == source:
                survey.fault((*row, "into", index), f"'{into}' is the tank the fuel comes from", "another tank")


def _check_checklist_order(survey: Survey) -> None:
    order = get_args(ChecklistPhase)
    rows = [row for row in survey.groups("checklists") if survey.text(*row, "phase") in order]
    for before, after in itertools.pairwise(rows):
        earlier, later = (survey.text(*row, "phase") or "" for row in (before, after))
        if order.index(later) < order.index(earlier):
            problem = f"'{later}' stands behind '{earlier}'"
            survey.fault((*after, "phase"), problem, f"the order of a flight: {', '.join(order)}")


def _check_who(survey: Survey) -> None:
    """Whoever must act sits aboard, and a key in braces can be looked up."""
    aboard = survey.texts(survey.groups("crew"), "position")
    actions = list(survey.groups("altitude actions"))
    for checklist in survey.groups("checklists"):
        actions += survey.groups(*checklist, "items")
    for emergency in survey.groups("emergencies"):
        actions += [*survey.groups(*emergency, "at once"), *survey.groups(*emergency, "then")]
    actions += survey.groups("calls on the run")
    for row in actions:
        survey.known((*row, "position"), aboard, "a crew position of this aircraft")
        for key in ("challenge", "response", "action", "says"):
            text = survey.text(*row, key) or ""
            if set(_BRACES.sub("", text)) & {"{", "}"}:
                survey.fault((*row, key), f"'{text}' has braces without a key", "a key such as {fuel.ramp}")


def _check_fluids(survey: Survey) -> None:
    for row in survey.groups("fluids"):
        capacity, least, start = (
            survey.data((*row, key)) for key in ("capacity", "least for flight", "least at start")
        )
        for key, value, most, name in (
            ("least for flight", least, capacity, "capacity"),
            ("least at start", start, capacity, "capacity"),
            ("least for flight", least, start, "least at start"),
        ):
            if isinstance(value, int | float) and isinstance(most, int | float) and value > most:
                survey.fault((*row, key), f"'{value}' is above the {name} of {most}", f"at most {most}")
