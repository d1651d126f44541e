"""What a field may hold beside plain text and numbers: the names of the schema keyword ``x-form`` and their readers."""

from __future__ import annotations

from collections.abc import Callable

from briefgen.spec.words import air, coordinates, phrases, times, variations
from briefgen.unit_tables import KINDS
from briefgen.units import expected, quantity

FORMS: dict[str, tuple[Callable[[str], object], str]] = {
    "position": (coordinates.position, coordinates.EXPECTED),
    "time": (times.written_time, times.LOCAL_EXPECTED),
    "utc time": (times.written_utc, times.UTC_EXPECTED),
    "clock": (times.written_clock, times.CLOCK_EXPECTED),
    "log time": (times.written_log_time, times.LOG_TIME_EXPECTED),
    "date": (times.written_date, times.DATE_EXPECTED),
    "zone": (times.zone_name, times.ZONE_EXPECTED),
    "cruise": (phrases.cruise, phrases.CRUISE_EXPECTED),
    "flown altitude": (phrases.flown_altitude, phrases.ALTITUDE_EXPECTED),
    "wind": (air.wind, air.WIND_EXPECTED),
    "cloud layer": (air.cloud_layer, air.CLOUD_EXPECTED),
    "parameter": (phrases.parameter, phrases.PARAMETER_EXPECTED),
    "size": (phrases.size, phrases.SIZE_EXPECTED),
    "variation": (variations.variation, variations.EXPECTED),
    "setting": (variations.setting, variations.SETTING_EXPECTED),
    "safe altitude": (phrases.safe_altitude, phrases.SAFE_ALTITUDE_EXPECTED),
}


def read_form(text: str, name: str) -> object:
    """Return the value of a text in a form or of a kind of quantity; raise QuantityError if it has none."""
    if name in KINDS:
        return quantity(text, name)
    return FORMS[name][0](text)


def form_expected(name: str) -> str:
    """Return what a field of a form wants, as the 'expected' line of a message."""
    return expected(name) if name in KINDS else FORMS[name][1]
