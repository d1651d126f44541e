"""The envelope with the track of the flight in it, and the centre of gravity against time, along and across."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartPoint, Series
from briefgen.planning.load.conditions import Condition, Weighed, limits_at, most_adverse

LABELS = {"zero_fuel": "Zero fuel", "take_off": "Take-off", "landing": "Landing"}


def balance_charts(mission: Mission, moments: Sequence[Condition], weighed: Sequence[Weighed]) -> dict[str, ChartData]:
    """Return the charts."""
    flown = [(m, w) for m, w in zip(moments, weighed, strict=True) if m.elapsed_s is not None]
    flown.sort(key=lambda pair: pair[0].elapsed_s or 0.0)
    pairs = list(zip(moments, weighed, strict=True))
    worst = moments[most_adverse(weighed)].key
    return {
        "envelope": _envelope(mission, pairs, flown, worst),
        "balance_time": _against_time(mission, flown),
        "balance_lateral": _lateral(flown),
    }


def _envelope(
    mission: Mission, pairs: Sequence[tuple[Condition, Weighed]], flown: Sequence[tuple[Condition, Weighed]],
    worst: str,
) -> ChartData:  # fmt: skip
    areas = tuple(
        Series(
            f"envelope {index}", envelope.name, "in", "lb", tuple(zip(envelope.arm_m, envelope.mass_kg, strict=True))
        )
        for index, envelope in enumerate(mission.aircraft.balance.envelopes, 1)
    )
    track = Series("track", "track of the flight", "in", "lb", tuple((w.arm_m, w.mass_kg) for _, w in flown))
    points = tuple(
        ChartPoint(LABELS.get(m.key, m.title), w.arm_m, w.mass_kg, f"balance.{m.key}.cg")
        for m, w in pairs
        if m.key in LABELS or m.kind in ("door", "failure") or m.key == worst
    )
    return ChartData(
        "envelope", "Centre of gravity and weight", "Centre of gravity", "in", "Weight", "lb", (track,), areas, points
    )


def _against_time(mission: Mission, flown: Sequence[tuple[Condition, Weighed]]) -> ChartData:
    def series(name: str, label: str, values: list[tuple[float, float]]) -> Series:
        return Series(name, label, "h", "in", tuple(values))

    centre = [(m.elapsed_s or 0.0, w.arm_m) for m, w in flown]
    limits = [(m.elapsed_s or 0.0, found) for m, w in flown if (found := limits_at(mission, m, w.mass_kg))]
    curves = (
        series("centre", "centre of gravity", centre),
        series("forward limit", "forward limit", [(time, found[0]) for time, found in limits]),
        series("aft limit", "aft limit", [(time, found[1]) for time, found in limits]),
    )
    points = tuple(
        ChartPoint(m.title, m.elapsed_s or 0.0, w.arm_m, f"balance.{m.key}.cg") for m, w in flown if m.kind == "door"
    )
    return ChartData("balance_time", "Centre of gravity through the flight", "Time since engine start", "h",
                     "Centre of gravity", "in", curves, (), points)  # fmt: skip


def _lateral(flown: Sequence[tuple[Condition, Weighed]]) -> ChartData:
    points = tuple((m.elapsed_s or 0.0, w.lateral_arm_m) for m, w in flown)
    named = tuple(
        ChartPoint(m.title, m.elapsed_s or 0.0, w.lateral_arm_m, f"balance.{m.key}.lateral")
        for m, w in flown
        if m.kind == "door"
    )
    curve = Series("lateral", "lateral centre of gravity", "h", "in", points)
    return ChartData(
        "balance_lateral", "Lateral centre of gravity through the flight", "Time since engine start", "h",
        "Right of the centre line", "in", (curve,), (), named,
    )  # fmt: skip
