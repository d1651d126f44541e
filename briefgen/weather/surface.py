"""The weather at the ground: at a place of the weather file, and the altimeter setting anywhere between them."""

from __future__ import annotations

import math
from bisect import bisect_right
from datetime import datetime
from functools import lru_cache
from typing import NamedTuple

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.model.weather import CloudLayer, SurfacePoint, Weather, Wind
from briefgen.weather.air import outside_time
from briefgen.weather.points import PointSet

_CACHED_SETTINGS = 4096  # a plan asks for a few thousand, every other of them again


@dataclass(frozen=True)
class Surface:
    """The weather at a place and instant, with the lines it came from; None is 'not given for that time'.

    Pressure, temperatures and wind are interpolated between the entries of the place; the wind as a vector, but with
    the stronger gust and any spread of direction, and as variable with the stronger of both if either is. Visibility,
    weather and cloud are the earlier entry's. ``held`` says that no entry is in use at that time: it is held beyond it.
    """

    ident: str
    instant: datetime
    altimeter_setting_pa: float | None
    wind: Wind | None
    temperature_k: float | None
    dew_point_k: float | None
    visibility_m: float | None
    clouds: tuple[CloudLayer, ...] | None
    weather: tuple[str, ...]
    sources: tuple[str, ...]
    held: bool = False


class _Having(NamedTuple):
    """The entries of a place that have one field, in order of time, and from when to when they may be used."""

    series: list[SurfacePoint]
    instants: list[datetime]
    use_from: datetime
    use_to: datetime


class Ground:
    """The surface weather of one file, made ready for many questions."""

    def __init__(self, weather: Weather) -> None:
        self._weather = weather
        self._series: dict[str, list[SurfacePoint]] = {}
        for point in sorted(weather.surface, key=lambda one: one.instant):
            self._series.setdefault(point.ident, []).append(point)
        self._with_setting = [
            ident
            for ident, points in self._series.items()
            if any(one.altimeter_setting_pa is not None for one in points)
        ]
        self._sets: dict[tuple[str, ...], PointSet] = {}
        self._with: dict[tuple[str, str], _Having] = {}
        self._settings = lru_cache(maxsize=_CACHED_SETTINGS)(self._altimeter_setting)

    def surface_at(self, ident: str, instant: datetime) -> Surface:
        """Return the weather at a place of the file.

        Raises:
            OutOfRangeError: The file has no entry for the place, or none for that time.
        """
        if ident not in self._series:
            listed = ", ".join(self._series) or "none"
            raise OutOfRangeError(f"the weather gives nothing for the ground at {ident}", expected=f"one of {listed}")
        early, late, fraction = self._bracket(ident, instant, "ident")
        return Surface(
            ident,
            instant,
            self._value(ident, instant, "altimeter_setting_pa"),
            self._wind(ident, instant),
            self._value(ident, instant, "temperature_k"),
            self._value(ident, instant, "dew_point_k"),
            early.visibility_m,
            early.clouds,
            early.weather,
            tuple(dict.fromkeys(point.source for point in (early, late) if point is early or fraction)),
            not self._in_use(ident, instant),
        )

    def _in_use(self, ident: str, instant: datetime) -> bool:
        """Return whether the entries of a place speak for an instant of themselves, without being held beyond their use."""
        series = self._series[ident]
        return series[0].use_from <= instant <= max(point.use_to for point in series)

    def entries_between(self, ident: str, start: datetime, end: datetime) -> tuple[SurfacePoint, ...]:
        """Return the entries of a place that speak for a period: the last before it and all within it.

        Raises:
            OutOfRangeError: The file has nothing for the place, or not for the whole period.
        """
        first = self.surface_at(ident, start)
        self.surface_at(ident, end)
        series = self._series[ident]
        return tuple(point for point in series if point.source in first.sources[:1] or start < point.instant <= end)

    def altimeter_setting_at(self, lat_deg: float, lon_deg: float, instant: datetime) -> float:
        """Return the altimeter setting [Pa] at a position, weighed like the air aloft among the places that have one.

        A place without a setting for that time takes no part.

        Raises:
            OutOfRangeError: No place has a setting for that time, or the position is outside their area and reach.
        """
        return self._settings(lat_deg, lon_deg, instant)

    def _altimeter_setting(self, lat_deg: float, lon_deg: float, instant: datetime) -> float:
        settings = {}
        for ident in self._with_setting:
            setting_pa = self._value(ident, instant, "altimeter_setting_pa")
            if setting_pa is not None:
                settings[ident] = setting_pa
        if not settings:
            raise outside_time("altimeter settings", instant, self._weather.valid_from, self._weather.valid_to)
        names = tuple(settings)
        if names not in self._sets:
            points = tuple((name, self._series[name][0].lat_deg, self._series[name][0].lon_deg) for name in names)
            self._sets[names] = PointSet(points, self._weather.reach_m)
        weights = self._sets[names].weights(lat_deg, lon_deg)
        return math.fsum(weight * settings[names[index]] for index, weight in weights)

    def _value(self, ident: str, instant: datetime, name: str) -> float | None:
        try:
            early, late, fraction = self._bracket(ident, instant, name)
        except OutOfRangeError:
            return None
        first: float = getattr(early, name)
        second: float = getattr(late, name)
        return first + (second - first) * fraction

    def _wind(self, ident: str, instant: datetime) -> Wind | None:
        try:
            early, late, fraction = self._bracket(ident, instant, "wind")
        except OutOfRangeError:
            return None
        first, second = early.wind, late.wind
        assert first is not None
        assert second is not None
        if fraction == 0.0:
            return first
        gusts = [gust for gust in (first.gust_m_per_s, second.gust_m_per_s) if gust is not None]
        gust = max(gusts) if gusts else None
        if first.variable_m_per_s is not None or second.variable_m_per_s is not None:
            return Wind(0.0, 0.0, gust, variable_m_per_s=max(first.speed_m_per_s, second.speed_m_per_s))
        spread = first if first.spread_from_deg is not None else second
        return Wind(
            first.east_m_per_s + (second.east_m_per_s - first.east_m_per_s) * fraction,
            first.north_m_per_s + (second.north_m_per_s - first.north_m_per_s) * fraction,
            gust,
            spread_from_deg=spread.spread_from_deg,
            spread_to_deg=spread.spread_to_deg,
        )

    def _bracket(self, ident: str, instant: datetime, name: str) -> tuple[SurfacePoint, SurfacePoint, float]:
        """Return the entries before and after an instant that have the field named, and the fraction of the way."""
        series, instants, use_from, use_to = self._having(ident, name)
        if not use_from <= instant <= use_to:
            raise outside_time(f"surface weather at {ident}", instant, use_from, use_to)
        index = bisect_right(instants, instant)
        if index == 0:
            return series[0], series[0], 0.0
        if index == len(series):
            return series[-1], series[-1], 0.0
        early, late = series[index - 1], series[index]
        return early, late, (instant - early.instant) / (late.instant - early.instant)

    def _having(self, ident: str, name: str) -> _Having:
        """Return the entries of a place that have the field named: filtered once, asked in every step.

        Raises:
            OutOfRangeError: None has it.
        """
        found = self._with.get((ident, name))
        if found is None:
            series = [point for point in self._series[ident] if getattr(point, name) is not None]
            if not series:
                raise OutOfRangeError(f"the weather does not give that for {ident}")
            use_from, use_to = series[0].use_from, series[-1].use_to
            if self._weather.outside_time == "hold":
                use_from, use_to = min(use_from, self._weather.valid_from), max(use_to, self._weather.valid_to)
            found = _Having(series, [point.instant for point in series], use_from, use_to)
            self._with[ident, name] = found
        return found
