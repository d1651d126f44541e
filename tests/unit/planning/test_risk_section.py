"""Levels of risk against the published matrix, and the table of a mission's risks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from briefgen.errors import PlanError
from briefgen.model.mission import Risk
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.risks import PROBABILITIES, SEVERITIES, risk_level, write_risks
from tests.shared.review_scene import demo

# MIL-STD-882E (2012) table III, seen in secondary copies; columns catastrophic, critical, marginal, negligible. The cell
# improbable and marginal is disputed between the copies (low or medium); the stricter reading is taken.
TABLE_III = """
frequent    high    high    serious medium
probable    high    high    serious medium
occasional  high    serious medium  low
remote      serious medium  medium  low
improbable  medium  medium  medium  low
eliminated  eliminated eliminated eliminated eliminated
"""
CELLS = [
    (severity, line.split()[0], level)
    for line in TABLE_III.strip().splitlines()
    for severity, level in zip(SEVERITIES, line.split()[1:], strict=True)
]


@pytest.mark.parametrize(("severity", "probability", "level"), CELLS)
def test_the_matrix_is_that_of_the_standard(severity: str, probability: str, level: str) -> None:
    assert level == risk_level(severity, probability)


def test_the_levels_are_told_for_every_name() -> None:
    assert len(CELLS) == len(SEVERITIES) * len(PROBABILITIES)


def test_a_misspelt_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(PlanError) as caught:
        risk_level("critcal", "remote")

    assert caught.value.text() == (
        "'critcal' is not a severity of the risk matrix\n"
        "  expected: one of catastrophic, critical, marginal, negligible\n"
        "  hint: did you mean critical?"
    )


def test_each_risk_is_written_before_and_after_its_mitigation() -> None:
    risk = Risk(
        "cloud lower than forecast", "critical", "occasional", "leave in time", "remote", "captain", "Orlan, captain"
    )
    writer = LedgerWriter({})

    write_risks(replace(demo(), risks=(risk,)), writer)

    assert writer["risk.01.level"].value == "serious"
    assert writer["risk.01.level_left"].value == "medium"
    row = writer.tables["risks"].rows[0]
    told = [writer[row.cells[column.name]].value for column in writer.tables["risks"].columns]
    assert told == [
        "cloud lower than forecast", "critical", "occasional", "serious", "leave in time", "remote", "medium", "captain", "Orlan, captain",
    ]  # fmt: skip
