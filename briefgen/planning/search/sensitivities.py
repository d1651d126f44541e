"""What eats the margins first: each of a few things pushed alone until a requirement fails, as figures added to a finished plan.

They are worked out when a site is built, not when a mission is checked, so they are no part of the plan's fingerprint.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import partial

from briefgen.model.ledger import ADDED, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, Plan
from briefgen.model.record import Absent, Record, figure, note
from briefgen.model.rules import Rule
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.search.first_failure import FirstFailure, first_failure
from briefgen.planning.search.judged import Judgement, Standing, judged_again
from briefgen.planning.search.pushes import PUSHES, Push, as_flown, with_its_start
from briefgen.planning.sections.basis.groups import RULES, WEATHER, rest_on_groups

HOW = (
    "the flight is flown again with this alone changed, the fuel at the ramp as planned, until the first requirement fails that "
    "did not; what rests on the ways home, on engines stopped or on altitudes compared is not held again"
)


class Sensitivity(Record):
    """One thing pushed: how far everything holds, where the first requirement fails, and which."""

    def __init__(self, push: Push, found: FirstFailure, margin_key: str) -> None:
        self.at, self.push, self.found, self._margin_key = f"{ADDED}{push.name}", push, found, margin_key
        self.unit, self.label = push.unit, push.label.capitalize()

    def _rest(self) -> None:
        rest_on_groups(RULES, WEATHER)
        if self._margin_key:
            note(self._margin_key)

    @figure("What is pushed", how="one thing alone")
    def what(self) -> str:
        return self.label

    @figure("%(label)s: still holds at", "%(unit)s", how=HOW)
    def holds_at(self) -> float:
        self._rest()
        return self.found.holds_at

    @figure("%(label)s: fails at", "%(unit)s", how=HOW)
    def fails_at(self) -> float:
        self._rest()
        if self.found.fails_at is None:
            raise Absent("nothing fails up to the most that was tried")
        return self.found.fails_at

    @figure("%(label)s: fails first", how=HOW)
    def fails_first(self) -> str:
        self._rest()
        if self.found.fails_at is None:
            return "nothing up to there"
        return f"{self.found.title}: {self.found.why}" if self.found.why else self.found.title

    @property
    def share(self) -> float:
        """How much of the first trial it takes: the least stands first."""
        return float("inf") if self.found.fails_at is None else self.found.fails_at / self.push.reach.first


class EngineStopped(Record):
    """What is left with an engine stopped where it hurts most, of the requirement that has the least in hand for its limit."""

    at = f"{ADDED}engine"

    def __init__(self, plan: Plan) -> None:
        checks = {rule.ident for rule in plan.mission.rules.rules if _stops_an_engine(rule)}
        self._limits = {
            one.ident: plan.ledger[one.limit_key].value for one in plan.findings if one.limit_key in plan.ledger
        }
        found = [one for one in plan.findings if one.ident in checks]
        self._margins = {one.ident: _margin(plan, one) for one in found}
        self.found = min(found, key=self._part_left, default=None)

    def _part_left(self, one: Finding) -> float:
        margin, limit = self._margins[one.ident], self._limits.get(one.ident)
        if one.outcome == "fail":
            return -math.inf
        if margin is None or not isinstance(limit, int | float) or not limit:
            return math.inf
        return margin / abs(float(limit))

    @figure("What is pushed", how="one thing alone")
    def what(self) -> str:
        rest_on_groups(RULES)
        return "An engine stopped where it hurts most"

    @figure(
        "An engine stopped: what then",
        how="of the requirements that stop an engine the one with the least part of its limit in hand",
    )
    def fails_first(self) -> str:
        if self.found is None:
            raise Absent("no rule of the set stops an engine")
        note(self.found.margin_key)
        if self.found.outcome == "fail":
            return f"fails as planned: {self.found.title}"
        return f"nothing; least in hand: {self.found.title}, {{{self.found.margin_key}}}"

    def row(self) -> Row:
        """Return its row of the table."""
        one = EngineStopped
        return SENSITIVITIES.row_of("engine", {WHAT: one.what.of(self), FIRST: one.fails_first.of(self)})


def _stops_an_engine(rule: Rule) -> bool:
    words = (rule.parameters.get("engines"), rule.parameters.get("distance"))
    stopped = float(rule.parameters.get("engines out", 0.0)) if rule.check == "en-route climb" else 0.0
    return (
        rule.check == "additional fuel"
        or stopped > 0.0
        or bool(set(words) & {"one failed", "accelerate-stop", "accelerate-go"})
    )


WHAT = column(Sensitivity.what, "What is more than planned")
FIRST = column(Sensitivity.fails_first, "What fails first")
SENSITIVITIES = TableOf(
    "review.sensitivities",
    "What eats the margins first",
    (
        WHAT,
        column(Sensitivity.holds_at, "Still holds at", ""),
        column(Sensitivity.fails_at, "Fails at", ""),
        FIRST,
    ),
    note="Each pushed alone, the rest as planned, with the fuel at the ramp as planned; found by flying again at most four times each. "
    "Requirements that rest on the ways home, on engines stopped or on altitudes compared are not held again. In the order of the "
    "share of 10 kt, 5 °C, 500 lb or 30 min that it takes.",
)


def with_sensitivities(plan: Plan) -> Plan:
    """Return a plan with the table of what eats its margins first; every other figure and its fingerprint stay."""
    mission = as_flown(plan)
    base = _held_again(plan, judged_again(mission))
    records = [
        Sensitivity(push, found, _margin_key(plan, found))
        for push in PUSHES
        if (found := _found(plan, mission, base, push)) is not None
    ]
    engine = EngineStopped(plan)
    writer = LedgerWriter(mission.given)
    writer.go_on(plan.ledger, plan.tables)
    for one in (*records, engine):
        writer.adopt(one)
    rows = [SENSITIVITIES.row(one.push.name, one) for one in sorted(records, key=lambda one: one.share)]
    rows += [engine.row()] if engine.found is not None else []
    writer.tabulate(SENSITIVITIES.filled(rows))
    return replace(plan, ledger=writer.sealed(), tables=dict(writer.tables))


def _held_again(plan: Plan, again: Judgement) -> dict[str, Standing]:
    """Return the requirements that come out of the shorter planning as they did of the whole: those that are held when pushed."""
    whole = standings(plan)
    return {
        name: one
        for name, one in whole.items()
        if name not in again.unknown and name in again.standings and again.standings[name].outcome == one.outcome
    }


def _found(plan: Plan, mission: Mission, base: Mapping[str, Standing], push: Push) -> FirstFailure | None:
    if push.name == "load" and not mission.items:
        return None
    start = with_its_start(plan, mission) if push.name == "start" else mission
    return first_failure(base, partial(_judged, start, push), push.reach)


def _judged(mission: Mission, push: Push, more: float) -> Judgement:
    return judged_again(push.pushed(mission, more))


def standings(plan: Plan) -> dict[str, Standing]:
    """Return how the requirements of a plan came out, by name."""
    return {one.ident: Standing(one.title, one.outcome, _margin(plan, one)) for one in plan.findings}


def _margin(plan: Plan, one: Finding) -> float | None:
    value = plan.ledger[one.margin_key].value if one.margin_key in plan.ledger else None
    return float(value) if isinstance(value, int | float) else None


def _margin_key(plan: Plan, found: FirstFailure) -> str:
    keys = {one.ident: one.margin_key for one in plan.findings}
    return keys.get(found.ident, "")
