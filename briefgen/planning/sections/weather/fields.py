"""The weather at each field at its expected time: pressure, wind on the runways, ceiling and visibility against minima."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, figure, rests_on
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.field_uses import FieldUse
from briefgen.planning.sections.basis.groups import PLACES, WEATHER, rest_on_groups
from briefgen.planning.sections.weather.air import AirFigures
from briefgen.planning.sections.weather.field_states import WINDOW_SOURCE, FieldWeather, field_weather
from briefgen.planning.sections.weather.field_winds import RUNWAY_WINDS, FieldWind, RunwayWindFigures, UseLabels
from briefgen.weather.forecast import UNLIMITED_CEILING_M, minima_check
from briefgen.weather.surface import Ground

NO_CEILING = "none"
NOT_FORECAST = "not forecast"
LOWEST = f"lowest of all states forecast, temporary ones included, {WINDOW_SOURCE}"


class MinimaFigures(Record):
    """The lowest ceiling and visibility about the time of use, against the minima of the place."""

    def __init__(self, weather: FieldWeather) -> None:
        self.at, self.title, self._weather = f"weather.field.{weather.use.name}", weather.use.title, weather
        self.states_source = weather.states_source

    def _lowest(self, values: Sequence[float | None]) -> float | str:
        rests_on(self._weather.use.instant)
        rest_on_groups(WEATHER, PLACES)
        known = [value for value in values if value is not None]
        return min(known) if known and len(known) == len(values) else NOT_FORECAST

    @figure("%(title)s: lowest ceiling above the field", "ft", how=LOWEST, source="%(states_source)s")
    def ceiling(self) -> float | str:
        lowest = self._lowest([state.ceiling_m for state in self._weather.all_states])
        return NO_CEILING if lowest == UNLIMITED_CEILING_M else lowest

    @figure("%(title)s: lowest visibility", "km", how=LOWEST, decimals=1, source="%(states_source)s")
    def visibility(self) -> float | str:
        return self._lowest([state.visibility_m for state in self._weather.all_states])

    def _judged(self) -> None:
        if self._weather.use.place.minima is None:
            raise Absent("the place gives no minima")
        if self._weather.states is None:
            raise Absent("nothing is forecast to hold against the minima")
        rest_on_groups(PLACES)

    @figure("%(title)s: minimum ceiling", "ft", how="given with the place")
    def minimum_ceiling(self) -> float:
        self._judged()
        assert self._weather.use.place.minima is not None
        return self._weather.use.place.minima.ceiling_m

    @figure("%(title)s: minimum visibility", "km", how="given with the place", decimals=1)
    def minimum_visibility(self) -> float:
        self._judged()
        assert self._weather.use.place.minima is not None
        return self._weather.use.place.minima.visibility_m

    @figure(
        "%(title)s: minima", how=f"ceiling and visibility against the minima of the place, {WINDOW_SOURCE}",
        source="%(states_source)s",
    )  # fmt: skip
    def minima(self) -> str:
        one, minima, states = MinimaFigures, self._weather.use.place.minima, self._weather.states
        rests_on(self.ceiling, self.visibility, one.minimum_ceiling.or_none(self), one.minimum_visibility.or_none(self))
        rest_on_groups(WEATHER, PLACES)
        if minima is None or states is None:
            return "no minima given" if minima is None else NOT_FORECAST
        usual = minima_check(states.prevailing, minima)
        all_met = minima_check(self._weather.all_states, minima).met
        return "met" if all_met else "met, but not in temporary changes" if usual.met else "not met"


class FieldWeatherFigures(Record):
    """One use of a field in its weather."""

    def __init__(self, weather: FieldWeather, ground: Ground) -> None:
        self.weather = weather
        self.labels, self.air = UseLabels(weather), AirFigures(weather, ground)
        self.wind, self.minima = FieldWind(weather), MinimaFigures(weather)
        self.runways = tuple(
            RunwayWindFigures(weather, self.wind, self.labels, runway) for runway in weather.use.place.runways
        )

    def parts(self) -> Sequence[Record]:
        return [self.labels, self.air, self.wind, self.minima, *self.runways]


TIME = ColumnOf("time", "At", "UTC")
FIELDS = TableOf(
    "weather.fields",
    "Fields at their expected times",
    (
        column(UseLabels.field, "Field", through="labels"),
        column(UseLabels.role, "For", through="labels"),
        TIME,
        column(FieldWind.wind_from, "Wind from", through="wind"),
        column(FieldWind.wind_speed, "Wind", through="wind"),
        column(MinimaFigures.ceiling, "Ceiling", through="minima"),
        column(MinimaFigures.visibility, "Visibility", through="minima"),
        column(MinimaFigures.minima, "Minima", through="minima"),
        column(AirFigures.altimeter_setting, "Altimeter setting", through="air"),
        column(AirFigures.temperature, "Temperature", through="air"),
    ),
    note=f"Ceiling and visibility: the lowest expected, temporary changes included, {WINDOW_SOURCE}.",
)
AIR = TableOf(
    "weather.field_air",
    "Air at the fields",
    (
        column(UseLabels.field, "Field", through="labels"),
        column(UseLabels.role, "For", through="labels"),
        column(AirFigures.dew_point, "Dew point", through="air"),
        column(AirFigures.humidity, "Humidity", through="air"),
        column(AirFigures.pressure_altitude, "Pressure altitude", through="air"),
        column(AirFigures.density_altitude, "Density altitude", through="air"),
        column(AirFigures.cold_correction, "Add to circuit for cold", through="air"),
        column(AirFigures.carburettor_ice, "Carburettor ice", through="air"),
    ),
)


class FieldsWeather(Record):
    """The weather at every field of the plan."""

    def __init__(self, mission: Mission, uses: Sequence[FieldUse]) -> None:
        ground = Ground(mission.weather)
        self.uses = tuple(uses)
        self.fields = tuple(FieldWeatherFigures(field_weather(mission, ground, use), ground) for use in uses)

    def parts(self) -> Sequence[Record]:
        return self.fields

    def of_use(self, use: FieldUse) -> FieldWeatherFigures | None:
        """Return the weather of a use of a field, None for a use the plan does not have."""
        return next((one for one in self.fields if one.weather.use is use), None)


def write_fields(mission: Mission, uses: Sequence[FieldUse], writer: LedgerWriter) -> FieldsWeather:
    """Enter the weather at every field of the plan and its three tables."""
    found = FieldsWeather(mission, uses)
    writer.adopt(found)
    rows, air_rows, runway_rows = [], [], []
    for one in found.fields:
        use = one.weather.use
        rows.append(FIELDS.row(use.title, one, use.role, {TIME: use.time}))
        air_rows.append(AIR.row(use.title, one, use.role))
        runway_rows += [_runway_row(one, runway) for runway in one.runways]
    writer.tabulate(FIELDS.filled(rows))
    writer.tabulate(AIR.filled(air_rows))
    writer.tabulate(RUNWAY_WINDS.filled(runway_rows))
    return found


def _runway_row(field: FieldWeatherFigures, runway: RunwayWindFigures) -> Row:
    in_use = runway.runway.name == field.weather.use.runway.name
    return RUNWAY_WINDS.row(runway.title, runway, "in use" if in_use else "")
