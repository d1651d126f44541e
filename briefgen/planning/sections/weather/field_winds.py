"""The wind at a field and on every runway of it."""

from __future__ import annotations

from briefgen.model.places import Runway
from briefgen.model.record import Absent, Record, figure, rests_on, working
from briefgen.model.tables import TableOf, column
from briefgen.planning.sections.basis.groups import PLACES, WEATHER, rest_on_groups
from briefgen.planning.sections.weather.field_states import WINDOW_SOURCE, FieldWeather, worst_wind
from briefgen.weather.hazards import wind_on_runway

AS_VECTOR = "interpolated in time as a vector between the entries for the field, else as forecast"
STRONGEST = f"strongest that any wind expected brings on runway %(runway)s, gusts included, {WINDOW_SOURCE}"


class FieldWind(Record):
    """The wind at a field at the time of use, and the worst that is expected about it on the runway in use."""

    def __init__(self, weather: FieldWeather) -> None:
        self.at, self.title, self._weather = f"weather.field.{weather.use.name}", weather.use.title, weather
        self.source, self.runway = weather.wind_source, weather.use.runway.name
        self.both = ", ".join(dict.fromkeys(one for one in (weather.wind_source, weather.states_source) if one))

    @figure("%(title)s: wind from", "degT", how=AS_VECTOR, source="%(source)s")
    def wind_from(self) -> float:
        rests_on(self._weather.use.instant)
        rest_on_groups(WEATHER, PLACES)
        if self._weather.wind.from_deg is None:
            raise Absent("the wind is calm or has no direction")
        return self._weather.wind.from_deg

    @figure("%(title)s: wind", "kt", how=AS_VECTOR, source="%(source)s")
    def wind_speed(self) -> float:
        rests_on(self._weather.use.instant)
        rest_on_groups(WEATHER, PLACES)
        return self._weather.wind.speed_m_per_s

    @working
    def read(self) -> None:
        """Read the wind, with its direction where it has one."""
        rests_on(self.wind_speed, FieldWind.wind_from.or_none(self))

    @figure("%(title)s: strongest crosswind", "kt", how=STRONGEST, source="%(both)s")
    def crosswind(self) -> float:
        rests_on(self.read)
        return worst_wind(self._weather).crosswind_m_per_s

    @figure("%(title)s: strongest tail wind", "kt", how=f"{STRONGEST}; a head wind is negative", source="%(both)s")
    def tailwind(self) -> float:
        rests_on(self.read)
        return -worst_wind(self._weather).headwind_m_per_s


class RunwayWindFigures(Record):
    """The wind on one runway of a field at the time of use."""

    def __init__(self, weather: FieldWeather, wind: FieldWind, labels: UseLabels, runway: Runway) -> None:
        self.at = f"weather.field.{weather.use.name}.runway_{runway.name.lower()}"
        self.title = f"{weather.use.title}, runway {runway.name}"
        self.how = f"component of the wind on {runway.heading_true_deg:.0f} degrees true"
        self.runway, self.labels, self._wind = runway, labels, wind
        self._parts = wind_on_runway(runway.heading_true_deg, weather.wind)

    @figure("Runway", how="given with the place")
    def name(self) -> str:
        return self.runway.name

    @figure("%(title)s: head wind, a tail wind negative", "kt", how="%(how)s")
    def headwind(self) -> float:
        rests_on(self._wind.read)
        return self._parts.mean_headwind_m_per_s

    @figure("%(title)s: crosswind", "kt", how="%(how)s")
    def crosswind(self) -> float:
        rests_on(self._wind.read)
        return abs(self._parts.mean_crosswind_m_per_s)

    @figure("%(title)s: crosswind from", how="%(how)s")
    def side(self) -> str:
        rests_on(self._wind.read)
        across = self._parts.mean_crosswind_m_per_s
        if across == 0.0:
            return "either side" if self._parts.crosswind_m_per_s else ""
        return "right" if across > 0.0 else "left"

    @figure("%(title)s: crosswind in gusts", "kt", how="%(how)s, gusts included")
    def strongest_crosswind(self) -> float:
        rests_on(self._wind.read)
        return self._parts.crosswind_m_per_s


class UseLabels(Record):
    """Which field, and what for."""

    def __init__(self, weather: FieldWeather) -> None:
        self.at, self._use = f"weather.field.{weather.use.name}", weather.use

    @figure("Field", how="from the route and alternates as written")
    def field(self) -> str:
        return f"{self._use.place.ident} {self._use.place.name}"

    @figure("Use", how="from the route and alternates as written")
    def role(self) -> str:
        return self._use.role


RUNWAY_WINDS = TableOf(
    "weather.runways",
    "Wind on the runways",
    (
        column(UseLabels.field, "Field", through="labels"),
        column(UseLabels.role, "For", through="labels"),
        column(RunwayWindFigures.name, "Runway", name="runway"),
        column(RunwayWindFigures.headwind, "Head wind"),
        column(RunwayWindFigures.crosswind, "Crosswind"),
        column(RunwayWindFigures.side, "From"),
        column(RunwayWindFigures.strongest_crosswind, "Strongest crosswind", name="strongest"),
    ),
)
