"""Rules as data: the fuel policy and the requirements a plan is held to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class FuelPolicy:
    """How the fuel required is built up."""

    contingency_ratio: float  # of the trip fuel
    final_reserve_s: float
    final_reserve_height_m: float  # above the field where it is burnt
    island_reserve_s: float | None  # instead of an alternate where there is none
    source: str


@dataclass(frozen=True)
class Rule:
    """One requirement: which check evaluates it, with which numbers, and where it is published."""

    ident: str
    check: str
    text: str
    severity: str  # fail | caution: what a breach is
    source: str
    provenance: str  # seen | from memory | house
    parameters: Mapping[str, float | str]


@dataclass(frozen=True)
class RuleSet:
    """A named set, with everything it extends already merged."""

    name: str
    fuel: FuelPolicy
    rules: tuple[Rule, ...]
