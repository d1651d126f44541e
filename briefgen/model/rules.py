"""Rules as data: the fuel policy and the requirements a plan is held to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from briefgen.frozen import dataclass

NOBODY = "nobody"  # as the one role that may accept a breach: it is never accepted


@dataclass(frozen=True)
class FuelPolicy:
    """How the fuel required is built up; the larger of two numbers is the stricter in every field but the height."""

    contingency_ratio: float  # of the trip fuel
    final_reserve_s: float
    final_reserve_height_m: float  # above the field where it is burnt
    island_reserve_s: float | None  # instead of an alternate where there is none
    source: str
    contingency_minimum_s: float = 0.0  # of holding at the final reserve's flow, where that is more than the ratio
    go_around_s: float = 0.0  # time of one go-around and the circuit after it; 0 where the policy asks for none


@dataclass(frozen=True)
class Rule:
    """One requirement: which check evaluates it, with which numbers, and where it is published.

    The keys of ``parameters`` are the words of the file; a quantity is in SI, a count or coefficient as written.
    """

    ident: str
    check: str
    title: str
    text: str
    severity: str  # fail | caution: what a breach is
    source: str
    provenance: str  # seen | from memory | house
    parameters: Mapping[str, float | str]
    caution_within_ratio: float = 0.0  # a margin smaller than this part of the limit is a caution
    given: str = ""  # file and line the rule was read from
    accepted_by: tuple[str, ...] = ()  # roles that may accept a breach: any where none is named, NOBODY where none may


@dataclass(frozen=True)
class SetAside:
    """A rule of an extended set that a set says does not hold, with its reason: a commander reads both."""

    rule: Rule
    reason: str
    by: str  # the set that says so
    given: str  # file and line of the reason


@dataclass(frozen=True)
class RuleSet:
    """A named set, with everything it extends already merged."""

    name: str
    fuel: FuelPolicy
    rules: tuple[Rule, ...]
    set_aside: tuple[SetAside, ...] = ()
    approval_keys: Mapping[str, str] = field(default_factory=dict)  # role to its public Ed25519 key, base64
