"""How likely, for the terminal, for other programs, and drawn."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

from briefgen.document.drawings.charts import xy_chart
from briefgen.document.parts.svg import Frame
from briefgen.document.parts.templates import chart_style_for_paper
from briefgen.model.plan import ChartData, Series
from briefgen.planning.flight.fly import fly
from briefgen.replay.spread import ERROR_LIMIT, QUANTILES, Spread, spread
from briefgen.spec import read_mission
from briefgen.units import in_unit

WIDTH, HEIGHT, TYPE_SIZE = 960.0, 460.0, 15.0
S_PER_MIN = 60.0


def likely(path: Path, *, samples: int, seed: int, in_full: int) -> Spread:
    """Return what a mission file comes to under the uncertainties it states.

    Raises:
        UsageError, PlanError: As `spread` does.
    """
    return spread(fly(read_mission(path)), samples=samples, seed=seed, in_full=in_full)


def spread_json(found: Spread) -> str:
    """Return a spread as data, times in seconds and fuel in kilograms."""
    return json.dumps({"quantiles": QUANTILES, **asdict(found)}, indent=1, ensure_ascii=False) + "\n"


def spread_text(found: Spread) -> str:
    """Return a spread in words and tables."""
    refused = sum(number for _, number in found.refused)
    lines = [f"{found.mission}: {found.samples:,} flights, seed {found.seed}", ""]
    lines += [f"  {cause}: {source}" for cause, source in found.sources]
    lines += [
        "",
        "Minutes later than planned, and fuel on board [lb]; of a hundred flights 5 are below the first and 5 above the last",
        "",
    ]
    rows: list[tuple[str, ...]] = [("at", "", "5", "50", "95", "sd", "", "fuel planned", "1", "5", "50", "95", "sd")]
    for band in found.bands:
        later = [f"{one / S_PER_MIN:.1f}" for one in band.later_s[1:4]]
        fuel = [_pounds(one) for one in band.fuel_kg[:4]]
        rows.append(
            (
                band.point,
                band.kind,
                *later,
                f"{band.sd_s / S_PER_MIN:.1f}",
                "",
                _pounds(band.planned_kg),
                *fuel,
                _pounds(band.sd_kg),
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    lines += ["  " + "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)) for row in rows]
    lines += ["", *_chances(found)]
    lines += [f"Refused: {refused:,} of {found.samples:,}; they are in none of the figures above"]
    lines += [f"  {number:,}  {reason}" for reason, number in found.refused]
    return "\n".join([*lines, "", *_shares(found), "", *_check(found)]) + "\n"


def _pounds(mass_kg: float) -> str:
    return f"{in_unit(mass_kg, 'lb'):,.0f}"


def _chances(found: Spread) -> list[str]:
    lines = [f"Lands under the final reserve ({_pounds(found.reserve_kg)} lb with what cannot be used): {100 * found.under_reserve:.2f} % of those flown"]  # fmt: skip
    if found.leave_hold is not None and found.hold_needs_kg is not None:
        lines.append(
            f"Has to leave the hold before its time (under {_pounds(found.hold_needs_kg)} lb at its end): {100 * found.leave_hold:.2f} %"
        )
    return lines


def _shares(found: Spread) -> list[str]:
    lines = ["Where it comes from, each varied alone: part of the variance at landing, in time and in fuel"]
    return lines + [f"  {cause:12} {100 * time:5.1f} %  {100 * fuel:5.1f} %" for cause, time, fuel in found.shares]


def _check(found: Spread) -> list[str]:
    """Return how far the replays are from flights in full."""
    checked = found.checked
    (mean_s, again_s), (mean_kg, again_kg) = checked.means
    (sd_s, sd_again_s), (sd_kg, sd_again_kg) = checked.sds
    lines = [
        f"Checked against {checked.count} of these flown in full, at landing: off by {checked.rms_s:.2f} s ({100 * checked.part_of_time:.2f} % of their spread) "
        f"and {checked.rms_kg:.2f} kg ({100 * checked.part_of_fuel:.2f} %), root of the mean square; limit {100 * ERROR_LIMIT:.1f} %",
        f"  mean time {mean_s:,.1f} s flown, {again_s:,.1f} replayed; standard deviation {sd_s:,.1f} and {sd_again_s:,.1f}",
        f"  mean fuel {mean_kg:,.2f} kg flown, {again_kg:,.2f} replayed; standard deviation {sd_kg:,.2f} and {sd_again_kg:,.2f}",
        f"  refused {checked.refused_flown} flown, {checked.refused_replayed} replayed; the two agree in {checked.agree}",
        f"  the plan itself replayed: off by {found.off_s:.2f} s and {found.off_kg:.2f} kg",
        "The least fuel at landing, replayed and flown in full [lb]",
    ]  # fmt: skip
    return lines + [
        f"  sample {sample:5}: {_pounds(replayed)}, {'refused' if flown != flown else _pounds(flown)}"
        for sample, replayed, flown in found.worst
    ]


def spread_svg(found: Spread) -> str:
    """Return the bands of fuel at the points, over the planned time, with the final reserve."""

    def curve(name: str, label: str, values: list[float]) -> Series:
        times = [band.planned_s for band in found.bands]
        return Series(name, label, "h", "lb", tuple(zip(times, values, strict=True)))

    curves = [curve("planned", "planned", [band.planned_kg for band in found.bands])]
    curves += [
        curve(f"part-{part}", f"{100 * part:.0f} of 100 have less", [band.fuel_kg[index] for band in found.bands])
        for index, part in enumerate(QUANTILES)
        if part != 0.5
    ]
    curves.append(curve("reserve", "final reserve", [found.reserve_kg for _ in found.bands]))
    chart = ChartData("spread", f"{found.mission}: fuel, {found.samples:,} flights", "Time after the first start as planned", "h", "Fuel on board", "lb", tuple(curves))  # fmt: skip
    drawing = xy_chart(chart, None, Frame(WIDTH, HEIGHT, TYPE_SIZE, "spread"), dense=True)
    assert drawing is not None
    return drawing.markup.replace("</desc>", f"</desc><style>{chart_style_for_paper()}</style>", 1) + "\n"
