"""A checked weather file to Weather: what each list says, with every fault of meaning at its place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from itertools import pairwise
from typing import Any, TypeVar

from briefgen.model.places import Place
from briefgen.model.weather import (
    AerodromeForecast,
    CloudLayer,
    CloudSheet,
    FreezingLevel,
    Sounding,
    SurfacePoint,
    TemperatureLevel,
    Weather,
    Wind,
    WindLevel,
)
from briefgen.spec.coded.forecast import aerodrome_forecast
from briefgen.spec.coded.groups import CodedTextError
from briefgen.spec.coded.observation import observation
from briefgen.spec.coded.winds import winds_aloft
from briefgen.spec.tree.check import Checked, nearest
from briefgen.spec.tree.load import KeyPath
from briefgen.spec.tree.shape import path_text
from briefgen.spec.words.coordinates import Position, position
from briefgen.units import Quantity, QuantityError, to_si

# A wind of at most 6 kt may be reported as variable: WMO-No. 306, FM 15. Aloft it then counts as calm.
LIGHT_KT = 6.0

Located = tuple[str, float, float]
_T = TypeVar("_T")


def build_weather(checked: Checked, places: Mapping[str, Place]) -> Weather | None:
    """Return the weather of a file; None when the file has faults, which then stand in ``checked.faults``."""
    if checked.faults:
        return None
    reader = _Reader(checked, places)
    weather = reader.weather()
    return None if checked.faults else weather


class _Reader:
    """Reads one file; a part with a fault is left out of the result, and the fault noted."""

    def __init__(self, checked: Checked, places: Mapping[str, Place]) -> None:
        self._checked = checked
        self._document = checked.document
        self._places = places
        assert isinstance(checked.document.data, dict)
        self._data: dict[str, Any] = checked.document.data

    def weather(self) -> Weather:
        issued = self._instant(("issued",))
        valid_from, valid_to = self._period(("valid",))
        soundings = (*self._each("winds aloft", self._sounding), *self._bulletins(issued))
        surface = (*self._each("observations", self._observation), *self._each("surface", self._surface_point))
        self._refuse_twice([(one.ident, one.lat_deg, one.lon_deg, one.instant, one.source) for one in soundings])
        self._refuse_twice([(one.ident, one.lat_deg, one.lon_deg, one.instant, one.source) for one in surface])
        return Weather(
            name=str(self._data["name"]),
            issued=issued,
            valid_from=valid_from,
            valid_to=valid_to,
            reach_m=self._si(("reach",)),
            soundings=soundings,
            surface=surface,
            forecasts=self._each("aerodrome forecasts", self._forecast),
            sheets=self._each("cloud sheets", self._sheet),
            freezing_levels=self._each("freezing levels", self._freezing_level),
            outside_altitude=self._data.get("outside altitudes", "error"),
            outside_time=self._data.get("outside times", "error"),
            remarks=str(self._data.get("remarks", "")),
            file=self._document.file,
        )

    # --- plain access ----------------------------------------------------------------------------------------------

    def _each(self, key: str, read: Any) -> tuple[Any, ...]:
        found = (read((key, index), item) for index, item in enumerate(self._data.get(key, ())))
        return tuple(one for one in found if one is not None)

    def _field(self, path: KeyPath, kind: type[_T]) -> _T:
        value = self._checked.fields[path]
        assert isinstance(value, kind), path
        return value

    def _si(self, path: KeyPath) -> float:
        return self._field(path, Quantity).si_value

    def _optional_si(self, path: KeyPath) -> float | None:
        return self._si(path) if path in self._checked.fields else None

    def _instant(self, path: KeyPath) -> datetime:
        return self._field(path, datetime)

    def _period(self, path: KeyPath) -> tuple[datetime, datetime]:
        start, end = self._instant((*path, "from")), self._instant((*path, "to"))
        if end <= start:
            self._fault((*path, "to"), "the end does not come after the beginning", f"after {start:%Y-%m-%d %H:%MZ}")
        return start, end

    def _use(self, path: KeyPath, instant: datetime) -> tuple[datetime, datetime]:
        if (*path, "use", "from") not in self._checked.fields:
            return instant, instant
        start, end = self._period((*path, "use"))
        if not start <= instant <= end:
            self._fault((*path, "time"), "the time lies outside the period of use", "a time within 'use'")
        return start, end

    def _fault(self, path: KeyPath, problem: str, expected: str, hint: str = "") -> None:
        self._checked.faults.append(self._document.fault(path, f"{path_text(path)}: {problem}", expected, hint))

    def _source(self, path: KeyPath) -> str:
        return f"{self._document.file}:{self._document.mark(path).line}"

    def _point(self, path: KeyPath, item: Mapping[str, Any]) -> Located | None:
        if ("at" in item) == ("position" in item):
            self._fault(path, "give either 'at' or 'position'", "at: a place of the places files, or position: …")
            return None
        if "at" in item:
            return self._place((*path, "at"), str(item["at"]))
        position = self._field((*path, "position"), Position)
        return str(item["position"]), position.lat_deg, position.lon_deg

    def _place(self, path: KeyPath, ident: str) -> Located | None:
        place = self._places.get(ident)
        if place is None:
            known = ", ".join(self._places)
            self._fault(path, f"'{ident}' is not a place", f"one of {known}", nearest(ident, list(self._places)))
            return None
        return place.ident, place.lat_deg, place.lon_deg

    def _refuse_twice(self, points: list[tuple[str, float, float, datetime, str]]) -> None:
        first: dict[tuple[str, float, float, datetime], str] = {}
        for ident, lat_deg, lon_deg, instant, source in points:
            key = (ident, lat_deg, lon_deg, instant)
            if key in first:
                line = int(source.rsplit(":", 1)[1])
                fault = self._document.fault(
                    (), f"{ident} has two entries for {instant:%Y-%m-%d %H:%MZ}", "one of them"
                )
                self._checked.faults.append(replace(fault, line=line, column=1, hint=f"the other is at {first[key]}"))
            first.setdefault(key, source)

    # --- winds and temperatures aloft ------------------------------------------------------------------------------

    def _sounding(self, path: KeyPath, item: Mapping[str, Any]) -> Sounding | None:
        point = self._point(path, item)
        instant = self._instant((*path, "time"))
        use_from, use_to = self._use(path, instant)
        winds: list[WindLevel] = []
        temperatures: list[TemperatureLevel] = []
        altitudes: list[float] = []  # or pressures below zero: both rise with height
        by_pressure: set[bool] = set()
        for index, level in enumerate(item["levels"]):
            at = (*path, "levels", index)
            if ("altitude" in level) == ("pressure" in level):
                self._fault(at, "give either the altitude or the pressure of the level", "altitude: … or pressure: …")
                continue
            altitude_m = self._optional_si((*at, "altitude"))
            pressure_pa = self._optional_si((*at, "pressure"))
            by_pressure.add(pressure_pa is not None)
            altitudes.append(altitude_m if altitude_m is not None else -(pressure_pa or 0.0))
            if "wind" in level:
                wind = self._field((*at, "wind"), Wind)
                if (wind.variable_m_per_s or 0.0) > to_si(LIGHT_KT, "kt"):
                    self._fault(
                        (*at, "wind"), "a wind without a direction", "a direction, or a light wind: at most 6 kt"
                    )
                winds.append(WindLevel(altitude_m, wind.east_m_per_s, wind.north_m_per_s, pressure_pa))
            if "temperature" in level:
                temperatures.append(TemperatureLevel(altitude_m, self._si((*at, "temperature")), pressure_pa))
        self._check_levels(path, by_pressure, altitudes)
        if not winds or not temperatures:
            self._fault(path, "the levels give no wind or no temperature", "at least one of each")
        if point is None:
            return None
        return Sounding(*point, instant, use_from, use_to, tuple(winds), tuple(temperatures), self._source(path))

    def _check_levels(self, path: KeyPath, by_pressure: set[bool], altitudes: list[float]) -> None:
        if len(by_pressure) > 1:
            self._fault(
                (*path, "levels"), "altitudes and pressures are mixed", "all levels by altitude, or all by pressure"
            )
        elif not all(low < high for low, high in pairwise(altitudes)):
            self._fault((*path, "levels"), "the levels are not in order", "the lowest level first, each one once")

    def _bulletins(self, issued: datetime) -> list[Sounding]:
        found: list[Sounding] = []
        for index, item in enumerate(self._data.get("winds aloft as issued", ())):
            path: KeyPath = ("winds aloft as issued", index)
            try:
                found.extend(self._bulletin(path, item, issued))
            except CodedTextError as error:
                self._coded_fault((*path, "text"), error)
        return found

    def _bulletin(self, path: KeyPath, item: Mapping[str, Any], issued: datetime) -> list[Sounding]:
        decoded = winds_aloft(str(item["text"]), issued)
        grounds = {
            str(ground["station"]): (*path, "at the ground", number)
            for number, ground in enumerate(item.get("at the ground", ()))
        }
        for what, stations in (("stations", item.get("stations", {})), ("at the ground", grounds)):
            for station in set(stations) - set(decoded.winds):
                expected = "one of " + ", ".join(decoded.winds)
                self._fault((*path, what), f"'{station}' is not a station of the text", expected)
        found = []
        for station, winds in decoded.winds.items():
            point = self._station(path, station, item.get("stations", {}), decoded.lines[station])
            if point is None:
                continue
            temperatures = decoded.temperatures[station]
            if station in grounds:
                winds, temperatures = self._from_the_ground(grounds[station], winds, temperatures)
            line = self._document.mark((*path, "text")).line + 1 + decoded.lines[station]
            use = (decoded.valid, decoded.use_from, decoded.use_to)
            found.append(Sounding(*point, *use, winds, temperatures, f"{self._document.file}:{line}"))
        return found

    def _station(self, path: KeyPath, station: str, names: Mapping[str, str], line: int) -> Located | None:
        """Return the point a station of a bulletin stands for: as 'stations' says, else the place of its name."""
        if station in names:
            at = (*path, "stations", station)
            if not names[station][:1].isdigit():
                return self._place(at, names[station])
            try:
                point = position(names[station])
            except QuantityError as error:
                self._fault(at, error.problem, error.expected, error.hint)
                return None
            return station, point.lat_deg, point.lon_deg
        if station in self._places:
            return self._place(path, station)
        unknown = CodedTextError(
            f"the station {station} is not a place",
            expected=f"one of {', '.join(self._places)}",
            hint="say in 'stations' which place it stands for",
            line=line,
        )
        self._coded_fault((*path, "text"), unknown)
        return None

    def _from_the_ground(
        self, path: KeyPath, winds: tuple[WindLevel, ...], temperatures: tuple[TemperatureLevel, ...]
    ) -> tuple[tuple[WindLevel, ...], tuple[TemperatureLevel, ...]]:
        altitude_m, wind = self._si((*path, "altitude")), self._field((*path, "wind"), Wind)
        lowest_m = min(winds[0].pressure_altitude_m or 0.0, temperatures[0].pressure_altitude_m or 0.0)
        if altitude_m >= lowest_m:
            self._fault((*path, "altitude"), "the ground is not below the lowest level of the text", "a lower altitude")
        ground = WindLevel(altitude_m, wind.east_m_per_s, wind.north_m_per_s)
        return (ground, *winds), (TemperatureLevel(altitude_m, self._si((*path, "temperature"))), *temperatures)

    # --- the ground ------------------------------------------------------------------------------------------------

    def _surface_point(self, path: KeyPath, item: Mapping[str, Any]) -> SurfacePoint | None:
        point = self._point(path, item)
        instant = self._instant((*path, "time"))
        use_from, use_to = self._use(path, instant)
        temperature_k = self._optional_si((*path, "temperature"))
        dew_point_k = self._optional_si((*path, "dew point"))
        if temperature_k is not None and dew_point_k is not None and dew_point_k > temperature_k:
            self._fault((*path, "dew point"), "the dew point is above the temperature", "at most the temperature")
        clouds = None
        if "cloud" in item:
            clouds = tuple(self._field((*path, "cloud", n), CloudLayer) for n in range(len(item["cloud"])))
        if point is None:
            return None
        return SurfacePoint(
            *point,
            instant,
            use_from,
            use_to,
            altimeter_setting_pa=self._optional_si((*path, "altimeter setting")),
            wind=self._field((*path, "wind"), Wind) if "wind" in item else None,
            temperature_k=temperature_k,
            dew_point_k=dew_point_k,
            visibility_m=self._optional_si((*path, "visibility")),
            clouds=clouds,
            source=self._source(path),
        )

    def _observation(self, path: KeyPath, text: str) -> SurfacePoint | None:
        try:
            found = observation(text, self._instant(("issued",)), 0.0, 0.0, self._source(path))
        except CodedTextError as error:
            self._coded_fault(path, error)
            return None
        point = self._place(path, found.ident)
        return replace(found, lat_deg=point[1], lon_deg=point[2]) if point else None

    def _forecast(self, path: KeyPath, text: str) -> AerodromeForecast | None:
        try:
            found = aerodrome_forecast(text, self._instant(("issued",)), self._source(path))
        except CodedTextError as error:
            self._coded_fault(path, error)
            return None
        return found if self._place(path, found.ident) else None

    def _coded_fault(self, path: KeyPath, error: CodedTextError) -> None:
        """Note a fault at its own line of a text in a block, which begins below the sign '|'."""
        fault = self._document.fault(path, f"{path_text(path)}: {error.problem}", error.expected, error.hint)
        in_block = "\n" in self._document.texts.get(path, "")
        self._checked.faults.append(replace(fault, line=fault.line + 1 + error.line) if in_block else fault)

    # --- cloud and freezing level ----------------------------------------------------------------------------------

    def _sheet(self, path: KeyPath, item: Mapping[str, Any]) -> CloudSheet | None:
        point = self._point(path, item)
        start, end = self._period(path)
        base_m, top_m = self._si((*path, "base")), self._si((*path, "top"))
        if top_m <= base_m:
            self._fault((*path, "top"), "the top is not above the base", "a top above the base")
        if point is None:
            return None
        _, lat_deg, lon_deg = point
        radius_m = self._si((*path, "radius"))
        name, cover = str(item["name"]), item["cover"]
        return CloudSheet(name, lat_deg, lon_deg, radius_m, cover, base_m, top_m, start, end, self._source(path))

    def _freezing_level(self, path: KeyPath, item: Mapping[str, Any]) -> FreezingLevel:
        start, end = self._period(path)
        return FreezingLevel(self._si((*path, "altitude")), start, end, self._source(path))
