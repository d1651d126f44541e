"""The closed list of units, their spellings, and which of them each kind of field takes.

Exact by definition unless a comment says otherwise. Sources: NIST Special Publication 811 (2008), appendix B, for the
inch-pound units; ICAO Annex 5 for knot and nautical mile.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

DEFINITIONS: tuple[str, ...] = (
    "metre = [length]",
    "second = [time]",
    "kilogram = [mass]",
    "kelvin = [temperature]; offset: 0",
    "degree = [angle]",
    "revolution = [revolution]",
    "ratio = [ratio]",
    "degC = kelvin; offset: 273.15",
    "degF = 5 / 9 * kelvin; offset: 459.67 * 5 / 9",
    "minute = 60 * second",
    "hour = 3600 * second",
    "day = 86400 * second",
    "inch = 0.0254 * metre",
    "foot = 0.3048 * metre",
    "statute_mile = 1609.344 * metre",
    "nautical_mile = 1852 * metre",
    "knot = nautical_mile / hour",
    "mile_per_hour = statute_mile / hour",
    "pound = 0.45359237 * kilogram",
    "gram = 0.001 * kilogram",
    "newton = kilogram * metre / second ** 2",
    "pound_force = 9.80665 * 0.45359237 * newton",
    "pascal = newton / metre ** 2",
    "inch_of_mercury = 13595.1 * 9.80665 * 0.0254 * pascal",  # conventional mercury at 0 degC; SP 811 prints 3386.389
    "psi = pound_force / inch ** 2",
    "watt = newton * metre / second",
    "horsepower = 550 * foot * pound_force / second",
    "litre = 0.001 * metre ** 3",
    "us_gallon = 231 * inch ** 3",
    "imperial_gallon = 4.54609 * litre",
    "hertz = 1 / second",
    "kilometre = 1000 * metre",
    "centimetre = 0.01 * metre",
    "millimetre = 0.001 * metre",
    "kilofoot = 1000 * foot",
    "hectopascal = 100 * pascal",
    "kilopascal = 1000 * pascal",
    "kilowatt = 1000 * watt",
    "kilohertz = 1000 * hertz",
    "megahertz = 1000000 * hertz",
    "percent = 0.01 * ratio",
)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit people read: its dimension, its pint expression, and the SI expression it is turned into."""

    dimension: str
    pint: str
    si: str
    pint_difference: str = ""


_BY_DIMENSION: dict[tuple[str, str], dict[str, str]] = {
    ("length", "metre"): {
        "ft": "foot",
        "m": "metre",
        "km": "kilometre",
        "NM": "nautical_mile",
        "sm": "statute_mile",
        "in": "inch",
        "cm": "centimetre",
        "mm": "millimetre",
    },
    ("speed", "metre / second"): {
        "kt": "knot",
        "mph": "mile_per_hour",
        "km/h": "kilometre / hour",
        "m/s": "metre / second",
        "ft/min": "foot / minute",
        "ft/s": "foot / second",
    },
    ("mass", "kilogram"): {"lb": "pound", "kg": "kilogram"},
    ("volume", "metre ** 3"): {
        "US gal": "us_gallon",
        "imp gal": "imperial_gallon",
        "L": "litre",
        "cu in": "inch ** 3",
        "cu ft": "foot ** 3",
    },
    ("pressure", "pascal"): {
        "inHg": "inch_of_mercury",
        "hPa": "hectopascal",
        "mb": "hectopascal",
        "kPa": "kilopascal",
        "psi": "psi",
    },
    ("density", "kilogram / metre ** 3"): {
        "lb/US gal": "pound / us_gallon",
        "lb/imp gal": "pound / imperial_gallon",
        "kg/L": "kilogram / litre",
        "kg/m3": "kilogram / metre ** 3",
    },
    ("power", "watt"): {"bhp": "horsepower", "hp": "horsepower", "kW": "kilowatt"},
    ("engine speed", "revolution / minute"): {"rpm": "revolution / minute"},
    ("angle", "degree"): {"deg": "degree"},
    ("angular rate", "degree / second"): {"deg/s": "degree / second", "deg/min": "degree / minute"},
    ("time", "second"): {"s": "second", "min": "minute", "h": "hour", "d": "day"},
    ("frequency", "hertz"): {"MHz": "megahertz", "kHz": "kilohertz"},
    ("ratio", "ratio"): {"%": "percent", "% MAC": "percent"},
    ("area", "metre ** 2"): {"sq ft": "foot ** 2", "sq in": "inch ** 2", "sq m": "metre ** 2"},
    ("floor load", "kilogram / metre ** 2"): {"lb/sq ft": "pound / foot ** 2", "kg/sq m": "kilogram / metre ** 2"},
    ("running load", "kilogram / metre"): {
        "lb/ft": "pound / foot",
        "lb/in": "pound / inch",
        "kg/m": "kilogram / metre",
    },
    ("volume flow", "metre ** 3 / second"): {
        "US gal/h": "us_gallon / hour",
        "imp gal/h": "imperial_gallon / hour",
        "L/h": "litre / hour",
        "US gal/min": "us_gallon / minute",
    },
    ("mass flow", "kilogram / second"): {
        "lb/h": "pound / hour",
        "kg/h": "kilogram / hour",
        "lb/min": "pound / minute",
        "kg/min": "kilogram / minute",
    },
    ("specific consumption", "kilogram / second / watt"): {
        "lb/bhp/h": "pound / hour / horsepower",
        "g/kW/h": "gram / hour / kilowatt",
    },
    ("moment", "kilogram * metre"): {"lb in": "pound * inch", "kg m": "kilogram * metre"},
    ("force", "newton"): {"lbf": "pound_force", "N": "newton"},
    ("specific range", "metre / kilogram"): {
        "NM/lb": "nautical_mile / pound",
        "NM/kg": "nautical_mile / kilogram",
    },
    ("gradient", "ratio"): {"ft/NM": "foot / nautical_mile * ratio"},
    ("lift slope", "1 / degree"): {"per deg": "1 / degree"},
    ("temperature gradient", "kelvin / metre"): {"degC/1,000 ft": "kelvin / kilofoot"},
}

UNITS: dict[str, Unit] = {
    name: Unit(dimension, pint, si) for (dimension, si), names in _BY_DIMENSION.items() for name, pint in names.items()
}
UNITS["degC"] = Unit("temperature", "degC", "kelvin", "delta_degC")
UNITS["degF"] = Unit("temperature", "degF", "kelvin", "delta_degF")
UNITS["K"] = Unit("temperature", "kelvin", "kelvin")
UNITS["degC diff"] = Unit("temperature difference", "delta_degC", "kelvin")
UNITS["K difference"] = UNITS["degC diff"]
UNITS["degT"] = UNITS["degM"] = UNITS["deg"]
UNITS["degF diff"] = Unit("temperature difference", "delta_degF", "kelvin")

ALIASES: dict[str, str] = {
    "feet": "ft",
    "foot": "ft",
    "metre": "m",
    "metres": "m",
    "inch": "in",
    "inches": "in",
    "nautical mile": "NM",
    "nautical miles": "NM",
    "statute mile": "sm",
    "statute miles": "sm",
    "knot": "kt",
    "knots": "kt",
    "kn": "kt",
    "fpm": "ft/min",
    "feet per minute": "ft/min",
    "lbs": "lb",
    "pound": "lb",
    "pounds": "lb",
    "US gallon": "US gal",
    "US gallons": "US gal",
    "imp gallon": "imp gal",
    "imp gallons": "imp gal",
    "imperial gallons": "imp gal",
    "l": "L",
    "litre": "L",
    "litres": "L",
    "liter": "L",
    "liters": "L",
    "in Hg": "inHg",
    "mbar": "mb",
    "lb/sq in": "psi",
    "°C": "degC",
    "deg C": "degC",
    "°F": "degF",
    "deg F": "degF",
    "°": "deg",
    "degree": "deg",
    "degrees": "deg",
    "HP": "hp",
    "BHP": "bhp",
    "percent": "%",
    "per cent": "%",
    "sec": "s",
    "second": "s",
    "seconds": "s",
    "minute": "min",
    "minutes": "min",
    "hour": "h",
    "hours": "h",
    "hr": "h",
    "day": "d",
    "days": "d",
    "ft2": "sq ft",
    "m2": "sq m",
    "in lb": "lb in",
    "lb/bhp h": "lb/bhp/h",
    "lb/hp/h": "lb/bhp/h",
    "lb/(hp h)": "lb/bhp/h",
    "lb/(bhp h)": "lb/bhp/h",
    "g/kWh": "g/kW/h",
    "US gph": "US gal/h",
    "lb/hr": "lb/h",
    "pph": "lb/h",
}

# Units whose name alone can mean two things, and what to write instead.
TRAPS: dict[str, str] = {
    "gal": "say whose gallon: US gal or imp gal",
    "gallon": "say whose gallon: US gal or imp gal",
    "gallons": "say whose gallon: US gal or imp gal",
    "gal/h": "say whose gallon: US gal/h or imp gal/h",
    "gph": "say whose gallon: US gal/h or imp gal/h",
    "lb/gal": "say whose gallon: lb/US gal or lb/imp gal",
    "mile": "say whose mile: NM (nautical) or sm (statute)",
    "miles": "say whose mile: NM (nautical) or sm (statute)",
    "mi": "say whose mile: NM (nautical) or sm (statute)",
    "nm": "nm is the nanometre; write NM for the nautical mile",
    "M": "write m for metres",
    "C": "write degC",
    "F": "write degF",
    "in": "inches of mercury are written inHg",
    '"': "write in for inches",
    "'": "write ft for feet",
    "t": "write the mass in lb or kg",
    "ton": "write the mass in lb or kg",
    "tons": "write the mass in lb or kg",
    "PS": "metric horsepower is not taken; write bhp or kW",
    "m": "m is the metre; write min for minutes",
    "ft": "say ft/min for a rate",
}


@dataclass(frozen=True, slots=True)
class Kind:
    """What a field takes: a phrase for messages, the units in order of preference, the forms beside 'number unit'."""

    noun: str
    phrase: str
    example: str
    units: tuple[str, ...]
    signed: bool = False
    qualifiers: tuple[str, ...] = ()
    flight_levels: bool = False
    compound_time: bool = False
    spellings: Mapping[str, str] = field(default_factory=dict)  # of this kind alone, before the general ones


_HEIGHT_UNITS = ("ft", "m")
_SPEED_UNITS = ("kt", "mph", "km/h", "m/s")
_VOLUME_UNITS = ("US gal", "imp gal", "L")
_VOLUME_FLOWS = ("US gal/h", "imp gal/h", "L/h")

KINDS: dict[str, Kind] = {
    "length": Kind("length", "a length", "5,200 ft", ("ft", "m", "in", "cm", "mm")),
    "distance": Kind("distance", "a distance", "120 NM", ("NM", "km", "sm", "m", "ft")),
    "visibility": Kind("visibility", "a visibility", "6 km", ("km", "m", "sm", "NM")),
    "height": Kind("height", "a height", "8,500 ft", _HEIGHT_UNITS, signed=True),
    "level": Kind("height", "an altitude or flight level", "8,500 ft", _HEIGHT_UNITS, signed=True, flight_levels=True),
    "arm": Kind("arm", "an arm", "412.5 in", ("in", "m", "cm", "mm", "ft"), signed=True),
    "speed": Kind("speed", "a speed", "120 kt", _SPEED_UNITS),
    "wind component": Kind("speed", "a wind along the track", "20 kt", ("kt", "km/h", "m/s", "mph"), signed=True),
    "airspeed": Kind(
        "speed",
        "an airspeed with its sort",
        "150 mph indicated",
        _SPEED_UNITS,
        qualifiers=("indicated", "calibrated", "true"),
    ),
    "indicated airspeed": Kind(
        "speed", "an indicated airspeed", "130 mph indicated", _SPEED_UNITS, qualifiers=("indicated",)
    ),
    "vertical speed": Kind("vertical speed", "a vertical speed", "500 ft/min", ("ft/min", "ft/s", "m/s"), signed=True),
    "mass": Kind("mass", "a mass", "2,000 lb", ("lb", "kg")),
    "moment": Kind("moment", "a moment", "1,250,000 lb in", ("lb in", "kg m"), signed=True),
    "volume": Kind("volume", "a volume", "2,400 US gal", _VOLUME_UNITS),
    "displacement": Kind("displacement", "a displacement", "1,830 cu in", ("cu in", "L")),
    "fuel": Kind("fuel quantity", "a fuel quantity", "1,820 US gal", (*_VOLUME_UNITS, "lb", "kg")),
    "fuel flow": Kind("fuel flow", "a fuel flow", "160 US gal/h", (*_VOLUME_FLOWS, "lb/h", "kg/h")),
    "volume flow": Kind("fuel flow by volume", "a fuel flow by volume", "160 US gal/h", _VOLUME_FLOWS),
    "flow": Kind("flow", "a flow", "40 lb/min", ("lb/min", "kg/min", "lb/h", "kg/h", *_VOLUME_FLOWS, "US gal/min")),
    "density": Kind("density", "a density", "6.0 lb/US gal", ("lb/US gal", "lb/imp gal", "kg/L", "kg/m3")),
    "pressure": Kind("pressure", "a pressure", "46 inHg", ("inHg", "hPa", "mb", "kPa", "psi")),
    "altimeter setting": Kind("pressure", "an altimeter setting", "1013 hPa", ("hPa", "mb", "inHg")),
    "temperature": Kind("temperature", "a temperature", "-5 degC", ("degC", "degF", "K")),
    "temperature difference": Kind(
        "temperature difference",
        "a temperature difference",
        "10 degC",
        ("degC diff", "degF diff"),
        signed=True,
        spellings=dict.fromkeys(("degC", "\N{DEGREE SIGN}C", "deg C"), "degC diff")
        | dict.fromkeys(("degF", "\N{DEGREE SIGN}F", "deg F"), "degF diff"),
    ),
    "temperature gradient": Kind(
        "temperature gradient", "a temperature gradient", "-2 degC/1,000 ft", ("degC/1,000 ft",), signed=True
    ),
    "power": Kind("power", "a power", "1,200 bhp", ("bhp", "hp", "kW")),
    "specific consumption": Kind(
        "specific consumption", "a specific consumption", "0.46 lb/bhp/h", ("lb/bhp/h", "g/kW/h")
    ),
    "engine speed": Kind("engine speed", "an engine speed", "2,300 rpm", ("rpm",)),
    "force": Kind("force", "a force", "120 lbf", ("lbf", "N")),
    "angle": Kind("angle", "an angle", "10 deg", ("deg",), signed=True),
    "angular rate": Kind("rate of turn", "a rate of turn", "1.5 deg/s", ("deg/s", "deg/min")),
    "direction": Kind("direction", "a direction", "140 deg true", ("deg",), qualifiers=("true", "magnetic")),
    "true direction": Kind("direction", "a true direction", "138 deg true", ("deg",), qualifiers=("true",)),
    "lift slope": Kind("lift slope", "a lift slope", "0.083 per deg", ("per deg",)),
    "duration": Kind("duration", "a duration", "12 min", ("min", "h", "s", "d"), compound_time=True),
    "frequency": Kind("frequency", "a frequency", "118.3 MHz", ("MHz", "kHz")),
    "percentage": Kind("percentage", "a percentage", "5 %", ("%",), signed=True),
    "chord position": Kind("position on the chord", "a position on the chord", "28.5 % MAC", ("% MAC",), signed=True),
    "area": Kind("area", "an area", "1,420 sq ft", ("sq ft", "sq m", "sq in")),
    "floor load": Kind("floor load", "a floor load", "150 lb/sq ft", ("lb/sq ft", "kg/sq m")),
    "running load": Kind("running load", "a running load", "95 lb/ft", ("lb/ft", "lb/in", "kg/m")),
    "gradient": Kind("gradient", "a gradient", "200 ft/NM", ("ft/NM", "%")),
}
