"""The runway drawn to scale: its slope, the way off it with all engines and with one failed, and what stands beyond."""

from __future__ import annotations

import math

from briefgen.aircraft.fields import SCREEN_HEIGHT_M
from briefgen.model.plan import ChartData, ChartPoint, Series
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.fields.take_off import TakeOffFigures, TakeOffSpeeds
from briefgen.planning.sections.fields.take_off_limits import TakeOffLimits
from briefgen.planning.sections.fields.take_off_rows import DistanceFigures

BEYOND_M = 600.0  # drawn past the end, more where an obstacle stands further out
OBSTACLE_WIDTH_RATIO = 0.006  # of the drawing, so that a tree is seen
STEPS = 24


def runway_chart(take_off: TakeOffFigures) -> ChartData:
    """Return the side view: distance from the start of the run against height over it."""
    limits = take_off.limits
    runway, answer = limits.use.runway, limits.answer
    far_m = max([runway.length_m + BEYOND_M, *(runway.length_m + one.distance_m + 150.0 for one in limits.obstacles)])
    end_m = runway.slope_ratio * runway.length_m
    surface = Series("runway", f"runway {runway.name}", "ft", "ft", ((0.0, 0.0), (runway.length_m, end_m)))
    curves = [surface]
    points = [ChartPoint("end of the runway", runway.length_m, end_m, RunwayFigures.available.of(take_off.runway).key)]
    if not math.isinf(answer.distance_m):
        curves.append(Series("all engines", "all engines", "ft", "ft", _path(limits, far_m)))
        points += _points(take_off)
    failed = _failed_path(limits, far_m)
    if failed:
        curves.append(Series("engine failed", "an engine failed", "ft", "ft", failed))
    half_m = 0.5 * OBSTACLE_WIDTH_RATIO * far_m
    areas = []
    for one in limits.obstacles:
        left, right = (runway.length_m + one.distance_m + side for side in (-half_m, half_m))
        top = end_m + one.height_m
        areas.append(Series(one.name, one.name, "ft", "ft", ((left, end_m), (left, top), (right, top), (right, end_m))))
    return ChartData(
        "runway", f"Take-off from {limits.use.name}", "Distance from the start of the run", "ft",
        "Height above the start", "ft", tuple(curves), tuple(areas), tuple(points),
    )  # fmt: skip


def _path(limits: TakeOffLimits, far_m: float) -> tuple[tuple[float, float], ...]:
    answer, slope = limits.answer, limits.use.runway.slope_ratio
    run_m = answer.ground_run_m
    points = [(0.0, 0.0), (run_m, slope * run_m)]
    for step in range(1, STEPS + 1):
        at_m = run_m + (max(far_m, run_m) - run_m) * step / STEPS
        height_m = answer.height_at(at_m)
        if height_m is None:
            return (
                (0.0, 0.0),
                (run_m, slope * run_m),
                (answer.distance_m, slope * answer.distance_m + SCREEN_HEIGHT_M),
            )
        points.append((at_m, slope * min(at_m, answer.distance_m) + height_m))
    return tuple(points)


def _failed_path(limits: TakeOffLimits, far_m: float) -> tuple[tuple[float, float], ...]:
    go_m, gradient = limits.answer.accelerate_go_m, limits.answer.failed_gradient_ratio
    if go_m is None or gradient is None or math.isinf(go_m) or go_m >= far_m:
        return ()
    height_m = limits.use.runway.slope_ratio * go_m + SCREEN_HEIGHT_M
    return ((go_m, height_m), (far_m, height_m + gradient * (far_m - go_m)))


def _points(take_off: TakeOffFigures) -> list[ChartPoint]:
    answer, slope = take_off.limits.answer, take_off.limits.use.runway.slope_ratio
    keys = {one.requirement.name: DistanceFigures.distance.of(one).key for one in take_off.distances}
    run_m, screen_m, stop_m = answer.ground_run_m, answer.distance_m, answer.accelerate_stop_m
    points = [
        ChartPoint("unstick", run_m, slope * run_m, keys["ground_run"]),
        ChartPoint("50 ft", screen_m, slope * screen_m + SCREEN_HEIGHT_M, keys["distance_50ft"]),
    ]
    decided_m = answer.critical_run_m
    if decided_m is not None and math.isfinite(decided_m):
        key = TakeOffSpeeds.critical_run.of(take_off.speeds).key
        points.append(ChartPoint("engine-failure speed", decided_m, slope * decided_m, key))
    if stop_m is not None and math.isfinite(stop_m):
        points.append(ChartPoint("stopped, an engine failing", stop_m, slope * stop_m, keys["accelerate_stop"]))
    go_m = answer.accelerate_go_m
    if go_m is not None and math.isfinite(go_m):
        points.append(
            ChartPoint("50 ft, an engine failing", go_m, slope * go_m + SCREEN_HEIGHT_M, keys["accelerate_go"])
        )
    return points
