"""Places files against themselves and each other."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.errors import Fault
from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey
from briefgen.units import to_si

_SLOPE_AGREES_M = to_si(60.0, "ft")  # how far the ends of one strip may disagree before a figure is a slip of the pen
_COVERED, _ROLLED = ("slush", "snow"), "compacted"  # what lies in a depth, but snow that bears the wheels
_NAME_AGREES_DEG = 45.0  # more than the variation anywhere but near the magnetic poles


def places_faults(files: Sequence[Checked]) -> list[Fault]:
    """Return what is wrong with the meaning of places files that are used together."""
    faults: list[Fault] = []
    seen: dict[str, str] = {}
    for checked in files:
        survey = Survey(checked)
        for ident in survey.keys("places"):
            if ident in seen:
                problem = f"'{ident}' is already a place of {seen[ident]}"
                survey.fault(("places", ident), problem, "each identifier in one file", at_key=True)
            seen.setdefault(ident, checked.document.file)
            _check_runways(survey, ident)
        faults.extend(survey.faults)
    return faults


def _check_runways(survey: Survey, ident: str) -> None:
    runways = survey.groups("places", ident, "runways")
    survey.unique(runways, "name", f"runway of {ident}")
    for runway in runways:
        _check_heading(survey, runway)
        _check_depth(survey, runway)
        elevation, field = survey.si(*runway, "elevation"), survey.si("places", ident, "elevation")
        if elevation is not None and field is not None and abs(elevation - field) > 10 * _SLOPE_AGREES_M:
            survey.fault(
                (*runway, "elevation"),
                f"'{survey.text(*runway, 'elevation')}' is far from the field's {survey.text('places', ident, 'elevation')}",
                "within 600 ft of the elevation of the field",
            )


def _check_heading(survey: Survey, runway: KeyPath) -> None:
    """A runway is named after its magnetic heading; the true one differs by the variation, never by half a circle."""
    name, heading_deg = survey.text(*runway, "name"), survey.si(*runway, "heading")
    if name is None or heading_deg is None or not name[:2].rstrip("LCR").isdigit():
        return
    off_deg = abs((heading_deg - 10.0 * int(name[:2].rstrip("LCR")) + 180.0) % 360.0 - 180.0)
    if off_deg > _NAME_AGREES_DEG:
        problem = f"'{survey.text(*runway, 'heading')}' is {off_deg:.0f} degrees from what the name {name} says"
        survey.fault((*runway, "heading"), problem, f"within {_NAME_AGREES_DEG:.0f} degrees of ten times the name")


def _check_depth(survey: Survey, runway: KeyPath) -> None:
    """Slush and snow have a depth: without one their drag is not known."""
    surface = survey.text(*runway, "surface")
    if surface is None or _ROLLED in surface or not any(word in surface for word in _COVERED):
        return
    if not survey.si(*runway, "depth"):
        problem = f"a runway of '{surface}' has no depth of it"
        survey.fault(
            (*runway, "surface"), problem, "the depth of what lies on the runway beside it, such as 'depth: 6 mm'"
        )
