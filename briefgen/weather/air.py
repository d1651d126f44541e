"""The air aloft at any place, height and time between the points of a forecast."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby, pairwise

from briefgen.errors import OutOfRangeError
from briefgen.kernel.atmosphere import altitude_at_pressure, standard_temperature
from briefgen.kernel.constants import FT_M, KELVIN_AT_0_DEGC, TEMPERATURE_LAPSE_K_PER_M
from briefgen.model.weather import CEILING_COVERS, Outside, Sounding, TemperatureLevel, Weather, WindLevel
from briefgen.weather.hazards import sheets_at
from briefgen.weather.points import PointSet, Weights

_Place = tuple[int, float]  # a level, and the fraction of the way to the next
_Places = dict[int, _Place]  # by the number of a set of levels
_Moment = tuple[int, int, float]  # the forecasts before and after a time, and the fraction of the way between them
_Moments = dict[int, _Moment]  # by the number of a set of times

_HEIGHT_SLACK_M = 0.01  # a height converted between units may miss the end of the data by round-off


@dataclass(frozen=True, slots=True)
class AirAloft:
    """The air at one place, pressure altitude and instant: where it moves to and how warm it is."""

    temperature_k: float
    wind_east_m_per_s: float
    wind_north_m_per_s: float


class Sky:
    """The air aloft of one weather file, made ready for many questions.

    In height, wind components and temperature are linear in pressure altitude between levels: the standard atmosphere's
    own lapse is, so its temperatures are reproduced. In time they are linear between forecasts over the same point. In
    space they are weighed by inverse squared distance (`PointSet`), inside the area between the points and the file's
    reach around it. Winds are interpolated as vectors. Outside the levels or times the answer is an error, unless the
    file says to hold: then the end value is held, for a temperature its deviation from standard.
    """

    def __init__(self, weather: Weather) -> None:
        self._weather = weather
        in_order = sorted(weather.soundings, key=lambda one: (one.ident, one.lat_deg, one.lon_deg, one.instant))
        grouped = groupby(in_order, key=lambda one: (one.ident, one.lat_deg, one.lon_deg))
        self._soundings = tuple(tuple(group) for _, group in grouped)
        self._grids: dict[tuple[float, ...], int] = {}
        self._columns: dict[int, _Column] = {}  # made ready when first asked: of thousands a flight asks a few
        places = tuple((first.ident, first.lat_deg, first.lon_deg) for first, *_ in self._soundings)
        self._points = PointSet(places, weather.reach_m) if places else None

    def air_at(self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime) -> AirAloft:
        """Return the air at a place, pressure altitude and instant.

        Raises:
            OutOfRangeError: The place, height or instant lies outside the data; the message names which, and the range.
        """
        time_s = instant.timestamp()
        temperature = east = north = 0.0
        places: _Places = {}  # most columns share their levels and times: each set of them is searched once
        moments: _Moments = {}
        for index, weight in self._weights(lat_deg, lon_deg):
            t, e, n = self._column(index).air(pressure_altitude_m, time_s, instant, places, moments)
            temperature += weight * t
            east += weight * e
            north += weight * n
        return AirAloft(temperature, east, north)

    def freezing_level_at(self, lat_deg: float, lon_deg: float, instant: datetime) -> float | None:
        """Return the lowest pressure altitude [m] at 0 degC; None when it is warmer up to the top of the data.

        A freezing level given in the file comes before one found from the temperatures. Air below freezing at the
        lowest level puts the freezing level there.
        """
        for given in self._weather.freezing_levels:
            if given.use_from <= instant <= given.use_to:
                return given.pressure_altitude_m
        time_s = instant.timestamp()
        parts = [(weight, self._column(index)) for index, weight in self._weights(lat_deg, lon_deg)]
        below: tuple[float, float] | None = None
        for height in self._temperature_heights([one for _, one in parts]):
            celsius = math.fsum(w * one.temperature(height, time_s, instant) for w, one in parts) - KELVIN_AT_0_DEGC
            if celsius <= 0.0:
                if below is None:
                    return height
                return below[0] + (height - below[0]) * below[1] / (below[1] - celsius)
            below = (height, celsius)
        return None

    def overcast_top_at(self, lat_deg: float, lon_deg: float, instant: datetime) -> float | None:
        """Return the highest top [m above mean sea level] of the broken or overcast sheets over a place, or None."""
        tops = [
            sheet.top_m
            for sheet in sheets_at(self._weather, lat_deg, lon_deg, instant)
            if sheet.cover in CEILING_COVERS
        ]
        return max(tops) if tops else None

    def _column(self, index: int) -> _Column:
        found = self._columns.get(index)
        if found is None:
            found = self._columns[index] = _Column(self._weather, self._soundings[index], self._grids)
        return found

    def _weights(self, lat_deg: float, lon_deg: float) -> Weights:
        if self._points is None:
            raise OutOfRangeError(
                "the weather gives no winds and temperatures aloft",
                where=self._weather.file,
                expected="winds and temperatures over at least one place",
            )
        return self._points.weights(lat_deg, lon_deg)

    def _temperature_heights(self, columns: list[_Column]) -> list[float]:
        """Return every temperature level at which all the columns can answer, lowest first."""
        lowest = max(one.lowest_temperature_m for one in columns)
        highest = min(one.highest_temperature_m for one in columns)
        return sorted({height for one in columns for height in one.temperature_heights if lowest <= height <= highest})


def deviation_from_standard(temperature_k: float, pressure_altitude_m: float) -> float:
    """Return how much warmer than the standard atmosphere the air is [K], negative when colder."""
    return temperature_k - standard_temperature(pressure_altitude_m)


def _steps(values: tuple[float, ...]) -> tuple[float, ...]:
    """Return the differences from each value to the next, and none after the last."""
    return (*(after - before for before, after in pairwise(values)), 0.0)


def _pressure_altitude(level: WindLevel | TemperatureLevel) -> float:
    if level.pressure_altitude_m is not None:
        return level.pressure_altitude_m
    assert level.pressure_pa is not None
    return altitude_at_pressure(level.pressure_pa)


class _Slice:
    """One sounding as bare tuples of floats; equal sets of heights carry one number, under which a place is kept."""

    def __init__(self, sounding: Sounding, hold: bool, grids: dict[tuple[float, ...], int]) -> None:
        self.ident = sounding.ident
        self.hold = hold
        self.time_s = sounding.instant.timestamp()
        self.wind_heights = tuple(_pressure_altitude(level) for level in sounding.winds)
        self.wind_grid = grids.setdefault(self.wind_heights, len(grids))
        self.east = tuple(level.east_m_per_s for level in sounding.winds)
        self.north = tuple(level.north_m_per_s for level in sounding.winds)
        self.east_steps, self.north_steps = _steps(self.east), _steps(self.north)
        self.temperature_heights = tuple(_pressure_altitude(level) for level in sounding.temperatures)
        self.temperature_grid = grids.setdefault(self.temperature_heights, len(grids))
        self.temperatures = tuple(level.temperature_k for level in sounding.temperatures)
        self.temperature_steps = _steps(self.temperatures)

    def air(self, height: float, places: _Places) -> tuple[float, float, float]:
        """Return temperature and the wind's east and north components at a height."""
        place = places.get(self.wind_grid)
        if place is None:
            place = places[self.wind_grid] = self._place("winds", self.wind_heights, height)
        i, f = place
        east, north = self.east[i] + self.east_steps[i] * f, self.north[i] + self.north_steps[i] * f
        if self.temperature_grid != self.wind_grid:
            place = places.get(self.temperature_grid)
            if place is None:
                place = self._place("temperatures", self.temperature_heights, height)
                places[self.temperature_grid] = place
        i, f = place
        if f:
            return self.temperatures[i] + self.temperature_steps[i] * f, east, north
        return self._temperature(place, height), east, north

    def temperature(self, height: float) -> float:
        """Return the temperature at a height."""
        return self._temperature(self._place("temperatures", self.temperature_heights, height), height)

    def _temperature(self, place: _Place, height: float) -> float:
        i, f = place
        if f:
            return self.temperatures[i] + self.temperature_steps[i] * f
        beyond = height - self.temperature_heights[i]
        # zero but where a level is held: then its deviation from standard is held
        return self.temperatures[i] + TEMPERATURE_LAPSE_K_PER_M * beyond

    def _place(self, what: str, heights: tuple[float, ...], height: float) -> _Place:
        """Return the level at or below a height and the fraction of the way to the next."""
        i = bisect_right(heights, height)
        if 0 < i < len(heights):
            low = heights[i - 1]
            return i - 1, (height - low) / (heights[i] - low)
        end = 0 if i == 0 else len(heights) - 1
        if self.hold or abs(height - heights[end]) <= _HEIGHT_SLACK_M:
            return end, 0.0
        low_ft, high_ft = heights[0] / FT_M, heights[-1] / FT_M
        raise OutOfRangeError(
            f"pressure altitude {height / FT_M:,.0f} ft is outside the {what} over {self.ident}",
            expected=f"{low_ft:,.0f} to {high_ft:,.0f} ft",
            hint="give one more level, or let the file say 'outside altitudes: hold'",
        )


class _Column:
    """All soundings over one point, in order of time."""

    def __init__(self, weather: Weather, soundings: tuple[Sounding, ...], grids: dict[tuple[float, ...], int]) -> None:
        first = soundings[0]
        self.ident, self.lat_deg, self.lon_deg = first.ident, first.lat_deg, first.lon_deg
        hold_height = weather.outside_altitude == "hold"
        self._slices = tuple(_Slice(one, hold_height, grids) for one in soundings)
        self._times = tuple(one.time_s for one in self._slices)
        self._time_grid = grids.setdefault(self._times, len(grids))
        self._use_from, self._use_to = period_of_use(weather.outside_time, weather, soundings[0], soundings[-1])
        self._from_s, self._to_s = self._use_from.timestamp(), self._use_to.timestamp()
        self.temperature_heights = tuple({height for one in self._slices for height in one.temperature_heights})
        self.lowest_temperature_m = max(one.temperature_heights[0] for one in self._slices)
        self.highest_temperature_m = min(one.temperature_heights[-1] for one in self._slices)

    def air(
        self, height: float, time_s: float, instant: datetime, places: _Places, moments: _Moments
    ) -> tuple[float, float, float]:
        """Return temperature and the wind's east and north components at a height and time."""
        self._require_within_use(time_s, instant)
        moment = moments.get(self._time_grid)
        if moment is None:
            moment = moments[self._time_grid] = self._moment(time_s)
        early, late, f = moment
        t, e, n = self._slices[early].air(height, places)
        if f == 0.0:
            return t, e, n
        t1, e1, n1 = self._slices[late].air(height, places)
        return t + (t1 - t) * f, e + (e1 - e) * f, n + (n1 - n) * f

    def temperature(self, height: float, time_s: float, instant: datetime) -> float:
        """Return the temperature at a height and time."""
        self._require_within_use(time_s, instant)
        early, late, f = self._moment(time_s)
        t = self._slices[early].temperature(height)
        return t + (self._slices[late].temperature(height) - t) * f if f else t

    def _require_within_use(self, time_s: float, instant: datetime) -> None:
        if not self._from_s <= time_s <= self._to_s:
            raise outside_time(f"winds and temperatures over {self.ident}", instant, self._use_from, self._use_to)

    def _moment(self, time_s: float) -> _Moment:
        i = bisect_right(self._times, time_s)
        if i == 0:
            return 0, 0, 0.0
        if i == len(self._times):
            return i - 1, i - 1, 0.0
        start_s = self._times[i - 1]
        return i - 1, i, (time_s - start_s) / (self._times[i] - start_s)


def period_of_use(outside: Outside, weather: Weather, first: Sounding, last: Sounding) -> tuple[datetime, datetime]:
    """Return from when to when a series may be used: its own period, or the file's where that says to hold."""
    if outside == "hold":
        return min(first.use_from, weather.valid_from), max(last.use_to, weather.valid_to)
    return first.use_from, last.use_to


def outside_time(what: str, instant: datetime, use_from: datetime, use_to: datetime) -> OutOfRangeError:
    """Return the error for an instant at which nothing is forecast; to the second where the minute would hide it."""
    form = "%Y-%m-%d %H:%M"
    if instant.strftime(form) in (use_from.strftime(form), use_to.strftime(form)):
        form = "%Y-%m-%d %H:%M:%S"
    return OutOfRangeError(
        f"{instant.strftime(form)} UTC is outside the times of the {what}",
        expected=f"{use_from.strftime(form)} to {use_to.strftime(form)} UTC",
        hint="give the weather for that time",
    )
