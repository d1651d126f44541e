"""Winds between levels and between hours against an independent interpolator (scipy, class L, nothing published)."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta

import pytest

from briefgen.model.weather import Sounding, TemperatureLevel, Weather, WindLevel, wind_vector
from briefgen.weather.air import Sky
from tests.shared.published_rows import half_digit, rows

FT_M = 0.3048
MIDNIGHT = datetime(2027, 2, 17, tzinfo=UTC)
CASES = rows("wind_interpolation")


def sounding(hour: float, levels: list[tuple[float, float, float]]) -> Sounding:
    instant = MIDNIGHT + timedelta(hours=hour)
    winds = tuple(WindLevel(feet * FT_M, *wind_vector(from_deg, speed)) for feet, from_deg, speed in levels)
    temperatures = tuple(TemperatureLevel(feet * FT_M, 280.0) for feet, _, _ in levels)
    return Sounding("LX01", -16.0, 167.0, instant, instant, instant, winds, temperatures)


@pytest.mark.parametrize("row", CASES, ids=lambda row: row["id"])
def test_a_wind_between_levels_and_hours_is_the_vector_between_them(row: dict[str, str]) -> None:
    """Direction and speed as printed by the interpolator, to its last digit."""
    columns: dict[float, list[tuple[float, float, float]]] = {}
    for given in row["given"].split("; "):
        numbers = [float(number) for number in re.findall(r"\d+", given)]
        feet, hour = numbers[0], numbers[1] if " h " in given else 0.0
        columns.setdefault(hour, []).append((feet, numbers[-2], numbers[-1]))
    at = [float(number) for number in re.findall(r"[\d.]+", row["at"])]
    instant = MIDNIGHT + timedelta(hours=at[1] if len(at) > 1 else 0.0)
    hours = sorted(columns)
    weather = Weather(
        "made for the test", MIDNIGHT, MIDNIGHT, MIDNIGHT + timedelta(hours=hours[-1]), 200e3,
        tuple(sounding(hour, sorted(columns[hour])) for hour in hours),
    )  # fmt: skip

    found = Sky(weather).air_at(-16.0, 167.0, at[0] * FT_M, instant)

    speed = math.hypot(found.wind_east_m_per_s, found.wind_north_m_per_s)
    from_deg = math.degrees(math.atan2(-found.wind_east_m_per_s, -found.wind_north_m_per_s))
    assert speed == pytest.approx(float(row["speed"]), abs=half_digit(row["speed"]) + 1e-9)
    off = math.remainder(from_deg - float(row["direction_deg"]), 360.0)
    assert abs(off) <= half_digit(row["direction_deg"]) + 1e-9
