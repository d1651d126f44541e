"""Short phrases of a mission: how a leg is cruised, on what a height is flown, how large a piece of load is."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass

from briefgen.model.mission import Height
from briefgen.model.performance import (
    BestEndurance,
    BestRange,
    GivenSetting,
    IndicatedAirspeed,
    LongRange,
    PercentPower,
    SpeedTarget,
    TrueAirspeed,
)
from briefgen.units import Quantity, QuantityError, any_quantity, quantity, to_si

CRUISE_EXPECTED = (
    'a way to cruise: "long range", "best range", "best endurance", "150 mph indicated", "180 kt true", "55 % power" '
    'or "1,900 rpm, 28 inHg, lean"'
)
ALTITUDE_EXPECTED = (
    'an altitude to fly: "8,500 ft" on the altimeter setting, "FL 085" or "8,500 ft pressure" on the standard setting, '
    '"900 ft above field" or "500 ft above overcast"'
)
FROM_TERRAIN = "from terrain"
SAFE_ALTITUDE_EXPECTED = f'an altitude such as "3,400 ft", or "{FROM_TERRAIN}"'
SIZE_EXPECTED = 'length x width x height with one unit, such as "96 x 60 x 48 in"'

PARAMETER_EXPECTED = "a quantity with its unit, a number, or a word"
_WORDS: dict[str, SpeedTarget] = {
    "long range": LongRange(),
    "best range": BestRange(),
    "best endurance": BestEndurance(),
}
_REFERENCES = {" above field": "above field", " above overcast": "above overcast", " pressure": "pressure"}
_SIZE = re.compile(r"([\d.,]+)\s*[x×]\s*([\d.,]+)\s*[x×]\s*([\d.,]+)\s+(\S.*)")
_FULL_POWER = 1.0


@dataclass(frozen=True, slots=True)
class Size:
    """The box around a piece of load."""

    length_m: float
    width_m: float
    height_m: float


def cruise(text: str) -> SpeedTarget:
    """Return what speed or power a phrase asks for."""
    stripped = text.strip()
    if stripped in _WORDS:
        return _WORDS[stripped]
    if stripped.endswith("% power"):
        ratio = quantity(stripped.removesuffix(" power").strip(), "percentage").si_value
        if not 0.0 < ratio <= _FULL_POWER:
            raise QuantityError(f"'{text}' is not a part of the rated power", expected="more than 0 %, at most 100 %")
        return PercentPower(ratio)
    if "rpm" in stripped:
        return _setting(stripped, text)
    if re.match(r"[-+.]?\d", stripped):
        return _speed(stripped)
    near = difflib.get_close_matches(stripped, _WORDS, n=1)
    hint = f"did you mean '{near[0]}'?" if near else ""
    raise QuantityError(f"'{text}' is not a way to cruise", expected=CRUISE_EXPECTED, hint=hint)


def _speed(text: str) -> SpeedTarget:
    try:
        speed = quantity(text, "airspeed")
    except QuantityError as error:
        raise QuantityError(error.problem, expected=CRUISE_EXPECTED, hint=error.hint) from error
    if speed.si_value <= 0.0:
        raise QuantityError(f"'{text}' is no speed to fly", expected=CRUISE_EXPECTED)
    if speed.qualifier == "indicated":
        return IndicatedAirspeed(speed.si_value)
    if speed.qualifier == "true":
        return TrueAirspeed(speed.si_value)
    raise QuantityError(f"'{text}' cannot be flown by", expected="an indicated or a true airspeed")


def _setting(stripped: str, text: str) -> SpeedTarget:
    parts = [part.strip() for part in re.split(r",\s+", stripped)]
    if len(parts) not in (2, 3) or (len(parts) == 3 and parts[2] not in ("lean", "rich")):
        expected = 'engine speed, manifold pressure and, if wanted, the mixture: "1,900 rpm, 28 inHg, lean"'
        raise QuantityError(f"'{text}' is not a power setting", expected=expected)
    speed = quantity(parts[0], "engine speed").si_value
    pressure = quantity(parts[1], "pressure").si_value
    if len(parts) == 2:
        return GivenSetting(speed, pressure)
    return GivenSetting(speed, pressure, "lean" if parts[2] == "lean" else "rich")


def flown_altitude(text: str) -> Height:
    """Return a height and from what it is counted."""
    stripped = text.strip()
    for ending, reference in _REFERENCES.items():
        if stripped.endswith(ending):
            return Height(quantity(stripped.removesuffix(ending), "height").si_value, reference)
    try:
        height = quantity(stripped, "level")
    except QuantityError as error:
        raise QuantityError(error.problem, expected=ALTITUDE_EXPECTED, hint=error.hint) from error
    return Height(height.si_value, "pressure" if height.unit == "FL" else "altitude")


def safe_altitude(text: str) -> Quantity | str:
    """Return a minimum safe altitude, or the words that ask for it to be worked out."""
    return FROM_TERRAIN if text.strip() == FROM_TERRAIN else quantity(text, "height")


def size(text: str) -> Size:
    """Return the box a text such as "96 x 60 x 48 in" gives."""
    match = _SIZE.fullmatch(text.strip())
    if match is None:
        hint = "three numbers with 'x' between them, then the unit"
        raise QuantityError(f"'{text}' is not a size", expected=SIZE_EXPECTED, hint=hint)
    sides = [quantity(f"{number} {match[4]}", "length") for number in match.groups()[:3]]
    if min(side.si_value for side in sides) <= to_si(0.0, "in"):
        raise QuantityError(f"'{text}' has a side of nothing", expected=SIZE_EXPECTED)
    return Size(*(side.si_value for side in sides))


def parameter(text: str) -> float | str:
    """Return a figure of a rule in SI, or the word it is; a text that begins like a number must be a quantity."""
    if re.match(r"[-+]?\d", text.strip()):
        return any_quantity(text).si_value
    return text.strip()
