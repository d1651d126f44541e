"""Where missions get into each other's way: one aircraft, person or place at two at once, and days of duty that are too long."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from itertools import combinations

from briefgen.model.bench import Conflict, Use, Uses
from briefgen.model.mission import Mission
from briefgen.model.plan import Plan

SECONDS_PER_HOUR = 3600.0
SAID = {"aircraft": "is to fly both", "person": "is to be aboard both", "place": "is on the ground there in both"}


def uses_of(plan: Plan) -> Uses:
    """Return what a plan uses: the airframe, everybody aboard from briefing to shutdown, and both fields while she is on them."""
    if plan.sectors:
        return _through(plan)
    mission, phases = plan.mission, plan.phases
    first, last = phases[0].start.instant, phases[-1].end.instant
    up = next(phase.end.instant for phase in phases if phase.kind == "take-off")
    down = next(phase.start.instant for phase in reversed(phases) if phase.kind == "approach")
    times = mission.times
    on_duty = first - timedelta(seconds=times.briefing_before_stations_s + times.stations_before_start_s)
    uses = [Use("aircraft", mission.individual.registration, first, last)]
    uses += [Use("person", name, on_duty, last) for name in _people(mission)]
    uses += [
        Use("place", mission.route.origin.ident, first, up),
        Use("place", mission.route.destination.ident, down, last),
    ]
    return Uses(f"{mission.number} {mission.name}", tuple(uses), _duty_limit(plan))


def _through(plan: Plan) -> Uses:
    """Return what a mission of several sectors uses: airframe and people throughout, each field while she is on it."""
    every = [uses_of(one).uses for one in plan.sectors]
    throughout = [
        Use(first.kind, first.name, first.begin, last.end)
        for first in every[0] if first.kind != "place"
        for last in every[-1] if (last.kind, last.name) == (first.kind, first.name)
    ]  # fmt: skip
    places = [use for uses in every for use in uses if use.kind == "place"]
    mission = plan.mission
    return Uses(f"{mission.number} {mission.name}", (*throughout, *places), _duty_limit(plan.sectors[-1]))


def _people(mission: Mission) -> list[str]:
    return sorted({member.name for member in mission.crew})


def _duty_limit(plan: Plan) -> float | None:
    """Return the duty that the mission's own rule allows [s]."""
    rules = {rule.ident for rule in plan.mission.rules.rules if rule.check == "duty length"}
    for finding in plan.findings:
        if finding.ident in rules and finding.limit_key in plan.ledger:
            value = plan.ledger[finding.limit_key].value
            return float(value) if isinstance(value, int | float) else None
    return None


def conflicts(every: Sequence[Uses]) -> tuple[Conflict, ...]:
    """Return all conflicts among missions, in the order in which they begin."""
    found = [*_at_once(every), *_long_days(every)]
    return tuple(one for _, one in sorted(found, key=lambda pair: (pair[0], pair[1].what)))


def _at_once(every: Sequence[Uses]) -> Iterator[tuple[date, Conflict]]:
    wanted: dict[tuple[str, str], list[tuple[Use, str]]] = defaultdict(list)
    for one in every:
        for use in one.uses:
            wanted[use.kind, use.name].append((use, one.mission))
    for (kind, name), uses in wanted.items():
        for (first, mission), (second, other) in combinations(sorted(uses, key=lambda pair: pair[0].begin), 2):
            begin, end = max(first.begin, second.begin), min(first.end, second.end)
            if mission != other and begin < end:
                told = f"{name} {SAID[kind]} {mission} and {other}, {begin:%Y-%m-%d %H:%M} to {end:%H:%M} UTC"
                yield begin.date(), Conflict(f"{kind} {name}", (mission, other), told)


def _long_days(every: Iterable[Uses]) -> Iterator[tuple[date, Conflict]]:
    """Yield the days on which the duty of one person in several missions is more than the strictest of their rules allows."""
    days: dict[tuple[str, date], list[tuple[float, str, float | None]]] = defaultdict(list)
    for one in every:
        for use in one.uses:
            if use.kind == "person":
                days[use.name, use.begin.date()].append(
                    ((use.end - use.begin).total_seconds(), one.mission, one.duty_limit_s)
                )
    for (name, day), duties in days.items():
        limits = [limit for _, _, limit in duties if limit is not None]
        total = timedelta(seconds=0)
        for seconds, _, _ in duties:
            total += timedelta(seconds=seconds)
        if len(duties) > 1 and limits and total.total_seconds() > min(limits):
            hours, most = total.total_seconds() / SECONDS_PER_HOUR, min(limits) / SECONDS_PER_HOUR
            missions = tuple(mission for _, mission, _ in duties)
            told = f"{name} is on duty for {hours:.1f} h on {day} in {' and '.join(missions)}; at most {most:.1f} h"
            yield day, Conflict(f"person {name}", missions, told)
