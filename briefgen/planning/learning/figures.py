"""What was learned, entered: factors with their intervals, every flight, what speaks against them, what is proposed."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.model.mission import Mission
from briefgen.model.plan import Plan
from briefgen.model.record import Absent, Record, figure
from briefgen.model.tables import TableOf, column
from briefgen.planning.learning.fit import CONSUMPTION, LEVEL, SPEED, Factor, Learned, Trend
from briefgen.planning.learning.observations import SPEED_AT_SETTING
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import AIRFRAME, POWERPLANT, rest_on_groups, write_groups

FITTED = (
    "least squares on the logarithms of what was read over what the file gives, weighted by the errors of reading, one observation a "
    "flight and kind of reading"
)
INTERVAL = f"{LEVEL:.0%} interval by Student's distribution and the scatter of the flights".replace("%", " per cent")
MEANT = {
    CONSUMPTION: "fuel flow at a power setting", SPEED: "airspeed at a power setting",
}  # fmt: skip
ALONE = "fuel flow at the airspeeds flown: without settings read, consumption and speed cannot be told apart"


class FactorFigures(Record):
    """One factor."""

    def __init__(self, factor: Factor, learned: Learned) -> None:
        self.at, self._factor, self._learned = f"learning.{factor.name}", factor, learned
        alone = factor.name == CONSUMPTION and SPEED not in learned.fitted
        self.label, self.words = factor.name.capitalize(), ALONE if alone else MEANT[factor.name]

    def _read(self) -> None:
        rest_on_groups(POWERPLANT, AIRFRAME)

    @figure("%(label)s: what it is", how="as the readings allow")
    def meaning(self) -> str:
        return self.words

    @figure("%(label)s over that of the file", "%", decimals=2, how=FITTED)
    def value(self) -> float:
        self._read()
        return self._factor.value

    @figure("%(label)s: not less than", "%", decimals=2, how=INTERVAL)
    def low(self) -> float:
        self._read()
        return self._factor.low

    @figure("%(label)s: not more than", "%", decimals=2, how=INTERVAL)
    def high(self) -> float:
        self._read()
        return self._factor.high

    @figure("%(label)s: verdict", how="whether the interval holds one")
    def verdict(self) -> str:
        self._read()
        return "differs from the file" if self._factor.differs else "as in the file"


class FlightFigures(Record):
    """One flight."""

    def __init__(self, number: int, flight: str, learned: Learned) -> None:
        self.at, self._flight, self._learned = f"learning.flight.{number:02d}", flight, learned
        self.label = flight

    def _mean(self, *, speed: bool) -> float:
        ratios = [
            one.log_ratio for one in self._learned.by_flight
            if one.flight == self._flight and (one.kind == SPEED_AT_SETTING) is speed
        ]  # fmt: skip
        if not ratios:
            raise Absent("it was not read")
        rest_on_groups(POWERPLANT, AIRFRAME)
        return math.fsum(ratios) / len(ratios)

    @figure("Flight", how="its log")
    def name(self) -> str:
        return self.label.replace("{", "{{").replace("}", "}}")

    @figure("Fuel over the file", "%", decimals=1, how="mean logarithm of flows and burn read over those of the file")
    def flow(self) -> float:
        return self._mean(speed=False)

    @figure(
        "Airspeed over the file",
        "%",
        decimals=1,
        how="mean logarithm of airspeeds read over those of the file at the setting",
    )
    def speed(self) -> float:
        return self._mean(speed=True)

    @figure("Left over", "%", decimals=1, how="mean residual of the flight about the fit")
    def residual(self) -> float:
        rest_on_groups(POWERPLANT, AIRFRAME)
        return self._learned.residual(self._flight)


class TrendFigures(Record):
    """What speaks against a single factor."""

    def __init__(self, trend: Trend) -> None:
        self.at, self._trend, self.label = f"learning.trend.{trend.over}", trend, trend.over

    @figure("Against", how="a quantity of the state in which something was read")
    def over(self) -> str:
        return self.label

    @figure("Change over the span read, %(label)s", "%", decimals=1, how="least squares of the residuals on it")
    def change(self) -> float:
        rest_on_groups(POWERPLANT, AIRFRAME)
        return self._trend.change

    @figure("Standard error, %(label)s", "%", decimals=1, how="of that change")
    def error(self) -> float:
        rest_on_groups(POWERPLANT, AIRFRAME)
        return self._trend.error

    @figure("Verdict, %(label)s", how=f"whether the change is more than scatter, {INTERVAL}")
    def verdict(self) -> str:
        return "shows: the table is wrong, not the factor" if self._trend.shows else "does not show"


FACTORS = TableOf(
    "learning.factors", "Factors",
    (
        column(FactorFigures.value, "Factor"), column(FactorFigures.low, "Not less than"), column(FactorFigures.high, "Not more than"),
        column(FactorFigures.verdict, "Verdict"), column(FactorFigures.meaning, "What it is"),
    ),
)  # fmt: skip
FLIGHTS = TableOf(
    "learning.flights", "Flight by flight",
    (
        column(FlightFigures.name, "Flight"), column(FlightFigures.flow, "Fuel"), column(FlightFigures.speed, "Airspeed"),
        column(FlightFigures.residual, "Left over"),
    ),
)  # fmt: skip
TRENDS = TableOf(
    "learning.trends", "Do the residuals hang on anything",
    (
        column(TrendFigures.over, "On"), column(TrendFigures.change, "Change"), column(TrendFigures.error, "Error"),
        column(TrendFigures.verdict, "Verdict"),
    ),
)  # fmt: skip


def enter(learned: Learned, mission: Mission) -> Plan:
    """Return what was learned as a ledger, on the aircraft of a mission."""
    writer = LedgerWriter(mission.given)
    write_groups(mission, writer)
    factors = [FactorFigures(factor, learned) for factor in learned.factors]
    flights = [FlightFigures(number, flight, learned) for number, flight in enumerate(learned.flights, 1)]
    trends = [TrendFigures(trend) for trend in learned.trends]
    tables: tuple[tuple[TableOf, Sequence[Record], Sequence[str]], ...] = (
        (FACTORS, factors, [factor.label for factor in factors]),
        (FLIGHTS, flights, [flight.label for flight in flights]),
        (TRENDS, trends, [trend.label for trend in trends]),
    )
    for table, records, names in tables:
        for record in records:
            writer.adopt(record)
        if records:
            writer.tabulate(table.filled([table.row(name, one) for name, one in zip(names, records, strict=True)]))
    return Plan(mission, writer.sealed(), dict(writer.tables), (), (), (), {})
