"""What the schemas take from the registries of the model: kinds of rules with their parameters, axes and columns of charts.

The files in ``schemas/`` hold everything else. A name registered once in the model is thereby in the schema, in what an
editor offers, and in the check of a file.
"""

from __future__ import annotations

from typing import Any

from briefgen.model.chart_names import CHART_AXES, CHART_COLUMNS
from briefgen.model.rule_kinds import PARAMETERS, RULE_KINDS


def with_vocabulary(kind: str, schema: dict[str, Any]) -> dict[str, Any]:
    """Fill in what a schema takes from a registry; a schema that takes nothing is returned as it is."""
    if kind == "rules":
        _fill_rules(schema["properties"]["rules"]["additionalProperties"])
    if kind == "aircraft":
        chart = schema["properties"]["charts"]["properties"]["charts"]["additionalProperties"]
        chart["properties"]["axes"]["propertyNames"] = {"enum": list(CHART_AXES)}
        chart["properties"]["columns"]["propertyNames"] = {"enum": list(CHART_COLUMNS)}
    return schema


def _fill_rules(rule: dict[str, Any]) -> None:
    rule["properties"]["check"]["enum"] = [kind.name for kind in RULE_KINDS]
    rule["properties"]["parameters"]["properties"] = {name: one.schema() for name, one in PARAMETERS.items()}
