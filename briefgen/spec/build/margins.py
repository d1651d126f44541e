"""Weather worse than forecast, as a mission asks for: warmer air everywhere, more wind against her on every leg."""

from __future__ import annotations

from dataclasses import replace

from briefgen.model.weather import SurfacePoint, Weather
from briefgen.spec.tree.reader import Reader


def with_margins(weather: Weather, mission: Reader) -> Weather:
    """Return the weather with what a mission adds to it.

    Warmer air is warmer aloft and on the ground by the same difference [K]; dew points stay, and the freezing level is then
    found from the temperatures, not taken from the file. More head wind [m/s] is added along every line she flies, not on the
    ground: there the wind is that of the runway.
    """
    warmer_k, against_m_per_s = mission.si_or_none("warmer") or 0.0, mission.si_or_none("more head wind") or 0.0
    if warmer_k:
        weather = replace(
            weather,
            soundings=tuple(
                replace(one, temperatures=tuple(replace(t, temperature_k=t.temperature_k + warmer_k) for t in one.temperatures))
                for one in weather.soundings
            ),
            surface=tuple(_warmed(one, warmer_k) for one in weather.surface),
            freezing_levels=(),
        )  # fmt: skip
    return replace(weather, more_head_wind_m_per_s=against_m_per_s) if against_m_per_s else weather


def _warmed(point: SurfacePoint, warmer_k: float) -> SurfacePoint:
    return point if point.temperature_k is None else replace(point, temperature_k=point.temperature_k + warmer_k)
