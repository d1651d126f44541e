"""How likely: bands of time and fuel at each point, the chance to arrive short, and what the spread comes from."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

import numpy as np

from briefgen.errors import PlanError, UsageError
from briefgen.model.bench import QUANTILES, Band, Checked, Spread
from briefgen.model.plan import Phase
from briefgen.planning.flight.schedule import Flown
from briefgen.replay.draws import CAUSES, Array, Draws, alone, drawn
from briefgen.replay.full import Flight, flown_in_full
from briefgen.replay.replay import Replay, Replayed

SAMPLES, IN_FULL, WORST, FOR_SHARES = 10_000, 50, 10, 2_000
OFF_LIMIT_S, OFF_LIMIT_KG = 5.0, 1.0  # the replay of the plan itself may be off by no more,
OFF_LIMIT_RATIO = 0.025  # or by no more than this of the spread: where gauges round, one step of a gauge is 1 to 2 kg
ERROR_LIMIT = 0.025  # of the spread of samples flown in full, root of the mean square, in time and in fuel at landing
LEAST_IN_FULL = 10

_QUOTED = re.compile(r" (?:to|at) \{leg\.([\w-]+)\.\w+\}")  # a title quotes its altitude, which differs between samples


def spread(flown: Flown, *, samples: int = SAMPLES, seed: int = 1, in_full: int = IN_FULL) -> Spread:
    """Return what a sortie comes to under the uncertainties that its mission states.

    Raises:
        UsageError: The mission states none.
        PlanError: The replays are further from samples flown in full than the limit: nothing is told from them.
    """
    uncertainty = flown.mission.uncertainty
    if uncertainty is None:
        raise UsageError(
            "the mission does not say what is uncertain, and nothing is supposed", where=flown.mission.file,
            expected="a group 'uncertainty' with wind, temperature, consumption, weight or delay, each with its source",
        )  # fmt: skip
    replay = Replay(flown, uncertainty)
    draws = drawn(uncertainty, samples, seed)
    found = replay.replayed(draws)
    landing = _landing(replay)
    _require_the_plan(found, landing)
    flights = flown_in_full(flown, draws, range(1, min(in_full, samples) + 1), replay.centre_deg)
    checked = _checked(found, flights, landing, draws)
    _require_small(checked)
    reserve_kg, hold_kg = flown.reserve.fuel_kg + _unusable(flown), _hold_needs(flown)
    good = found.refused[1:] == 0
    fuel_kg = found.fuel_kg[landing, 1:][good]
    holds = [index for index, one in enumerate(replay.marked) if one.phase.kind == "hold" and one.phase.place]
    return Spread(
        samples, seed, ERROR_LIMIT, uncertainty.sources, _refusals(found),
        tuple(_band(found, replay.marked[index].phase, index, draws) for index in _points(replay)),
        float(np.mean(fuel_kg < reserve_kg)) if len(fuel_kg) else 0.0,
        float(np.mean(found.fuel_kg[holds[-1], 1:][good] < hold_kg)) if holds and hold_kg is not None and good.any() else None,
        reserve_kg, hold_kg if holds else None, _shares(replay, seed, landing), found.off_time_s, found.off_fuel_kg, checked,
        _worst(flown, replay, found, draws, landing),
    )  # fmt: skip


def _require_the_plan(found: Replayed, landing: int) -> None:
    good = found.refused == 0
    most_s, most_kg = (
        max(limit, OFF_LIMIT_RATIO * float(array[landing][good].std()) if good.any() else 0.0)
        for limit, array in ((OFF_LIMIT_S, found.time_s), (OFF_LIMIT_KG, found.fuel_kg))
    )
    if not (found.off_time_s <= most_s and found.off_fuel_kg <= most_kg):
        raise PlanError(
            f"the replay of the plan itself is off by {found.off_time_s:.1f} s and {found.off_fuel_kg:.1f} kg",
            expected=f"at most {most_s:.1f} s and {most_kg:.1f} kg, so nothing is told from the replays",
        )


def _require_small(checked: Checked) -> None:
    if checked.count < LEAST_IN_FULL or not max(checked.part_of_time, checked.part_of_fuel) <= ERROR_LIMIT:
        raise PlanError(
            f"the replays are off by {100 * checked.part_of_time:.1f} % of the spread in time and {100 * checked.part_of_fuel:.1f} % in fuel, "
            f"over {checked.count} samples flown in full",
            expected=f"at most {100 * ERROR_LIMIT:.1f} % over {LEAST_IN_FULL} samples or more, so nothing is told from the replays",
        )  # fmt: skip


def _landing(replay: Replay) -> int:
    return max(index for index, one in enumerate(replay.marked) if one.phase.kind == "approach")


def _points(replay: Replay) -> list[int]:
    """Return the phases that end at a place of the route, or a wait over it."""
    named = [index for index, one in enumerate(replay.marked) if one.phase.place]
    last = {replay.marked[index].phase.item: index for index in named}  # of one item the last
    return sorted({*(index for item, index in last.items() if item is not None), _landing(replay)})


def _band(found: Replayed, phase: Phase, index: int, draws: Draws) -> Band:
    good = found.refused[1:] == 0
    planned_s, planned_kg = float(found.time_s[index, 0]), float(found.fuel_kg[index, 0])
    later, fuel = found.time_s[index, 1:][good] - planned_s, found.fuel_kg[index, 1:][good]
    return Band(
        phase.place, phase.kind, planned_s, planned_kg, _quantiles(later), _quantiles(fuel),
        float(later.mean()), float(fuel.mean()), float(later.std()), float(fuel.std()),
    )  # fmt: skip


def _quantiles(values: Array) -> tuple[float, ...]:
    return tuple(float(one) for one in np.quantile(values, QUANTILES))


def _refusals(found: Replayed) -> tuple[tuple[str, int], ...]:
    named = [_QUOTED.sub(lambda quoted: f", leg to {quoted[1].upper()}", reason) for reason in found.reasons]
    counted = Counter(named[number - 1] for number in found.refused[1:] if number)
    return tuple(counted.most_common())


def _unusable(flown: Flown) -> float:
    mission = flown.mission
    return float(np.sum([tank.unusable_m3 for tank in mission.aircraft.balance.tanks])) * mission.fuel.density_kg_per_m3


def _hold_needs(flown: Flown) -> float | None:
    """Return the fuel with which the last hold must be left for the alternate [kg], as planned from the destination."""
    away = [diversion.fuel_kg for diversion in flown.diversions]
    return max(away) + flown.reserve.fuel_kg + _unusable(flown) if away else None


def _checked(found: Replayed, flights: Sequence[Flight], landing: int, draws: Draws) -> Checked:
    both, told = [], []
    for flight in flights:
        end = next((phase.end for phase in reversed(flight.phases) if phase.kind == "approach"), None)
        if end is None or found.refused[flight.sample]:
            continue
        both.append(flight.sample)
        begun = flight.phases[0].start.instant
        told.append(((end.instant - begun).total_seconds() + float(draws.delay_s[flight.sample]), end.fuel_kg))
    refused = [bool(flight.refused) for flight in flights]
    replayed = [bool(found.refused[flight.sample]) for flight in flights]
    agree = len([1 for one, other in zip(refused, replayed, strict=True) if one == other])
    if len(both) < 2:
        nothing = ((0.0, 0.0), (0.0, 0.0))
        return Checked(len(both), np.inf, np.inf, np.inf, np.inf, sum(refused), sum(replayed), agree, nothing, nothing)
    flown = np.array(told).T
    again = np.array([found.time_s[landing, both], found.fuel_kg[landing, both]])
    without = flown[0] - draws.delay_s[both]  # a delay is the same in both and would flatter the replays
    rms = np.sqrt(np.mean((again - flown) ** 2, axis=1))
    return Checked(
        len(both), float(rms[0]), float(rms[1]), float(rms[0] / without.std()), float(rms[1] / flown[1].std()), sum(refused), sum(replayed), agree,
        ((float(flown[0].mean()), float(again[0].mean())), (float(flown[1].mean()), float(again[1].mean()))),
        ((float(flown[0].std()), float(again[0].std())), (float(flown[1].std()), float(again[1].std()))),
    )  # fmt: skip


def _shares(replay: Replay, seed: int, landing: int) -> tuple[tuple[str, float, float], ...]:
    """Return the part of each cause in the variances, each varied alone; what they do together beyond that is left out."""
    uncertainty = replay.flown.mission.uncertainty
    assert uncertainty is not None
    variances = []
    for cause in CAUSES:
        found = replay.replayed(drawn(alone(uncertainty, cause), FOR_SHARES, seed))
        good = found.refused == 0
        variances.append((cause, float(found.time_s[landing][good].var()), float(found.fuel_kg[landing][good].var())))
    time, fuel = (float(np.sum([one[column] for one in variances])) or 1.0 for column in (1, 2))
    return tuple((cause, of_time / time, of_fuel / fuel) for cause, of_time, of_fuel in variances)


def _worst(
    flown: Flown, replay: Replay, found: Replayed, draws: Draws, landing: int
) -> tuple[tuple[int, float, float], ...]:
    """Return the samples that land with the least fuel, flown in full as well."""
    order = np.argsort(np.where(found.refused == 0, found.fuel_kg[landing], np.inf))
    samples = [int(one) for one in order[:WORST] if found.refused[one] == 0]
    told = []
    for flight in flown_in_full(flown, draws, samples, replay.centre_deg):
        fuel = next((phase.end.fuel_kg for phase in reversed(flight.phases) if phase.kind == "approach"), float("nan"))
        told.append((flight.sample, float(found.fuel_kg[landing, flight.sample]), fuel))
    return tuple(told)
