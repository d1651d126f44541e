"""Everything the weather file says about one use of one field, read and not yet printed."""

from __future__ import annotations

from datetime import timedelta

from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.model.mission import Mission
from briefgen.model.weather import ForecastGroup, SurfacePoint, Wind
from briefgen.planning.sections.basis.field_uses import FieldUse
from briefgen.weather.forecast import Expected, Outlook, forecast_for, outlook
from briefgen.weather.surface import Ground, Surface

# 14 CFR 91.169(b)(2)(i): the forecast is held against the minima from an hour before to an hour after the arrival.
WINDOW = timedelta(hours=1)
WINDOW_SOURCE = "an hour before to an hour after the expected time: 14 CFR 91.169(b)(2)"


@dataclass(frozen=True)
class FieldWeather:
    """One use of a field with everything the file says about it for that time."""

    use: FieldUse
    surface: Surface
    wind: Wind
    states: Outlook | None  # None: neither a forecast nor cloud and visibility for the whole window
    source: str  # of what is interpolated to the instant
    states_source: str

    @property
    def all_states(self) -> tuple[Expected, ...]:
        """Every state expected around the time of use, temporary ones included."""
        return (*self.states.prevailing, *self.states.temporary) if self.states else ()


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
    wind = surface.wind or next((state.wind for state in (states.prevailing if states else ()) if state.wind), None)
    if wind is None or surface.temperature_k is None:
        raise OutOfRangeError(
            f"no {'wind' if wind is None else 'temperature'} for the ground at {ident} at {use.instant:%d %H:%M} UTC",
            where=weather.file,
            expected="wind and temperature at every field of the plan, before and after its expected time",
        )
    return FieldWeather(use, surface, wind, states, ", ".join(surface.sources), ", ".join(dict.fromkeys(sources)))


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
