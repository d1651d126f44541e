"""The take-off as entries and tables: distances, weights that fit, obstacles, attitudes, and what a little more does."""

from __future__ import annotations

import math
from dataclasses import replace

from briefgen.aircraft.fields import TakeOff
from briefgen.aircraft.published_factors import SOURCE as PUBLISHED_SOURCE
from briefgen.aircraft.published_factors import TAKE_OFF_SURFACES
from briefgen.errors import BriefgenError
from briefgen.kernel.constants import KELVIN_AT_0_DEGC, KT_M_PER_S
from briefgen.model.ledger import Column, Row
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.fields.runway_use import HEADWIND_SHARE, WIND_SOURCE, RunwayUse
from briefgen.planning.sections.fields.take_off_limits import (
    OBSTACLE_CLEARANCE_M,
    OBSTACLE_SOURCE,
    Requirement,
    TakeOffLimits,
    rounded_down,
    rounded_up,
)

NOT_POSSIBLE = "not possible"
NO_WEIGHT = "no weight fits"
SUMMED = "forces on the run summed over speed"
SEARCHED = "weight at which it just fits, rounded down to 100 lb"

TAKE_OFF_COLUMNS = (
    Column("what", "Distance"),
    Column("distance", "Worked out", "ft"),
    Column("factor", "Factor"),
    Column("factored", "With factor", "ft"),
    Column("available", "Available", "ft"),
    Column("margin", "Margin", "ft"),
    Column("greatest_mass", "Greatest weight", "lb"),
)


def write_take_off(limits: TakeOffLimits, writer: LedgerWriter) -> None:
    """Enter one take-off with its tables."""
    key, answer = limits.use.key, limits.answer
    drivers = conditions_of(limits.use)
    source = limits.fields.source
    _put_speeds(key, answer, drivers, source, writer)
    rows = [_requirement_row(limits, one, drivers, writer) for one in limits.requirements]
    rows += _published_row(limits, writer)
    writer.table("fields.take_off", f"Take-off from {limits.use.name}", TAKE_OFF_COLUMNS, rows, _note(limits, writer))
    _write_obstacles(limits, drivers, writer)
    _write_greatest(limits, writer)


def _published_row(limits: TakeOffLimits, writer: LedgerWriter) -> list[Row]:
    """Return the distance on a dry paved runway times the published factor of the surface, for comparison."""
    use, fields = limits.use, limits.fields
    surface = str(writer[f"{use.key}.surface"].value)
    factor = TAKE_OFF_SURFACES.get("soft" if surface == "mud" else surface)
    if factor is None or factor == 1.0:
        return []
    paved = replace(use.strip, runway=replace(use.runway, surface="paved dry", depth_m=0.0), wet=False)
    try:
        distance_m = fields.take_off(use.mass_kg, paved).distance_m * factor
    except BriefgenError:  # an aircraft file without a paved runway has nothing to compare with
        return []
    key, title = f"{use.key}.published", f"To 50 ft, paved times {factor:.2f}"
    how = {"method": f"distance on dry paving times {factor:.2f}, the published factor for {surface}; mud at least that",
           "inputs": (f"{use.key}.mass", f"{use.key}.surface"), "source": PUBLISHED_SOURCE}  # fmt: skip
    cells = {
        "what": writer.put(f"{key}.title", "Distance", title, method="name of the distance"),
        "distance": put_distance(writer, f"{key}.distance_50ft", title, distance_m, **how),
        "available": f"{use.key}.available",
    }
    return [Row(title, cells, "shown")]


def _note(limits: TakeOffLimits, writer: LedgerWriter) -> str:
    """Say what the bare rows are, and what the runway allows when an engine fails."""
    key, answer = limits.use.key, limits.answer
    note = "Rows without a factor are shown, not required by the rule set."
    if answer.accelerate_stop_m is None or answer.accelerate_go_m is None:
        return note
    words = engine_failure_words(answer.accelerate_stop_m, answer.accelerate_go_m, limits.use.runway.length_m)
    failure = writer.put(
        f"{key}.engine_failure", "If an engine fails on the run", words,
        method="accelerate-stop and accelerate-go against the runway",
        inputs=(f"{key}.accelerate_stop", f"{key}.accelerate_go", f"{key}.available"),
    )  # fmt: skip
    note += f" If an engine fails: {{{failure}}}."
    if answer.stop_fits_ias_m_per_s is not None:
        note += f" A stop fits the runway up to {{{key}.stop_fits_ias}}."
    return note


def engine_failure_words(stop_m: float, go_m: float, length_m: float) -> str:
    """Return what the runway allows when an engine fails at the engine-failure speed."""
    if stop_m <= length_m and go_m <= length_m:
        return "below the speed stop, above it go on; both fit the runway"
    if stop_m <= length_m:
        return "stop at any speed on the ground; going on does not reach 50 ft over this runway"
    if go_m <= length_m:
        return "from the speed go on; the stop from it does not fit the runway"
    return "stop at once; near the speed neither the stop nor going on fits: throttles closed, land straight ahead"


def conditions_of(use: RunwayUse) -> tuple[str, ...]:
    """Return the keys every figure of a runway follows from."""
    names = ("mass", "pressure_altitude", "temperature", "headwind_used", "surface", "slope")
    return tuple(f"{use.key}.{name}" for name in names)


def put_distance(writer: LedgerWriter, key: str, label: str, distance_m: float, **how: object) -> str:
    """Enter a distance, or that it cannot be had."""
    if math.isinf(distance_m):
        return writer.put(key, label, NOT_POSSIBLE, **how)  # type: ignore[arg-type]
    return writer.put(key, label, distance_m, "ft", **how)  # type: ignore[arg-type]


def put_weight(writer: LedgerWriter, key: str, label: str, mass_kg: float | None, **how: object) -> str:
    """Enter a weight that fits, rounded down, or that none does."""
    if mass_kg is None:
        return writer.put(key, label, NO_WEIGHT, **how)  # type: ignore[arg-type]
    return writer.put(key, label, rounded_down(mass_kg), "lb", **how)  # type: ignore[arg-type]


def _put_speeds(key: str, answer: TakeOff, drivers: tuple[str, ...], source: str, writer: LedgerWriter) -> None:
    speeds = (
        ("unstick_ias", "Unstick speed, indicated", answer.unstick_ias_m_per_s),
        ("critical_ias", "Engine-failure speed", answer.critical_ias_m_per_s),
        ("safe_ias", "Speed at 50 ft, indicated", answer.safe_ias_m_per_s),
        ("stop_fits_ias", "Highest speed from which a stop fits the runway", answer.stop_fits_ias_m_per_s),
        ("fastest_ias", "Speed at which she gains no more", answer.fastest_ias_m_per_s),
    )
    for name, label, value in speeds:
        if value is not None:
            writer.put(f"{key}.{name}", label, value, AIRSPEED, method=SUMMED, inputs=drivers, source=source)
    if "take_off.unstick_ias" not in writer and answer.unstick_ias_m_per_s is not None:
        writer.put(
            "take_off.unstick_ias",
            "Unstick speed, indicated",
            answer.unstick_ias_m_per_s,
            AIRSPEED,
            method="the take-off as worked out",
            inputs=(f"{key}.unstick_ias",),
        )


def _requirement_row(
    limits: TakeOffLimits, requirement: Requirement, drivers: tuple[str, ...], writer: LedgerWriter
) -> Row:
    key, name = limits.use.key, requirement.name
    distance_m = requirement.distance(limits.answer)
    assert distance_m is not None
    cells = {
        "what": writer.put(f"{key}.{name}.title", "Distance", requirement.title, method="name of the distance"),
        "distance": put_distance(
            writer, f"{key}.{name}", requirement.title, distance_m, method=SUMMED, inputs=drivers, source=limits.fields.source
        ),
        "available": f"{key}.available",
        "greatest_mass": put_weight(
            writer, f"{key}.greatest_mass.{name}", f"Greatest weight: {requirement.title.lower()}",
            limits.greatest_for(requirement), method=SEARCHED, inputs=(*drivers[1:], f"{key}.available"),
            source=requirement.source,
        ),
    }  # fmt: skip
    cells |= _factored(limits, requirement, distance_m, writer)
    return Row(requirement.title, cells, "" if requirement.required else "shown")


def _factored(
    limits: TakeOffLimits, requirement: Requirement, distance_m: float, writer: LedgerWriter
) -> dict[str, str]:
    """Return the cells of factor, factored distance and margin; none of a distance that is only shown."""
    key, name = limits.use.key, requirement.name
    if not requirement.required:
        return {}
    factor = writer.put(
        f"{key}.factor.{name}", "Factor", 1.0 / requirement.share, decimals=2, method="one over the share of the runway",
        source=requirement.source,
    )  # fmt: skip
    factored = put_distance(
        writer, f"{key}.factored.{name}", f"{requirement.title}, with factor", distance_m / requirement.share,
        method="distance times factor", inputs=(f"{key}.{name}", factor), source=requirement.source,
    )  # fmt: skip
    cells = {"factor": factor, "factored": factored}
    if math.isfinite(distance_m):
        cells["margin"] = writer.put(
            f"{key}.margin.{name}", f"{requirement.title}: runway left over",
            limits.use.runway.length_m - distance_m / requirement.share, "ft",
            method="available less distance with factor", inputs=(f"{key}.available", factored),
        )  # fmt: skip
        writer.foot(cells["margin"], (f"{key}.available",), (factored,))
    return cells


def _write_obstacles(limits: TakeOffLimits, drivers: tuple[str, ...], writer: LedgerWriter) -> None:
    rows = []
    for number, obstacle in enumerate(limits.obstacles, start=1):
        key = f"{limits.use.key}.obstacle.{number:02d}"
        written = "obstacle of the runway as written"
        over_m = limits.height_at_obstacle(limits.answer, obstacle)
        failed_m = limits.failed_height_at_obstacle(limits.answer, obstacle)
        cells = {
            "name": writer.put(f"{key}.name", "Obstacle", obstacle.name, method=written),
            "distance": writer.put(f"{key}.distance", "Beyond the end", obstacle.distance_m, "ft", method=written),
            "height": writer.put(f"{key}.height", "Height over the end", obstacle.height_m, "ft", method=written),
            "over": writer.put(
                f"{key}.over", f"Height over the end passing {obstacle.name}, all engines", over_m, "ft",
                method="climb away from unstick to 50 ft and on", inputs=drivers, source=limits.fields.source,
            ),
            "needed": writer.put(
                f"{key}.needed", "Height needed", obstacle.height_m + OBSTACLE_CLEARANCE_M, "ft",
                method="height of the obstacle and the clearance required", inputs=(f"{key}.height",), source=OBSTACLE_SOURCE,
            ),
        }  # fmt: skip
        failed = "below 50 ft" if failed_m is None else failed_m
        cells["failed"] = writer.put(
            f"{key}.failed", f"Height over the end passing {obstacle.name}, an engine failed", failed,
            "" if failed_m is None else "ft", method="climb on the engines left", inputs=drivers, source=limits.fields.source,
        )  # fmt: skip
        cells["greatest_mass"] = put_weight(
            writer, f"{key}.greatest_mass", f"Greatest weight over {obstacle.name}", limits.greatest_over(obstacle),
            method=SEARCHED, inputs=(*drivers[1:], f"{key}.needed"), source=OBSTACLE_SOURCE,
        )  # fmt: skip
        if True in limits.obstacle_cases:
            cells["failed_mass"] = put_weight(
                writer, f"{key}.greatest_mass_failed", f"Greatest weight over {obstacle.name}, an engine failed",
                limits.greatest_over(obstacle, failed=True), method=SEARCHED, inputs=(*drivers[1:], f"{key}.needed"),
                source=OBSTACLE_SOURCE,
            )  # fmt: skip
        rows.append(Row(obstacle.name, cells))
    if rows:
        columns = (
            Column("name", "Obstacle"), Column("distance", "Beyond the end", "ft"), Column("height", "Height", "ft"),
            Column("needed", "Needed", "ft"), Column("over", "All engines", "ft"), Column("failed", "Engine failed", "ft"),
            Column("greatest_mass", "Greatest weight, all engines", "lb"),
            Column("failed_mass", "Greatest weight, engine failed", "lb"),
        )  # fmt: skip
        kept = columns if True in limits.obstacle_cases else columns[:-1]
        writer.table("fields.obstacles", "Obstacles in the take-off path", kept, rows)


def _write_greatest(limits: TakeOffLimits, writer: LedgerWriter) -> None:
    """Enter the weight that meets everything required, the margin to it, and what must stay behind."""
    key, (greatest_kg, governs) = limits.use.key, limits.greatest
    writer.put(f"{key}.governs", "What sets the greatest weight", governs, method="smallest of the weights that fit")
    parts = tuple(one for one in writer.keys(f"{key}.") if ".greatest_mass" in one)
    put_weight(
        writer, f"{key}.greatest_mass", "Greatest weight for this field", greatest_kg,
        method="smallest of the weights that fit, rounded down to 100 lb", inputs=parts,
    )  # fmt: skip
    if greatest_kg is None:
        writer.put(f"{key}.mass_margin", "Weight in hand", NO_WEIGHT, method="no weight fits the runway")
        return
    over_kg = limits.use.mass_kg - rounded_down(greatest_kg)
    writer.put(
        f"{key}.mass_margin", "Weight in hand", -over_kg, "lb", method="greatest weight less weight",
        inputs=(f"{key}.greatest_mass", f"{key}.mass"),
    )  # fmt: skip
    writer.foot(f"{key}.mass_margin", (f"{key}.greatest_mass",), (f"{key}.mass",))
    if over_kg > 0.0:
        writer.put(
            f"{key}.left_behind", "Weight to leave behind", rounded_up(over_kg), "lb",
            method="weight above the greatest, rounded up to 100 lb", inputs=(f"{key}.mass_margin",),
        )  # fmt: skip
        _write_waits(limits, writer)


def _write_waits(limits: TakeOffLimits, writer: LedgerWriter) -> None:
    """Enter the cooler air and the stronger head wind with which the weight of the plan would fit after all."""
    key = limits.use.key
    inputs = (f"{key}.mass", f"{key}.available")
    if (temperature_k := limits.cool_enough_k()) is not None:
        whole_k = math.floor(temperature_k - KELVIN_AT_0_DEGC) + KELVIN_AT_0_DEGC
        writer.put(
            f"{key}.cool_enough", "Temperature at which this weight fits", whole_k, "degC",
            method="take-off worked out in cooler air, rounded down", inputs=inputs, source=limits.fields.source,
        )  # fmt: skip
    if (counted := limits.headwind_enough_m_per_s()) is not None:
        blowing = math.ceil(counted / HEADWIND_SHARE / KT_M_PER_S) * KT_M_PER_S
        writer.put(
            f"{key}.headwind_enough", "Head wind with which this weight fits", blowing, "kt",
            method="take-off worked out in more wind, half of it counted on, rounded up", inputs=inputs, source=WIND_SOURCE,
        )  # fmt: skip
