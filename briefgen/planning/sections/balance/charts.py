"""The envelope with the track of the flight in it, and the centre of gravity against time, along and across."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartName, ChartPoint, Series
from briefgen.planning.load.conditions import limits_at
from briefgen.planning.sections.balance.moments import MomentFigures

LABELS = {"zero_fuel": "Zero fuel", "take_off": "Take-off", "landing": "Landing"}


def balance_charts(
    mission: Mission, moments: Sequence[MomentFigures], adverse: MomentFigures
) -> dict[ChartName, ChartData]:
    """Return the charts."""
    flown = sorted((one for one in moments if one.moment_of.elapsed_s is not None), key=_elapsed_s)
    return {
        "envelope": _envelope(mission, moments, flown, adverse),
        "balance_time": _against_time(mission, flown),
        "balance_lateral": _lateral(flown),
    }


def _elapsed_s(one: MomentFigures) -> float:
    return one.moment_of.elapsed_s or 0.0


def _at_door(flown: Sequence[MomentFigures]) -> list[MomentFigures]:
    return [one for one in flown if one.moment_of.kind == "door"]


def _envelope(
    mission: Mission, moments: Sequence[MomentFigures], flown: Sequence[MomentFigures], adverse: MomentFigures
) -> ChartData:
    areas = tuple(
        Series(
            f"envelope {index}", envelope.name, "in", "lb", tuple(zip(envelope.arm_m, envelope.mass_kg, strict=True))
        )
        for index, envelope in enumerate(mission.aircraft.balance.envelopes, 1)
    )
    track = Series(
        "track", "track of the flight", "in", "lb", tuple((one.state.arm_m, one.state.mass_kg) for one in flown)
    )
    points = tuple(
        ChartPoint(
            LABELS.get(one.moment_of.key, one.title), one.state.arm_m, one.state.mass_kg, MomentFigures.cg.of(one).key
        )
        for one in moments
        if one.moment_of.key in LABELS or one.moment_of.kind in ("door", "failure") or one is adverse
    )
    return ChartData(
        "envelope", "Centre of gravity and weight", "Centre of gravity", "in", "Weight", "lb", (track,), areas, points
    )


def _against_time(mission: Mission, flown: Sequence[MomentFigures]) -> ChartData:
    def series(name: str, label: str, values: list[tuple[float, float]]) -> Series:
        return Series(name, label, "h", "in", tuple(values))

    centre = [(_elapsed_s(one), one.state.arm_m) for one in flown]
    limits = [
        (_elapsed_s(one), found) for one in flown if (found := limits_at(mission, one.moment_of, one.state.mass_kg))
    ]
    curves = (
        series("centre", "centre of gravity", centre),
        series("forward limit", "forward limit", [(time, found[0]) for time, found in limits]),
        series("aft limit", "aft limit", [(time, found[1]) for time, found in limits]),
    )
    points = tuple(
        ChartPoint(one.title, _elapsed_s(one), one.state.arm_m, MomentFigures.cg.of(one).key) for one in _at_door(flown)
    )
    return ChartData("balance_time", "Centre of gravity through the flight", "Time since engine start", "h",
                     "Centre of gravity", "in", curves, (), points)  # fmt: skip


def _lateral(flown: Sequence[MomentFigures]) -> ChartData:
    points = tuple((_elapsed_s(one), one.state.lateral_arm_m) for one in flown)
    named = tuple(
        ChartPoint(one.title, _elapsed_s(one), one.state.lateral_arm_m, MomentFigures.lateral.of(one).key)
        for one in _at_door(flown)
    )
    curve = Series("lateral", "lateral centre of gravity", "h", "in", points)
    return ChartData(
        "balance_lateral", "Lateral centre of gravity through the flight", "Time since engine start", "h",
        "Right of the centre line", "in", (curve,), (), named,
    )  # fmt: skip
