"""Quantities as the trade writes them to SI numbers, and SI numbers to the units people read.

The only module that knows pint. Text is split by an own strict pattern, its unit looked up among the spellings its
field allows, and the number converted by the factor pint gives, kept in a table: pint never sees what a user typed.
"""

from __future__ import annotations

import difflib
import math
import re
import sys
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from briefgen.errors import BriefgenError
from briefgen.unit_factors import FACTORS
from briefgen.unit_tables import ALIASES, DEFINITIONS, KINDS, TRAPS, UNITS, Kind

_NUMBER = r"[-+\u2212]?(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?"
_QUANTITY = re.compile(rf"({_NUMBER})\s?(\S.*)?", re.ASCII)
_FLIGHT_LEVEL = re.compile(r"FL ?(\d{2,3})", re.ASCII)
_DURATION = re.compile(r"(?:(\d+) ?d )?(?:(\d+) ?h )?(\d+) ?min", re.ASCII)
_SECONDS_PER_MINUTE = 60
_MINUTES_PER_HOUR = 60
_HOURS_PER_DAY = 24
_FEET_PER_FLIGHT_LEVEL = 100


class QuantityError(BriefgenError):
    """A text is not a value of the kind its field needs."""

    exit_code = 2


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in SI (angles in degrees, engine speed in rpm, frequency in hertz) and how it was written."""

    si_value: float
    unit: str
    text: str
    kind: str
    dimension: str
    qualifier: str = ""


@lru_cache(maxsize=4096)
def quantity(text: str, kind: str) -> Quantity:
    """Return the value of a text such as "8,500 ft"; raise QuantityError if it is not of that kind."""
    rule = KINDS[kind]
    special = _special_form(text, kind, rule)
    if special is not None:
        return special
    match = _QUANTITY.fullmatch(text.strip())
    if match is None:
        raise _unreadable(text, rule)
    number_text, unit_text = match.group(1), match.group(2)
    if unit_text is None:
        hint = "write the unit; a bare number is never guessed"
        raise QuantityError(f"no unit given, got {text.strip()}", expected=expected(kind), hint=hint)
    unit_text, qualifier = _qualified(unit_text, text, kind, rule)
    unit = _unit_named(unit_text, text, kind, rule)
    number = float(number_text.replace(",", "").replace("\u2212", "-"))
    si_value = to_si(number, unit)
    if not math.isfinite(si_value):
        raise QuantityError(f"'{text}' is too large to mean anything", expected=expected(kind))
    found = Quantity(si_value, unit, text, kind, UNITS[unit].dimension, qualifier)
    _check_sign(found, rule)
    return found


def any_quantity(text: str) -> Quantity:
    """Return the value of a text in any unit of the closed list, for figures whose kind only their user knows."""
    wanted = 'a quantity with its unit, such as "12,500 ft"'
    compound = _DURATION.fullmatch(text.strip())
    if compound is not None:
        return quantity(text, "duration")
    match = _QUANTITY.fullmatch(text.strip())
    if match is None or match.group(2) is None:
        hint = "write the unit; a bare number is never guessed"
        raise QuantityError(f"'{text}' is not a quantity", expected=wanted, hint=hint)
    unit = unit_spelling(match.group(2))
    if unit is None:
        hint = TRAPS.get(match.group(2), "")
        raise QuantityError(f"'{text}': '{match.group(2)}' is not a known unit", expected=wanted, hint=hint)
    number = float(match.group(1).replace(",", "").replace("\u2212", "-"))
    return Quantity(to_si(number, unit), unit, text, "", UNITS[unit].dimension)


def expected(kind: str) -> str:
    """Return what a field of a kind wants, as the 'expected' line of a message."""
    rule = KINDS[kind]
    return f'{rule.phrase}, such as "{rule.example}"'


def in_unit(si_value: float, unit: str, *, density_kg_per_m3: float | None = None) -> float:
    """Return an SI value as a number in a display unit.

    With a density the SI value is a mass [kg] or a mass flow [kg/s] and the unit one of volume or of volume flow.
    """
    if density_kg_per_m3 is not None:
        if UNITS[unit].dimension not in ("volume", "volume flow"):
            raise ValueError(f"{unit} is not a unit of volume or of volume flow")
        si_value /= density_kg_per_m3
    scale, offset = _factor(unit)
    return (si_value - offset) / scale


def to_si(value: float, unit: str) -> float:
    """Return the SI value of a number in one of the units of the closed list."""
    scale, offset = _factor(unit)
    return value * scale + offset


def unit_spelling(text: str) -> str | None:
    """Return the canonical unit for any spelling known, None if there is none: for the heads of tables."""
    return text if text in UNITS else ALIASES.get(text)


def _special_form(text: str, kind: str, rule: Kind) -> Quantity | None:
    stripped = text.strip()
    if rule.flight_levels and (level := _FLIGHT_LEVEL.fullmatch(stripped)):
        si_value = to_si(int(level.group(1)) * _FEET_PER_FLIGHT_LEVEL, "ft")
        return Quantity(si_value, "FL", text, kind, "length", "flight level")
    if rule.compound_time and (parts := _DURATION.fullmatch(stripped)):
        days, hours, minutes = (int(part) if part else 0 for part in parts.groups())
        if (parts.group(2) and minutes >= _MINUTES_PER_HOUR) or (parts.group(1) and hours >= _HOURS_PER_DAY):
            hint = 'carry the minutes into hours, such as "1 h 30 min"'
            raise QuantityError(f"'{text}' has more minutes or hours than fit", expected=expected(kind), hint=hint)
        minutes += (days * _HOURS_PER_DAY + hours) * _MINUTES_PER_HOUR
        return Quantity(float(minutes * _SECONDS_PER_MINUTE), "min", text, kind, "time")
    return None


def _unreadable(text: str, rule: Kind) -> QuantityError:
    wanted = f'{rule.phrase}, such as "{rule.example}"'
    stripped = text.strip()
    if not stripped:
        return QuantityError("the value is empty", expected=wanted)
    hint = ""
    if re.match(r"[-+]?\d{1,3}( \d{3})+\b", stripped):
        hint = "use a comma for thousands, or nothing; never a space"
    elif re.match(r"[-+]?\d+(\.\d+)?[eE][-+]?\d", stripped):
        hint = "write the number out, without an exponent"
    elif re.match(r"[-+]?\d+,\d", stripped):
        hint = "a comma separates thousands, in groups of three; the decimal sign is a point"
    elif re.match(r"\d+:\d", stripped):
        hint = 'write hours and minutes with their units, such as "1 h 30 min"'
    elif re.match(r"[-+]?\.\d", stripped):
        hint = "write a zero before the decimal point"
    elif re.match(r"[-+]?\d", stripped):
        hint = "write one number, a space and one unit"
    return QuantityError(f"'{text}' is not {rule.phrase}", expected=wanted, hint=hint)


def _qualified(unit_text: str, text: str, kind: str, rule: Kind) -> tuple[str, str]:
    """Return the unit and the word that says of which sort the value is (indicated, true, magnetic ...)."""
    if not rule.qualifiers:
        return unit_text, ""
    unit, _, word = unit_text.rpartition(" ")
    if unit and word in rule.qualifiers:
        return unit.strip(), word
    words = " or ".join(f"'{name}'" for name in rule.qualifiers)
    raise QuantityError(
        f"'{text}' does not say which {rule.noun} it is",
        expected=f"{expected(kind)}; the last word is {words}",
        hint=f'write "{text.strip()} {rule.qualifiers[0]}" if that is meant',
    )


def _unit_named(unit_text: str, text: str, kind: str, rule: Kind) -> str:
    unit = rule.spellings.get(unit_text) or unit_spelling(unit_text)
    if unit in rule.units:
        return unit
    written = [next((short for short, long in rule.spellings.items() if long == name), name) for name in rule.units]
    wanted = f"{rule.phrase} in {written[0]}" if len(written) == 1 else f"{rule.phrase} in one of {', '.join(written)}"
    if re.search(rf"{_NUMBER}\s*\S", unit_text) or re.match(r"\d", unit_text):
        unreadable = _unreadable(text, rule)
        raise QuantityError(unreadable.problem, expected=wanted, hint=unreadable.hint)
    if unit is not None:
        problem = f"'{text}': {unit_text} is not a unit of {rule.noun}"
        raise QuantityError(problem, expected=wanted, hint=f'write {rule.phrase}, such as "{rule.example}"')
    raise QuantityError(f"'{text}': '{unit_text}' is not a known unit", expected=wanted, hint=_hint(unit_text, rule))


def _hint(unit_text: str, rule: Kind) -> str:
    if unit_text in TRAPS:
        return TRAPS[unit_text]
    for unit in rule.units:
        if unit.lower() == unit_text.lower():
            return f"did you mean {unit}?"
    spellings = [*rule.units, *(alias for alias, unit in ALIASES.items() if unit in rule.units)]
    near = difflib.get_close_matches(unit_text, spellings, n=1)
    return f"did you mean {unit_spelling(near[0])}?" if near else f'such as "{rule.example}"'


def _check_sign(found: Quantity, rule: Kind) -> None:
    if rule.signed or found.si_value >= 0.0:
        return
    if found.dimension == "temperature":
        raise QuantityError(f"'{found.text}' lies below absolute zero", expected=expected(found.kind))
    raise QuantityError(f"'{found.text}' is negative", expected=f"{expected(found.kind)}, not negative")


def _pint() -> Any:
    """Return pint, imported without NumPy: pint loads that where it finds it, and every number here is a plain float.

    It would cost each command as much time as all of pint; the loading solver, which does need it, still finds it.
    """
    hide = "numpy" not in sys.modules
    if hide:
        sys.modules["numpy"] = None  # type: ignore[assignment]
    try:
        import pint
    finally:
        if hide:
            del sys.modules["numpy"]
    return pint


@lru_cache(maxsize=1)
def _registry() -> Any:
    registry: Any = _pint().UnitRegistry(None)
    for line in DEFINITIONS:
        registry.define(line)
    return registry


def _factor(unit: str) -> tuple[float, float]:
    """Return (scale, offset) with si = value * scale + offset; a unit new to the closed list is not in the table yet."""
    return FACTORS.get(unit) or factor_by_pint(unit)


@lru_cache(maxsize=256)
def factor_by_pint(unit: str) -> tuple[float, float]:
    """Return (scale, offset) of a unit of the closed list as pint works them out: what the table is made from."""
    definition = UNITS[unit]
    registry = _registry()
    scale = registry.Quantity(1.0, definition.pint_difference or definition.pint).to(definition.si).magnitude
    if not definition.pint_difference:
        return float(scale), 0.0
    offset = registry.Quantity(0.0, definition.pint).to(definition.si).magnitude
    return float(scale), float(offset)
