"""The bands of carburettor icing against the published sentences; the zones of the chart are not known as numbers."""

from __future__ import annotations

import re

from briefgen.weather.hazards import CarburettorIce, carburettor_ice, relative_humidity
from tests.shared.published_rows import rows

KELVIN_AT_0_DEGC = 273.15
A_LITTLE_K, A_LITTLE_RATIO = 0.1, 0.01
SENTENCES = {row["item"]: row["value"] for row in rows("carburettor_icing")}


def figures(item: str) -> tuple[float, float]:
    """Return the temperature [K] and the humidity ratio a sentence names."""
    degc = re.search(r"(-?\d+) degC", SENTENCES[item])
    percent = re.search(r"(\d+) percent", SENTENCES[item])
    assert degc is not None
    assert percent is not None
    return float(degc[1]) + KELVIN_AT_0_DEGC, float(percent[1]) / 100.0


def test_the_most_likely_band_ends_where_the_sentence_says() -> None:
    """FAA-H-8083-25 (seen in a quotation): below 21 degC with relative humidity above 80 percent."""
    temperature_k, humidity = figures("most likely band")

    inside = carburettor_ice(temperature_k - A_LITTLE_K, humidity + A_LITTLE_RATIO)
    too_warm = carburettor_ice(temperature_k + A_LITTLE_K, humidity + A_LITTLE_RATIO)
    too_dry = carburettor_ice(temperature_k - A_LITTLE_K, humidity - A_LITTLE_RATIO)
    assert (inside, too_warm, too_dry) == (CarburettorIce.LIKELY, CarburettorIce.POSSIBLE, CarburettorIce.POSSIBLE)


def test_the_possible_band_ends_where_the_sentence_says() -> None:
    """FAA-H-8083-25 (seen in a quotation): up to 38 degC with relative humidity as low as 50 percent."""
    temperature_k, humidity = figures("possible band")

    assert carburettor_ice(temperature_k, humidity) is CarburettorIce.POSSIBLE
    assert carburettor_ice(temperature_k + A_LITTLE_K, humidity) is CarburettorIce.OUTSIDE
    assert carburettor_ice(temperature_k, humidity - A_LITTLE_RATIO) is CarburettorIce.OUTSIDE


def test_moderate_icing_on_the_chart_is_inside_a_band() -> None:
    """Transport Canada chart as read in print: moderate icing at cruise power is never 'outside the bands'."""
    point = next(item for item in SENTENCES if item.startswith("chart point"))
    temperature, dew_point = (float(degc) + KELVIN_AT_0_DEGC for degc in re.findall(r"(\d+) degC", point))

    assert carburettor_ice(temperature, relative_humidity(temperature, dew_point)) is not CarburettorIce.OUTSIDE
