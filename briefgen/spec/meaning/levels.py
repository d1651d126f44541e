"""Levels of a mission against the ground they are flown over: none below a field, no safe altitude below a leg's ends."""

from __future__ import annotations

from briefgen.model.mission import Height
from briefgen.spec.meaning.place_files import Places
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey


def level_faults(survey: Survey, places: Places) -> None:
    """Find levels below the places they lead from, to or over, and safe altitudes below the ground there."""
    here = survey.text("route", "from")
    for leg in survey.groups("route", "legs"):
        to, at = survey.text(*leg, "to"), survey.text(*leg, "at")
        ends = [ident for ident in (here, to or at) if ident]
        for path in (leg, *survey.groups(*leg, "steps")):
            _check_level(survey, places, (*path, "altitude"), ends)
        _check_safe(survey, places, (*leg, "safe altitude"), ends)
        here = to or here
    for one in survey.groups("alternates"):
        ends = [ident for ident in (here, survey.text(*one, "place")) if ident]
        _check_level(survey, places, (*one, "altitude"), ends)
        _check_safe(survey, places, (*one, "safe altitude"), ends)


def _check_level(survey: Survey, places: Places, path: KeyPath, ends: list[str]) -> None:
    height = survey.checked.fields.get(path)
    if isinstance(height, Height) and height.reference == "altitude":
        _check(survey, places, path, height.value_m, ends, "the level")


def _check_safe(survey: Survey, places: Places, path: KeyPath, ends: list[str]) -> None:
    safe_m = survey.si(*path)
    if safe_m is not None:
        _check(survey, places, path, safe_m, ends, "the minimum safe altitude")


def _check(survey: Survey, places: Places, path: KeyPath, value_m: float, ends: list[str], what: str) -> None:
    for ident in ends:
        ground = places.elevation(ident)
        if ground is not None and value_m < ground[0]:
            problem = f"{what} '{survey.text(*path)}' is below the ground at {ident}, which is {ground[1]} high"
            survey.fault(path, problem, f"more than {ground[1]}, with the clearance wanted")
            return
