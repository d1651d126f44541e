"""Everything the weather file says about one use of one field, read and not yet printed."""

from __future__ import annotations

from datetime import timedelta

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.kernel.wind import RunwayWind
from briefgen.model.mission import Mission
from briefgen.model.weather import ForecastGroup, SurfacePoint, Wind
from briefgen.planning.sections.basis.field_uses import FieldUse
from briefgen.weather.forecast import Expected, Outlook, forecast_for, outlook
from briefgen.weather.hazards import wind_on_runway
from briefgen.weather.surface import Ground, Surface

# 14 CFR 91.169(b)(2)(i): the forecast is held against the minima from an hour before to an hour after the arrival.
WINDOW = timedelta(hours=1)
WINDOW_SOURCE = "an hour before to an hour after the expected time: 14 CFR 91.169(b)(2)"


@dataclass(frozen=True)
class FieldWeather:
    """One use of a field with everything the file says about it for that time.

    An observation never outlives its use where a forecast covers the hour: wind, cloud, visibility and rain are then the
    forecast's, though the file says to hold the last entry; temperature and pressure, which no forecast gives, are held.
    """

    use: FieldUse
    surface: Surface
    wind: Wind  # at the time of use
    states: Outlook | None  # None: neither a forecast nor cloud and visibility for the whole window
    source: str  # of what is interpolated to the instant
    wind_source: str
    states_source: str

    @property
    def all_states(self) -> tuple[Expected, ...]:
        """Every state expected around the time of use, temporary ones included."""
        return (*self.states.prevailing, *self.states.temporary) if self.states else ()

    @property
    def winds(self) -> tuple[Wind, ...]:
        """Every wind of the period of use: that at its time, and every one expected around it."""
        return (self.wind, *(state.wind for state in self.all_states if state.wind is not None))

    @property
    def present(self) -> tuple[str, ...]:
        """The weather in the coded words: observed where that is in use, and all that is expected around the time."""
        words = () if self.outlived else self.surface.weather
        return tuple(dict.fromkeys((*words, *(word for state in self.all_states for word in state.weather))))

    @property
    def outlived(self) -> bool:
        """Whether a forecast speaks in place of an observation that is no longer in use."""
        return self.surface.held and self.states is not None


def worst_wind(weather: FieldWeather) -> RunwayWind:
    """Return the wind on the runway in use: the means of its time, the worst of the period of use, gusts included."""
    return wind_on_runway(weather.use.runway.heading_true_deg, *weather.winds)


def field_weather(mission: Mission, ground: Ground, use: FieldUse) -> FieldWeather:
    """Return the weather of one use of a field.

    Raises:
        OutOfRangeError: The file gives no wind or temperature at the field for that time.
    """
    weather, ident = mission.weather, use.place.ident
    try:
        surface = ground.surface_at(ident, use.instant)
    except OutOfRangeError as error:
        raise error.at(use.title) from error
    states, sources = _states(mission, ground, use)
    wind, wind_sources = surface.wind, surface.sources
    if wind is None or (surface.held and states is not None):
        wind, wind_sources = _forecast_wind(mission, use, states) or wind, sources
    if wind is None or surface.temperature_k is None:
        raise OutOfRangeError(
            f"no {'wind' if wind is None else 'temperature'} for the ground at {ident} at {use.instant:%d %H:%M} UTC",
            where=weather.file,
            expected="wind and temperature at every field of the plan, before and after its expected time",
        )
    return FieldWeather(
        use, surface, wind, states, ", ".join(surface.sources), ", ".join(dict.fromkeys(wind_sources)),
        ", ".join(dict.fromkeys(sources)),
    )  # fmt: skip


def _forecast_wind(mission: Mission, use: FieldUse, states: Outlook | None) -> Wind | None:
    """Return the wind the forecast expects at the time of use, else the first of those about it."""
    forecast = forecast_for(mission.weather, use.place.ident, use.instant, use.instant)
    now = outlook(forecast, use.instant, use.instant).prevailing if forecast is not None else ()
    expected = (*reversed(now), *(states.prevailing if states else ()))
    return next((state.wind for state in expected if state.wind is not None), None)


def _states(mission: Mission, ground: Ground, use: FieldUse) -> tuple[Outlook | None, tuple[str, ...]]:
    """Return what is expected around the time of use: by the aerodrome forecast, else by the entries for the ground."""
    start, end = use.instant - WINDOW, use.instant + WINDOW
    forecast = forecast_for(mission.weather, use.place.ident, start, end)
    if forecast is not None:
        return outlook(forecast, start, end), (forecast.source,)
    try:
        entries = ground.entries_between(use.place.ident, start, end)
    except OutOfRangeError:
        return None, ()
    return Outlook(tuple(_state(point) for point in entries), ()), tuple(point.source for point in entries)


def _state(point: SurfacePoint) -> Expected:
    group = ForecastGroup("base", point.instant, point.instant, text=point.raw or "as given for the ground")
    return Expected(point.wind, point.visibility_m, point.clouds, point.vertical_visibility_m, point.weather, group)
