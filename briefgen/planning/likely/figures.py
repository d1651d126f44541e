"""The spread of thousands of flights, entered: bands at each point, what is likely to go short, what the spread comes from."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from briefgen.frozen import dataclass
from briefgen.model.bench import QUANTILES, Band, Checked, FieldError, Spread, Uncertainty
from briefgen.model.record import Absent, Record, figure, given, rests_on
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.sections.basis.groups import FLOWN_BY, PLACES, rest_on_groups

LOWEST, LOW, MIDDLE, HIGH, _ = range(len(QUANTILES))
FLOWN = "quantile of all flights that were not refused, flown through the plan's own pieces in their own wind, temperature, weight, consumption and delay"
NOT_SAID = "the mission does not say how uncertain it is, so it was not varied"


@dataclass(frozen=True)
class Likely:
    """A settled sortie and what thousands of flights of it come to."""

    flown: Flown
    spread: Spread


class FieldWritten(Record):
    """How far a forecast field may be off, as the mission states it."""

    def __init__(self, name: str, unit: str, error: FieldError | None) -> None:
        self.at, self.name, self.unit, self._error = f"likely.{name}", name, unit, error

    def _stated(self) -> FieldError:
        if self._error is None:
            raise Absent(NOT_SAID)
        return self._error

    @given(
        "Error of the forecast %(name)s: standard deviation", "%(unit)s", spec="uncertainty.%(name)s.standard deviation"
    )
    def sd(self) -> float:
        return self._stated().sd

    @given("Error of the forecast %(name)s: alike over", "NM", spec="uncertainty.%(name)s.over")
    def over(self) -> float:
        return self._stated().over_m

    @given("Error of the forecast %(name)s: alike in height over", "ft", spec="uncertainty.%(name)s.in height")
    def in_height(self) -> float:
        return self._stated().in_height_m

    @given("Error of the forecast %(name)s: alike in time over", "h:min", spec="uncertainty.%(name)s.in time")
    def in_time(self) -> float:
        return self._stated().in_time_s


class Supposed(Record):
    """What else is uncertain, as the mission states it."""

    at = "likely.supposed"

    def __init__(self, uncertainty: Uncertainty) -> None:
        self._uncertainty = uncertainty
        self.wind = FieldWritten("wind", "kt", uncertainty.wind)
        self.temperature = FieldWritten("temperature", "degC diff", uncertainty.temperature)

    @given("Consumption: standard deviation", "%", decimals=1, spec="uncertainty.consumption.standard deviation")
    def consumption(self) -> float:
        return _stated(self._uncertainty.consumption_sd_ratio)

    @given("Weight without fuel: standard deviation", "lb", spec="uncertainty.weight.standard deviation")
    def weight(self) -> float:
        return _stated(self._uncertainty.weight_sd_kg)

    @given("Delay of the start: standard deviation", "min", spec="uncertainty.delay.standard deviation")
    def delay(self) -> float:
        return _stated(self._uncertainty.delay_sd_s)

    def read(self) -> None:
        """Read all of it: every figure of the spread rests on it."""
        for field in (self.wind, self.temperature):
            rests_on(*(FieldWritten.sd.or_none(field), FieldWritten.over.or_none(field)))
            rests_on(FieldWritten.in_height.or_none(field), FieldWritten.in_time.or_none(field))
        rests_on(Supposed.consumption.or_none(self), Supposed.weight.or_none(self), Supposed.delay.or_none(self))
        rest_on_groups(*FLOWN_BY, PLACES)


def _stated(value: float | None) -> float:
    if value is None:
        raise Absent(NOT_SAID)
    return value


class PointBand(Record):
    """Time and fuel at one point of the route, as planned and over all flights."""

    def __init__(self, number: int, band: Band, likely: Likely, supposed: Supposed) -> None:
        self.at, self._band, self._supposed = f"likely.point.{number:02d}", band, supposed
        self._begin, self._mission = likely.flown.departure.off_blocks, likely.flown.mission
        places = {place.ident: place.name for place in self._mission.places}
        words = {"hold": "hold ends", "run": "pass ends", "approach": "landed"}
        self.where = ", ".join(filter(None, (places.get(band.point, band.point), words.get(band.kind, ""))))

    def fuel_density(self) -> float:
        return self._mission.fuel.density_kg_per_m3

    @figure("Where", how="a point of the route")
    def place(self) -> str:
        return self.where

    @figure("%(where)s: as planned", "UTC", how="the plan before the flight")
    def planned(self) -> datetime:
        rest_on_groups(*FLOWN_BY, PLACES)
        return self._begin + timedelta(seconds=self._band.planned_s)

    @figure("%(where)s: 5 of 100 are later by less", "min", how=FLOWN)
    def later_low(self) -> float:
        return self._of_time(LOW)

    @figure("%(where)s: half are later by less", "min", how=FLOWN)
    def later_middle(self) -> float:
        return self._of_time(MIDDLE)

    @figure("%(where)s: 95 of 100 are later by less", "min", how=FLOWN)
    def later_high(self) -> float:
        return self._of_time(HIGH)

    @figure("%(where)s: standard deviation of the time", "min", decimals=1, how=FLOWN)
    def time_sd(self) -> float:
        self._supposed.read()
        return self._band.sd_s

    @figure("%(where)s: fuel as planned", "lb", how="the plan before the flight", volume=True)
    def fuel(self) -> float:
        rest_on_groups(*FLOWN_BY, PLACES)
        return self._band.planned_kg

    @figure("%(where)s: 1 of 100 has less fuel than", "lb", how=FLOWN, volume=True, rounding="down")
    def fuel_lowest(self) -> float:
        return self._of_fuel(LOWEST)

    @figure("%(where)s: 5 of 100 have less fuel than", "lb", how=FLOWN, volume=True, rounding="down")
    def fuel_low(self) -> float:
        return self._of_fuel(LOW)

    @figure("%(where)s: half have less fuel than", "lb", how=FLOWN, volume=True)
    def fuel_middle(self) -> float:
        return self._of_fuel(MIDDLE)

    @figure("%(where)s: 95 of 100 have less fuel than", "lb", how=FLOWN, volume=True)
    def fuel_high(self) -> float:
        return self._of_fuel(HIGH)

    @figure("%(where)s: standard deviation of the fuel", "lb", how=FLOWN, volume=True)
    def fuel_sd(self) -> float:
        self._supposed.read()
        return self._band.sd_kg

    def _of_time(self, quantile: int) -> float:
        self._supposed.read()
        return self._band.later_s[quantile]

    def _of_fuel(self, quantile: int) -> float:
        self._supposed.read()
        return self._band.fuel_kg[quantile]


class Chances(Record):
    """What is likely to go short, and how far the figures can be trusted."""

    at = "likely.chances"

    def __init__(self, likely: Likely, supposed: Supposed) -> None:
        self._spread, self._checked, self._supposed = likely.spread, likely.spread.checked, supposed
        self._mission = likely.flown.mission

    def fuel_density(self) -> float:
        return self._mission.fuel.density_kg_per_m3

    @figure("Flights", "", how="as asked for", decimals=0)
    def flights(self) -> float:
        return float(self._spread.samples)

    @figure("Seed", how="as asked for; the same seed gives the same flights")
    def seed(self) -> str:
        return str(self._spread.seed)

    @figure("Refused flights", "", decimals=0, how="those that could not be flown; they are in no other figure")
    def refused(self) -> float:
        self._supposed.read()
        return math.fsum(number for _, number in self._spread.refused)

    @figure("Final reserve, with what cannot be used", "lb", how="as in the fuel sheet", volume=True, rounding="up")
    def reserve(self) -> float:
        rest_on_groups(*FLOWN_BY)
        return self._spread.reserve_kg

    @figure(
        "Land under the final reserve", "%", decimals=2, how="part of the flights that were not refused", rounding="up"
    )
    def under_reserve(self) -> float:
        self._supposed.read()
        return self._spread.under_reserve

    @figure(
        "Needed at the end of the hold",
        "lb",
        how="to the alternate that needs most, with final reserve",
        volume=True,
        rounding="up",
    )
    def hold_needs(self) -> float:
        rest_on_groups(*FLOWN_BY)
        return self._held(self._spread.hold_needs_kg)

    @figure(
        "Have to leave the hold before its time",
        "%",
        decimals=2,
        how="part of the flights that were not refused",
        rounding="up",
    )
    def leave_hold(self) -> float:
        self._supposed.read()
        return self._held(self._spread.leave_hold)

    def _held(self, value: float | None) -> float:
        if value is None:
            raise Absent("there is no hold with an alternate behind it")
        return value


class Trust(Record):
    """How far the replays are from the same flights flown in full."""

    at = "likely.trust"
    SAME = "the same samples flown in full, at landing"

    def __init__(self, checked: Checked, limit: float, supposed: Supposed) -> None:
        self._checked, self._limit, self._supposed = checked, limit, supposed

    @figure("Flown in full", "", decimals=0, how=SAME)
    def count(self) -> float:
        return float(self._checked.count)

    @figure("Off in time, of its spread", "%", decimals=2, how="root of the mean square", rounding="up")
    def time(self) -> float:
        self._supposed.read()
        return self._checked.part_of_time

    @figure("Off in fuel, of its spread", "%", decimals=2, how="root of the mean square", rounding="up")
    def fuel(self) -> float:
        self._supposed.read()
        return self._checked.part_of_fuel

    @figure("Most they may be off", "%", decimals=1, how="worse replays are not told")
    def limit(self) -> float:
        return self._limit

    @figure("Mean fuel at landing, flown in full", "lb", how=SAME)
    def fuel_flown(self) -> float:
        self._supposed.read()
        return self._checked.means[1][0]

    @figure("Mean fuel at landing, replayed", "lb", how=SAME)
    def fuel_replayed(self) -> float:
        self._supposed.read()
        return self._checked.means[1][1]

    @figure("Refused alike by both", "", decimals=0, how=SAME)
    def agree(self) -> float:
        self._supposed.read()
        return float(self._checked.agree)


class Cause(Record):
    """What the spread comes from."""

    def __init__(self, cause: str, time: float, fuel: float, source: str, supposed: Supposed) -> None:
        self.at, self.cause, self._time, self._fuel = f"likely.cause.{cause}", cause, time, fuel
        self.source, self._supposed = source, supposed

    @figure("Cause", how="as the mission names it")
    def name(self) -> str:
        return self.cause

    @figure(
        "%(cause)s: of the spread in time", "%", how="its variance at landing over the sum of all, each varied alone"
    )
    def time(self) -> float:
        self._supposed.read()
        return self._time

    @figure(
        "%(cause)s: of the spread in fuel", "%", how="its variance at landing over the sum of all, each varied alone"
    )
    def fuel(self) -> float:
        self._supposed.read()
        return self._fuel

    @figure("%(cause)s: where its size comes from", how="given in the mission", source="%(source)s")
    def origin(self) -> str:
        return self.source or NOT_SAID


class Refusal(Record):
    """Why some flights could not be flown."""

    def __init__(self, number: int, reason: str, flights: int, supposed: Supposed) -> None:
        self.at, self.reason, self._flights, self._supposed = f"likely.refused.{number:02d}", reason, flights, supposed

    @figure("Why", how="the sentence of the refusal")
    def why(self) -> str:
        return self.reason

    @figure("%(reason)s: flights", "", decimals=0, how="counted")
    def flights(self) -> float:
        self._supposed.read()
        return float(self._flights)


class Lowest(Record):
    """One of the flights that land with the least fuel."""

    def __init__(self, sample: int, replayed_kg: float, flown_kg: float, supposed: Supposed) -> None:
        self.at, self.sample, self._supposed = f"likely.lowest.{sample:05d}", sample, supposed
        self._replayed_kg, self._flown_kg = replayed_kg, flown_kg

    @figure("Flight", how="its number in the draw")
    def number(self) -> str:
        return str(self.sample)

    @figure(
        "Flight %(sample)s: fuel at landing, replayed",
        "lb",
        how="flown through the pieces of the plan",
        rounding="down",
    )
    def replayed(self) -> float:
        self._supposed.read()
        return self._replayed_kg

    @figure(
        "Flight %(sample)s: fuel at landing, flown in full", "lb", how="the same sample flown in full", rounding="down"
    )
    def flown(self) -> float:
        self._supposed.read()
        if math.isnan(self._flown_kg):
            raise Absent("flown in full it is refused")
        return self._flown_kg
