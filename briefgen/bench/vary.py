"""A mission planned with some of its written values changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from briefgen.comparison.compare import compare
from briefgen.comparison.plan_data import PlanData, plan_data, quoted
from briefgen.document import first_figures, plan_json, require_conservation
from briefgen.errors import BriefgenError, SpecError
from briefgen.model.bench import Change, Variation, Varied, WhatIf
from briefgen.model.plan import Plan
from briefgen.planning.assemble import plan_mission
from briefgen.spec import read_mission

AS_WRITTEN = "as written"


def planned(path: Path, changes: Iterable[Change] = ()) -> Plan:
    """Return the plan of a mission file with some of its values changed in memory.

    Raises:
        UsageError: A change names nothing, or its value cannot be read.
        SpecError, PlanError, OutOfRangeError: The mission so changed has faults, or cannot be flown.
    """
    plan = plan_mission(read_mission(path, changes=changes))
    require_conservation(plan)
    return plan


def vary(path: Path, plan: Plan, variations: Iterable[Variation]) -> WhatIf:
    """Return a planned mission and its variations side by side.

    Raises:
        UsageError: A variation changes what is not there. One that cannot be planned is told among the others.
    """
    data = _data(plan)
    labels = tuple((key, data["entries"][key]["label"]) for key in first_figures() if key in data["entries"])
    keys = [key for key, _ in labels]
    tried = tuple(_tried(path, data, variation, keys) for variation in variations)
    mission = plan.mission
    return WhatIf(mission.number, mission.name, labels, _varied(AS_WRITTEN, (), data, data, keys), tried)


def with_variations(path: Path, plan: Plan) -> Plan:
    """Return a plan with the variations its mission names planned beside it."""
    if not plan.mission.variations:
        return plan
    return replace(plan, tried=vary(path, plan, plan.mission.variations))


def _data(plan: Plan) -> PlanData:
    return plan_data(plan_json(plan), plan.mission.file)


def _tried(path: Path, written: PlanData, variation: Variation, keys: list[str]) -> Varied:
    try:
        data = _data(planned(path, variation.changes))
    except SpecError as error:
        fault = error.faults[0]
        return Varied(variation.name, variation.changes, None, f"{fault.problem}; expected: {fault.expected}")
    except BriefgenError as error:
        if error.exit_code != 1:
            raise
        return Varied(variation.name, variation.changes, None, error.text().split("\n")[0])
    return _varied(variation.name, variation.changes, written, data, keys)


def _varied(name: str, changes: tuple[Change, ...], written: PlanData, data: PlanData, keys: list[str]) -> Varied:
    told = {outcome: tuple(one["title"] for one in data["findings"] if one["outcome"] == outcome) for outcome in ("fail", "caution")}  # fmt: skip
    return Varied(
        name, changes, compare(written, data, first_figures()), "",
        tuple((key, quoted(data, key)) for key in keys), told["fail"], told["caution"],
    )  # fmt: skip
