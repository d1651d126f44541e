"""Single samples flown in full, by the very program that plans: what the replays are held against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from briefgen.errors import BriefgenError
from briefgen.model.performance import PowerSetting
from briefgen.model.plan import Phase
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.sortie import fly_sortie
from briefgen.replay.draws import Draws, Waves, plane
from briefgen.weather.air import AirAloft


class SampleSky(Sky):
    """The sky of one sample: the forecast and its errors."""

    def __init__(self, sky: Sky, draws: Draws, sample: int, begin: datetime, centre_deg: tuple[float, float]) -> None:
        self.__dict__.update(sky.__dict__)
        self._draws, self._sample, self._begin, self._centre = draws, np.array([sample]), begin, centre_deg

    def air(self, lat_deg: float, lon_deg: float, pressure_altitude_m: float, instant: datetime) -> AirAloft:
        """Return wind and temperature aloft."""
        found = super().air(lat_deg, lon_deg, pressure_altitude_m, instant)
        x, y = plane(np.array([lat_deg]), np.array([lon_deg]), self._centre)
        place = np.array([[x[0], y[0], pressure_altitude_m, (instant - self._begin).total_seconds()]])

        def error(waves: Waves | None) -> float:
            return 0.0 if waves is None else float(waves.at(self._sample, place)[0])

        return AirAloft(
            found.temperature_k + error(self._draws.warmer), found.wind_east_m_per_s + error(self._draws.east),
            found.wind_north_m_per_s + error(self._draws.north),
        )  # fmt: skip


class Thirsty:
    """The answers of an aircraft that burns by a factor more than her file says."""

    def __init__(self, performance: Any, factor: float) -> None:
        self._performance, self._factor = performance, factor

    def __getattr__(self, name: str) -> Any:
        return getattr(self._performance, name)

    def _more(self, setting: PowerSetting, factor: float) -> PowerSetting:
        return replace(setting, fuel_flow_kg_per_s=setting.fuel_flow_kg_per_s * factor)

    def cruise(self, *args: Any, **kwargs: Any) -> PowerSetting:
        """Return the setting that holds level flight."""
        return self._more(self._performance.cruise(*args, **kwargs), self._factor)

    def climb(self, *args: Any, **kwargs: Any) -> Any:
        """Return the climb."""
        state = self._performance.climb(*args, **kwargs)
        return replace(state, setting=self._more(state.setting, self._factor))

    def descent(self, *args: Any, **kwargs: Any) -> Any:
        """Return the descent."""
        state = self._performance.descent(*args, **kwargs)
        return replace(state, setting=self._more(state.setting, self._factor))

    def take_off_setting(self, *args: Any) -> PowerSetting:
        """Return the take-off setting."""
        return self._more(self._performance.take_off_setting(*args), self._factor)

    def ground_fuel_flow_kg_per_s(self, *args: Any) -> float:
        """Return the fuel flow on the ground [kg/s]."""
        return float(self._performance.ground_fuel_flow_kg_per_s(*args)) * self._factor

    def as_set(self, setting: PowerSetting) -> PowerSetting:
        """Return a setting as the gauges show it."""
        return self._more(self._performance.as_set(self._more(setting, 1.0 / self._factor)), self._factor)


@dataclass(frozen=True)
class Flight:
    """One sample flown: its phases, or why it could not be."""

    sample: int
    phases: tuple[Phase, ...]
    refused: str = ""


def flown_in_full(flown: Flown, draws: Draws, samples: Sequence[int], centre_deg: tuple[float, float]) -> list[Flight]:
    """Return some samples flown in full."""
    return [_one(flown, draws, sample, centre_deg) for sample in samples]


def _one(flown: Flown, draws: Draws, sample: int, centre_deg: tuple[float, float]) -> Flight:
    begin = flown.departure.off_blocks
    sky = SampleSky(flown.crew.sky, draws, sample, begin, centre_deg)
    crew = replace(flown.crew, sky=sky, performance=Thirsty(flown.crew.performance, float(draws.consumption[sample])))
    departure = replace(
        flown.departure, off_blocks=begin + timedelta(seconds=float(draws.delay_s[sample])),
        zero_fuel_mass_kg=flown.departure.zero_fuel_mass_kg + float(draws.heavier_kg[sample]),
    )  # fmt: skip
    try:
        return Flight(sample, fly_sortie(flown.mission, crew, departure, flown.paces))
    except BriefgenError as error:
        return Flight(sample, (), error.text().split("\n")[0])
