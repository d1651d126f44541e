"""Quantities of one file held against each other: which must not pass which, said at the one that does."""

from __future__ import annotations

from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.survey import Survey


def below(survey: Survey, lower: KeyPath, upper: KeyPath) -> None:
    """Note a fault at the upper of two quantities unless it is the greater."""
    low, high = survey.si(*lower), survey.si(*upper)
    if low is not None and high is not None and low >= high:
        problem = f"'{survey.text(*upper)}' is not above the {lower[-1]} of {survey.text(*lower)}"
        survey.fault(upper, problem, f"more than {survey.text(*lower)}")


def not_above(survey: Survey, path: KeyPath, limit: KeyPath, name: str) -> None:
    """Note a fault at a quantity that is above another, which is called by a name."""
    value, most = survey.si(*path), survey.si(*limit)
    if value is not None and most is not None and value > most:
        problem = f"'{survey.text(*path)}' is above the {name} of {survey.text(*limit)}"
        survey.fault(path, problem, f"at most {survey.text(*limit)}")


def not_below(survey: Survey, path: KeyPath, limit: KeyPath, name: str) -> None:
    """Note a fault at a quantity that is below another, which is called by a name."""
    value, least = survey.si(*path), survey.si(*limit)
    if value is not None and least is not None and value < least:
        problem = f"'{survey.text(*path)}' is below the {name} of {survey.text(*limit)}"
        survey.fault(path, problem, f"at least {survey.text(*limit)}")
