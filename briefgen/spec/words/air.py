"""Short phrases of a weather file: a wind and a layer of cloud."""

from __future__ import annotations

import difflib
import re

from briefgen.model.weather import COVER_OKTAS, CloudLayer, Cover, Wind, wind_vector
from briefgen.units import QuantityError, quantity

WIND_EXPECTED = (
    'a true direction from which it blows and a speed, such as "140T/18 kt" or "140T/18 kt gusting 27 kt"; '
    'or "calm", or "variable/3 kt"'
)
CLOUD_EXPECTED = (
    'few, scattered, broken or overcast with the base above the field, such as "overcast 300 ft" or '
    '"scattered 2,200 ft, top 6,000 ft" (tops above mean sea level)'
)

_WIND = re.compile(r"(?:(\d{1,3})\s*(T|M|)|(variable))\s*/\s*(.+?)(?:\s+gusting\s+(.+))?", re.ASCII)
_CLOUD = re.compile(r"([a-z]+)\s+(.+?)(?:,\s*top\s+(.+?))?(?:\s+(CB|TCU))?")
_FULL_CIRCLE_DEG = 360


def wind(text: str) -> Wind:
    """Return the wind a phrase gives."""
    stripped = text.strip()
    if stripped == "calm":
        return Wind(0.0, 0.0)
    match = _WIND.fullmatch(stripped)
    if match is None:
        raise QuantityError(f"'{text}' is not a wind", expected=WIND_EXPECTED)
    direction, reference, variable, speed_text, gust_text = match.groups()
    speed = quantity(speed_text, "speed").si_value
    gust = quantity(gust_text, "speed").si_value if gust_text else None
    if gust is not None and gust <= speed:
        raise QuantityError(f"'{text}' gusts no stronger than it blows", expected="gusts above the mean wind")
    if variable:
        return Wind(0.0, 0.0, gust, speed)
    if reference != "T":
        hint = f'write "{direction}T/{speed_text}" if the direction is true; forecasts give true directions'
        raise QuantityError(f"'{text}' does not say that its direction is true", expected=WIND_EXPECTED, hint=hint)
    if int(direction) > _FULL_CIRCLE_DEG or len(direction) != len("360"):
        raise QuantityError(f"'{text}' has no direction there is", expected="three figures from 000 to 360")
    east, north = wind_vector(float(direction), speed)
    return Wind(east, north, gust)


def cloud_layer(text: str) -> CloudLayer:
    """Return the layer of cloud a phrase gives."""
    match = _CLOUD.fullmatch(text.strip())
    if match is None:
        raise QuantityError(f"'{text}' is not a layer of cloud", expected=CLOUD_EXPECTED)
    word, base_text, top_text, kind = match.groups()
    cover = sky_cover(word)
    base_m = quantity(base_text, "height").si_value
    top_m = quantity(top_text, "height").si_value if top_text else None
    if base_m < 0.0:
        raise QuantityError(f"'{text}' has its base below the field", expected=CLOUD_EXPECTED)
    return CloudLayer(cover, base_m, top_m, kind or "")


def sky_cover(word: str) -> Cover:
    """Return how much of the sky a word says is covered."""
    for cover in COVER_OKTAS:
        if cover == word:
            return cover
    near = difflib.get_close_matches(word, COVER_OKTAS, n=1)
    hint = f"did you mean '{near[0]}'?" if near else ""
    raise QuantityError(f"'{word}' is not a cover of cloud", expected="few, scattered, broken or overcast", hint=hint)
