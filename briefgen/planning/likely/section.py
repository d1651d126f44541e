"""The spread of thousands of flights as a plan of its own: its tables, and the chart of its bands."""

from __future__ import annotations

from briefgen.model.bench import QUANTILES, Spread
from briefgen.model.plan import ChartData, ChartName, Plan, Series
from briefgen.model.record import Record
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.likely.figures import MIDDLE, Cause, Chances, Likely, Lowest, PointBand, Refusal, Supposed, Trust
from briefgen.planning.sections.basis.groups import write_groups
from briefgen.planning.sections.basis.inputs import WeatherWritten

CHART: ChartName = "likely"
POINTS = TableOf(
    "likely.points",
    "Time and fuel at each point",
    (
        column(PointBand.place, "Where"), column(PointBand.planned, "Planned"), column(PointBand.later_low, "5"),
        column(PointBand.later_middle, "half"), column(PointBand.later_high, "95"), column(PointBand.fuel.volume(), "Fuel planned"),
        column(PointBand.fuel_lowest.volume(), "1"), column(PointBand.fuel_low.volume(), "5"), column(PointBand.fuel_middle.volume(), "half"),
        column(PointBand.fuel_high.volume(), "95"),
    ),
    "Later than planned, and fuel: of a hundred flights so many are later by less, or have less, than the figure under the number.",
)  # fmt: skip
CAUSES_OF_SPREAD = TableOf(
    "likely.causes",
    "What the spread comes from",
    (column(Cause.name, "Cause"), column(Cause.time, "Of the time"), column(Cause.fuel, "Of the fuel"), column(Cause.origin, "Its size comes from")),
)  # fmt: skip
REFUSED = TableOf(
    "likely.refused",
    "Flights that could not be flown",
    (column(Refusal.why, "Why"), column(Refusal.flights, "Flights")),
)
LOWEST_FUEL = TableOf(
    "likely.lowest",
    "The least fuel at landing",
    (column(Lowest.number, "Flight"), column(Lowest.replayed, "Replayed"), column(Lowest.flown, "In full")),
)


def likely_plan(likely: Likely) -> Plan:
    """Return what thousands of flights come to as a ledger of its own, with its chart."""
    mission, spread = likely.flown.mission, likely.spread
    assert mission.uncertainty is not None  # a spread has been worked out from it
    writer = LedgerWriter(mission.given)
    write_groups(mission, writer)
    writer.adopt(WeatherWritten(mission))
    supposed = Supposed(mission.uncertainty)
    sources = dict(spread.sources)
    chances, trust = Chances(likely, supposed), Trust(spread.checked, spread.error_limit, supposed)
    for single in (supposed, supposed.wind, supposed.temperature, chances, trust):
        writer.adopt(single)
    made: tuple[tuple[TableOf, list[Record]], ...] = (
        (POINTS, [PointBand(number, band, likely, supposed) for number, band in enumerate(spread.bands, 1)]),
        (CAUSES_OF_SPREAD, [Cause(name, time, fuel, sources.get(name, ""), supposed) for name, time, fuel in spread.shares]),
        (REFUSED, [Refusal(number, why, count, supposed) for number, (why, count) in enumerate(spread.refused, 1)]),
        (LOWEST_FUEL, [Lowest(*one, supposed) for one in spread.worst]),
    )  # fmt: skip
    for table, records in made:
        for record in records:
            writer.adopt(record)
        if records:
            writer.tabulate(table.filled([table.row(record.at, record) for record in records]))
    charts: dict[ChartName, ChartData] = {CHART: _bands(spread)}
    return Plan(mission, writer.sealed(), dict(writer.tables), likely.flown.phases, (), (), charts)


def _bands(spread: Spread) -> ChartData:
    """Return the bands of fuel at the points over the planned time, with the final reserve."""

    def curve(name: str, label: str, values: list[float]) -> Series:
        times = [band.planned_s for band in spread.bands]
        return Series(name, label, "h", "lb", tuple(zip(times, values, strict=True)))

    curves = [curve("planned", "planned", [band.planned_kg for band in spread.bands])]
    curves += [
        curve(f"part-{part}", f"{100 * part:.0f} of 100 have less", [band.fuel_kg[index] for band in spread.bands])
        for index, part in enumerate(QUANTILES)
        if part != QUANTILES[MIDDLE]
    ]
    curves.append(curve("reserve", "final reserve", [spread.reserve_kg for _ in spread.bands]))
    return ChartData(
        CHART,
        "Fuel on board, in how many flights",
        "Time after the first start as planned",
        "h",
        "Fuel on board",
        "lb",
        tuple(curves),
    )
