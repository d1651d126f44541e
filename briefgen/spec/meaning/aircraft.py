"""An aircraft file against itself: names that must meet, tables that must be tables, limits that must follow each other."""

from __future__ import annotations

from briefgen.errors import Fault
from briefgen.model.aircraft import Aircraft
from briefgen.spec.build.aircraft import curves_of
from briefgen.spec.meaning.charts import check_charts
from briefgen.spec.meaning.handling import check_handling, flap_settings
from briefgen.spec.meaning.limits import check_limits
from briefgen.spec.meaning.ordered import below
from briefgen.spec.tree.check import Checked
from briefgen.spec.tree.files import SpecFiles
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.names import column_dimensions
from briefgen.spec.tree.survey import Survey
from briefgen.spec.tree.tables import ascending_fault, columns_si, table_faults

FULL_CIRCLE_DEG = 360
_Point = tuple[float, float]
_NAMED: tuple[tuple[tuple[str, ...], str, str], ...] = (
    (("individuals",), "registration", "airframe"),
    (("crew",), "position", "crew position"),
    (("balance", "stations"), "name", "station"),
    (("balance", "bays"), "name", "bay"),
    (("balance", "doors"), "name", "door"),
    (("balance", "tanks"), "name", "tank"),
    (("balance", "envelopes"), "name", "envelope"),
    (("model", "fuel grades"), "name", "fuel grade"),
    (("model", "engine configurations"), "name", "engine configuration"),
    (("model", "airframe", "configurations"), "name", "configuration"),
    (("model", "field", "surfaces"), "name", "surface"),
)


def aircraft_faults(checked: Checked, files: SpecFiles) -> list[Fault]:
    """Return what is wrong with the meaning of an aircraft file."""
    survey = Survey(checked)
    for path, key, what in _NAMED:
        survey.unique(survey.groups(*path), key, what)
    _check_places_aboard(survey)
    check_limits(survey)
    _check_model(survey)
    flaps = flap_settings(survey, files)
    check_handling(survey, flaps)
    _check_tables(survey)
    check_charts(survey, flaps, files)
    return survey.faults


def _check_places_aboard(survey: Survey) -> None:
    stations = survey.texts(survey.groups("balance", "stations"), "name")
    for member in survey.groups("crew"):
        survey.known((*member, "station"), stations, "a station of this file")
        survey.known((*member, "take-off station"), stations, "a station of this file")
    doors = survey.texts(survey.groups("balance", "doors"), "name")
    for bay in survey.groups("balance", "bays"):
        survey.known((*bay, "door"), [*doors, "none"], "a door of this file")
        below(survey, (*bay, "from arm"), (*bay, "to arm"))
    for tank in survey.groups("balance", "tanks"):
        below(survey, (*tank, "unusable"), (*tank, "capacity"))


def _check_model(survey: Survey) -> None:
    model, charts = survey.data(("model",)), survey.data(("charts",))
    if (model is None) == (charts is None):
        both = "both 'model' and 'charts' are given" if model is not None else "neither 'model' nor 'charts' is given"
        survey.fault((), both, "one of the two: a physical model or charts")
    configurations = survey.texts(survey.groups("model", "airframe", "configurations"), "name")
    for key in ("take-off configuration", "landing configuration"):
        survey.known(("model", "field", key), configurations, "a configuration of this file")
    _check_wheels(survey)
    _check_engines(survey)


def _check_wheels(survey: Survey) -> None:
    """The three-point attitude is that of a tail wheel."""
    path: KeyPath = ("model", "field", "tail-down angle")
    wheels, written = survey.text("wheels"), survey.text(*path)
    if wheels == "nose wheel" and written not in (None, "none"):
        survey.fault(path, f"'{written}' is the angle on a tail wheel, and she has a nose wheel", "none")
    if wheels == "tail wheel" and written == "none":
        survey.fault(
            path, "she stands on a tail wheel, and the angle is 'none'", "the angle of her wing on three points"
        )


def _check_engines(survey: Survey) -> None:
    """Every configuration runs some of her engines, one of them all; the levers are the same both ways."""
    engines = survey.data(("engines",))
    found = [*survey.groups("model", "engine configurations"), *survey.groups("charts", "engine configurations")]
    running = [survey.data((*configuration, "running")) for configuration in found]
    for configuration, count in zip(found, running, strict=True):
        if isinstance(engines, int) and isinstance(count, int) and count > engines:
            survey.fault((*configuration, "running"), f"'{count}' engines run", f"at most the {engines} she has")
    if found and isinstance(engines, int) and engines not in running:
        survey.fault((*found[0][:-1],), f"in no configuration all {engines} engines run", "one with all", at_key=True)
    increasing, reducing = survey.data(("lever order", "increasing")), survey.data(("lever order", "reducing"))
    if (
        isinstance(increasing, list)
        and isinstance(reducing, list)
        and sorted(map(str, increasing)) != sorted(map(str, reducing))
    ):
        survey.fault(("lever order",), "the two orders do not name the same levers", "each lever in both", at_key=True)


def _check_tables(survey: Survey) -> None:
    document = survey.checked.document
    for name, path, data in curves_of(Aircraft, document.data):
        if not _has_shape(data):
            continue
        is_envelope = "envelopes" in path
        dimensions = ("length", "mass") if is_envelope else column_dimensions(name)
        faults = table_faults(document, path, data, dimensions)
        survey.faults.extend(faults)
        if faults:
            continue
        if is_envelope:
            _check_envelope(survey, path)
        else:
            survey.faults.extend(ascending_fault(document, path, data))
            if name.startswith("compass_deviation"):
                _check_circle(survey, path)


def _check_circle(survey: Survey, path: KeyPath) -> None:
    rows = survey.data((*path, "rows"))
    if rows[0][0] != 0 or rows[-1][0] != FULL_CIRCLE_DEG or rows[0][1] != rows[-1][1]:
        expected = "rows from 0 to 360, with the same deviation at both ends"
        survey.fault((*path, "rows"), "the deviations do not go around the full circle", expected, at_key=True)


def _check_envelope(survey: Survey, path: KeyPath) -> None:
    """The corners enclose an area: masses are positive and no two sides cross."""
    arms, masses = columns_si(survey.data(path))
    corners = list(zip(arms, masses, strict=True))
    sides = list(zip(corners, [*corners[1:], corners[0]], strict=True))
    crossed = any(
        _cross(*first, *second)
        for index, first in enumerate(sides)
        for second in sides[index + 2 :]
        if not (index == 0 and second is sides[-1])
    )
    if min(masses) <= 0.0 or crossed:
        expected = "corner points in order around the envelope, with positive masses"
        survey.fault((*path, "rows"), "the corners do not enclose an area", expected, at_key=True)


def _cross(a: _Point, b: _Point, c: _Point, d: _Point) -> bool:
    """Return whether two sides meet."""
    return _turn(a, b, c) * _turn(a, b, d) <= 0.0 and _turn(c, d, a) * _turn(c, d, b) <= 0.0


def _turn(a: _Point, b: _Point, c: _Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _has_shape(data: object) -> bool:
    return (
        isinstance(data, dict)
        and isinstance(data.get("columns"), dict)
        and len(data["columns"]) == len(("argument", "value"))
        and isinstance(data.get("rows"), list)
        and all(isinstance(row, list) for row in data["rows"])
        and len(data["rows"]) > 1
    )
