"""An aircraft file against itself: names that must meet, tables that must be tables, limits that must follow each other."""

from __future__ import annotations

from briefgen.errors import Fault
from briefgen.model.aircraft import Aircraft
from briefgen.spec.build_aircraft import chart_rows, curves_of
from briefgen.spec.check import Checked
from briefgen.spec.files import SpecFiles
from briefgen.spec.load import KeyPath
from briefgen.spec.names import column_dimensions
from briefgen.spec.shape import path_text
from briefgen.spec.survey import Survey
from briefgen.spec.tables import ascending_fault, chart, column_unit, table_faults

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
    _check_limits(survey)
    _check_model(survey)
    _check_tables(survey)
    for name in survey.keys("charts", "charts"):
        _check_chart(survey, ("charts", "charts", name), files)
    return survey.faults


def _check_places_aboard(survey: Survey) -> None:
    stations = survey.texts(survey.groups("balance", "stations"), "name")
    for member in survey.groups("crew"):
        survey.known((*member, "station"), stations, "a station of this file")
        survey.known((*member, "take-off station"), stations, "a station of this file")
    doors = survey.texts(survey.groups("balance", "doors"), "name")
    for bay in survey.groups("balance", "bays"):
        survey.known((*bay, "door"), [*doors, "none"], "a door of this file")
        _check_order(survey, (*bay, "from arm"), (*bay, "to arm"))
    for tank in survey.groups("balance", "tanks"):
        _check_order(survey, (*tank, "unusable"), (*tank, "capacity"))


def _check_order(survey: Survey, lower: KeyPath, upper: KeyPath) -> None:
    low, high = survey.si(*lower), survey.si(*upper)
    if low is not None and high is not None and low >= high:
        problem = f"'{survey.text(*upper)}' is not above the {lower[-1]} of {survey.text(*lower)}"
        survey.fault(upper, problem, f"more than {survey.text(*lower)}")


def _check_limits(survey: Survey) -> None:
    limits: KeyPath = ("balance", "limits")
    for lower, upper in (("zero fuel", "take-off"), ("landing", "take-off"), ("take-off", "ramp")):
        low, high = survey.si(*limits, lower), survey.si(*limits, upper)
        if low is not None and high is not None and low > high:
            problem = f"'{survey.text(*limits, lower)}' is above the {upper} limit of {survey.text(*limits, upper)}"
            survey.fault((*limits, lower), problem, f"at most {survey.text(*limits, upper)}")


def _check_model(survey: Survey) -> None:
    model, charts = survey.data(("model",)), survey.data(("charts",))
    if (model is None) == (charts is None):
        both = "both 'model' and 'charts' are given" if model is not None else "neither 'model' nor 'charts' is given"
        survey.fault((), both, "one of the two: a physical model or charts")
    configurations = survey.texts(survey.groups("model", "airframe", "configurations"), "name")
    for key in ("take-off configuration", "landing configuration"):
        survey.known(("model", "field", key), configurations, "a configuration of this file")
    positions = survey.keys("model", "airframe", "cowl flap drag area")
    for rule in survey.groups("model", "airframe", "cowl flap rules"):
        survey.known((*rule, "position"), positions, "a cowl-flap position of this file")
    engines = survey.data(("engines",))
    for configuration in survey.groups("model", "engine configurations"):
        running = survey.data((*configuration, "running"))
        if isinstance(engines, int) and isinstance(running, int) and running > engines:
            survey.fault((*configuration, "running"), f"'{running}' engines run", f"at most the {engines} she has")


def _check_tables(survey: Survey) -> None:
    document = survey.checked.document
    for name, path, data in curves_of(Aircraft, document.data):
        if not _has_shape(data):
            continue
        is_envelope = "envelopes" in path
        dimensions = ("length", "mass") if is_envelope else column_dimensions(name)
        faults = table_faults(document, path, data, dimensions)
        survey.faults.extend(faults or ([] if is_envelope else ascending_fault(document, path, data)))


def _has_shape(data: object) -> bool:
    return (
        isinstance(data, dict)
        and isinstance(data.get("columns"), dict)
        and len(data["columns"]) == len(("argument", "value"))
        and isinstance(data.get("rows"), list)
        and all(isinstance(row, list) for row in data["rows"])
        and len(data["rows"]) > 1
    )


def _check_chart(survey: Survey, path: KeyPath, files: SpecFiles) -> None:
    data = survey.data(path)
    if not isinstance(data, dict) or not all(isinstance(data.get(key), dict) for key in ("axes", "columns")):
        return
    for part in ("axes", "columns"):
        for name, head in data[part].items():
            if not isinstance(head, str) or column_unit(head) is None:
                survey.fault(
                    (*path, part, name), f"'{head}' is not a known unit", "a unit, or '' for plain numbers or words"
                )
                return
    if ("rows" in data) == ("file" in data):
        survey.fault(path, "give either 'rows' or 'file'", "the rows here, or a table file", at_key=True)
        return
    if "file" in data and files.refer_table(survey.checked.document, (*path, "file")) is None:
        return
    width = len(data["axes"]) + len(data["columns"])
    try:
        rows = chart_rows(data, lambda name: files.tables[name])
        short = next((row for row in rows if len(row) != width), None)
        if short is not None:
            raise ValueError(f"a row has {len(short)} cells, the chart {width} axes and columns")
        chart(path_text(path), {"source": "", **data}, rows)
    except (ValueError, TypeError) as error:
        survey.fault(path, str(error), "a full grid of rows", at_key=True)
