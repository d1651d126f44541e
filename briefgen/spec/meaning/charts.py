"""The charts of an aircraft file: names of charts, axes and columns, the kind of each unit, and a full grid of rows."""

from __future__ import annotations

from briefgen.model.chart_names import CHART_AXES, CHART_COLUMNS, ChartKind, chart_kind, chart_names
from briefgen.spec.build.aircraft import chart_rows
from briefgen.spec.tree.check import nearest
from briefgen.spec.tree.files import SpecFiles
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.shape import path_text
from briefgen.spec.tree.survey import Survey
from briefgen.spec.tree.tables import chart, chart_cell_fault, column_unit
from briefgen.unit_tables import KINDS


def check_charts(survey: Survey, configurations: list[str], files: SpecFiles) -> None:
    """Note every chart that cannot be read as what it is named."""
    for name in survey.keys("charts", "charts"):
        path: KeyPath = ("charts", "charts", name)
        kind = chart_kind(name, tuple(configurations))
        if kind is None:
            names = chart_names(tuple(configurations))
            hint = nearest(name, names)
            survey.fault(path, "there is no chart of this name", f"one of {', '.join(names)}", hint, at_key=True)
        elif _has_shape(survey, path) and _heads_fit(survey, path, kind):
            _check_rows(survey, path, files)


def _has_shape(survey: Survey, path: KeyPath) -> bool:
    data = survey.data(path)
    return isinstance(data, dict) and all(isinstance(data.get(key), dict) for key in ("axes", "columns"))


def _heads_fit(survey: Survey, path: KeyPath, kind: ChartKind) -> bool:
    """Return whether axes and columns are those of the chart, each in a unit of its kind; note what is not."""
    before = len(survey.faults)
    columns = (*kind.needs, *kind.takes)
    for part, allowed, known in (("axes", kind.axes, CHART_AXES), ("columns", columns, CHART_COLUMNS)):
        for name, head in survey.data((*path, part)).items():
            if name not in known:
                return False  # no name of any chart: said with the shape of the file
            word = "axis" if part == "axes" else "column"
            if name not in allowed:
                problem = f"the chart '{kind.name}' has no {word} of this name"
                survey.fault((*path, part, name), problem, f"one of {', '.join(allowed)}", at_key=True)
            elif not _head_fits(name, head, axis=part == "axes"):
                expected = _heads_text(name, axis=part == "axes")
                survey.fault((*path, part, name), f"'{head}' is not a unit of this {word}", expected)
    for name in kind.needs:
        if name not in survey.data((*path, "columns")):
            expected = f"the columns {', '.join(kind.needs)}"
            survey.fault((*path, "columns"), f"the column '{name}' is missing", expected, at_key=True)
    return len(survey.faults) == before


def _head_fits(name: str, head: object, *, axis: bool) -> bool:
    if not isinstance(head, str):
        return False
    if axis:
        return head in (CHART_AXES[name] or ("",))
    kind = CHART_COLUMNS[name]
    if not kind or not head:
        return kind == head
    rule, unit = KINDS[kind], column_unit(head)
    sort = head.removeprefix(unit or "").strip()
    needed = rule.qualifiers if len(rule.qualifiers) == 1 else ("", *_sorts_of(name))
    return unit in rule.units and sort in (needed or ("",))


def _sorts_of(name: str) -> tuple[str, ...]:
    return tuple(sort for sort in KINDS["airspeed"].qualifiers if name.startswith(sort))


def _heads_text(name: str, *, axis: bool) -> str:
    if axis:
        return " or ".join(CHART_AXES[name]) or "'', for an axis of words"
    kind = CHART_COLUMNS[name]
    if not kind:
        return "'', for a column of words"
    sort = f" {KINDS[kind].qualifiers[0]}" if len(KINDS[kind].qualifiers) == 1 else ""
    return " or ".join(f"{unit}{sort}" for unit in KINDS[kind].units)


def _check_rows(survey: Survey, path: KeyPath, files: SpecFiles) -> None:
    data = survey.data(path)
    if ("rows" in data) == ("file" in data):
        survey.fault(path, "give either 'rows' or 'file'", "the rows here, or a table file", at_key=True)
        return
    if "file" in data and files.refer_table(survey.checked.document, (*path, "file")) is None:
        return
    heads = [*data["axes"].values(), *data["columns"].values()]
    try:
        rows = chart_rows(data, lambda name: files.tables[name])
        problem = next((text for row in rows if (text := chart_cell_fault(row, heads))), "")
        if problem:
            raise ValueError(problem)
        chart(path_text(path), {"source": "", **data}, rows)
    except (ValueError, TypeError) as error:
        expected = "numbers in the units of their columns, one row for each combination of the axes"
        survey.fault(path, str(error), expected, at_key=True)
