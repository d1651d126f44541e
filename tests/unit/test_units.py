"""Text to SI and back: published conversion factors, the closed list, and what is refused."""

from __future__ import annotations

import pytest

from briefgen.unit_factors import FACTORS
from briefgen.unit_tables import ALIASES, KINDS, TRAPS, UNITS
from briefgen.units import QuantityError, expected, factor_by_pint, in_unit, quantity, to_si
from tests.builders.unit_factors import PLACE, table

# NIST Special Publication 811 (2008), appendix B.8, factors as printed (exact ones are bold there); knot and nautical
# mile from the same table. Class M: from memory of the table; the exact factors also follow from their definitions.
NIST_FACTORS = [
    ("ft", 0.3048, 0.0),
    ("in", 0.0254, 0.0),
    ("NM", 1852.0, 0.0),
    ("sm", 1609.344, 0.0),
    ("kt", 0.5144444, 5e-8),
    ("mph", 0.44704, 0.0),
    ("ft/min", 0.00508, 0.0),
    ("lb", 0.45359237, 0.0),
    ("US gal", 3.785412e-3, 5e-10),
    ("imp gal", 4.54609e-3, 0.0),
    ("inHg", 3386.389, 5e-4),
    ("psi", 6894.757, 5e-4),
    ("hp", 745.6999, 5e-5),
    ("lb/US gal", 119.8264, 5e-5),
    ("lb/imp gal", 99.77637, 5e-6),
    ("lb/sq ft", 4.882428, 5e-7),
    ("lb/ft", 1.488164, 5e-7),
    ("sq ft", 0.09290304, 0.0),
    ("cu in", 1.638706e-5, 5e-12),
    ("lb/h", 1.259979e-4, 5e-11),
    ("lbf", 4.448222, 5e-7),
]


@pytest.mark.parametrize(("unit", "factor", "half_last_digit"), NIST_FACTORS)
def test_factors_agree_with_the_published_table(unit: str, factor: float, half_last_digit: float) -> None:
    """One of each unit is the SI value printed in the table, to half its last digit."""
    assert to_si(1.0, unit) == pytest.approx(factor, abs=half_last_digit, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "si_value"),
    [
        ("12,500 ft", "height", 3810.0),
        ("12500ft", "height", 3810.0),
        ("-12 ft", "height", -3.6576),
        ("FL 085", "level", 2590.8),
        ("FL085", "level", 2590.8),
        ("150 kt", "speed", 77.1666666667),
        ("135 mph", "speed", 60.3504),
        ("2,400 US gal", "volume", 9.0849883),
        ("46 inHg", "pressure", 155773.877),
        ("1013.25 hPa", "altimeter setting", 101325.0),
        ("-5 degC", "temperature", 268.15),
        ("\u22125 \u00b0C", "temperature", 268.15),
        ("59 degF", "temperature", 288.15),
        ("-40 degF", "temperature", 233.15),
        ("18 degF", "temperature difference", 10.0),
        ("-10 degC", "temperature difference", -10.0),
        ("6.0 lb/US gal", "density", 718.9585639),
        ("1,200 bhp", "power", 894839.8),
        ("12 min", "duration", 720.0),
        ("1 h 30 min", "duration", 5400.0),
        ("2 d 1 h 5 min", "duration", 176700.0),
        ("90 min", "duration", 5400.0),
        ("1.5 h", "duration", 5400.0),
        ("118.3 MHz", "frequency", 118.3e6),
        ("5 %", "percentage", 0.05),
        ("28.5 % MAC", "chord position", 0.285),
        ("070 deg true", "direction", 70.0),
        ("2,300 rpm", "engine speed", 2300.0),
    ],
)
def test_text_is_read_as_the_trade_means_it(text: str, kind: str, si_value: float) -> None:
    """Number and unit become the SI value; the reference values follow from the factors above by hand."""
    assert quantity(text, kind).si_value == pytest.approx(si_value, rel=1e-7)


def test_qualifier_is_kept() -> None:
    """An airspeed keeps whether it is indicated, a direction whether it is magnetic."""
    assert quantity("150 mph indicated", "airspeed").qualifier == "indicated"
    assert quantity("140 deg magnetic", "direction").qualifier == "magnetic"


REFUSED = [
    ("12 500 ft", "height", "'12 500 ft' is not a height", "use a comma for thousands, or nothing; never a space"),
    ("1e3 ft", "height", "'1e3 ft' is not a height", "write the number out, without an exponent"),
    ("8500", "height", "no unit given, got 8500", "write the unit; a bare number is never guessed"),
    (
        "12,50 ft",
        "height",
        "'12,50 ft' is not a height",
        "a comma separates thousands, in groups of three; the decimal",
    ),
    ("9**9**9 ft", "height", "'9**9**9 ft' is not a height", "write one number, a space and one unit"),
    ("nan ft", "height", "'nan ft' is not a height", ""),
    ("", "height", "the value is empty", ""),
    ("10 ft + 3 in", "length", "'10 ft + 3 in' is not a length", "write one number, a space and one unit"),
    ("10 nm", "distance", "'10 nm': 'nm' is not a known unit", "nm is the nanometre; write NM for the nautical mile"),
    (
        "10 miles",
        "distance",
        "'10 miles': 'miles' is not a known unit",
        "say whose mile: NM (nautical) or sm (statute)",
    ),
    ("200 gal", "fuel", "'200 gal': 'gal' is not a known unit", "say whose gallon: US gal or imp gal"),
    ("200 lb", "volume", "'200 lb': lb is not a unit of volume", ""),
    ("15 C", "temperature", "'15 C': 'C' is not a known unit", "write degC"),
    ("-1 K", "temperature", "'-1 K' lies below absolute zero", ""),
    ("10 K", "temperature difference", "'10 K': K is not a unit of temperature difference", ""),
    ("150 mph", "airspeed", "'150 mph' does not say which speed it is", 'write "150 mph indicated" if that is meant'),
    ("140 deg", "direction", "'140 deg' does not say which direction it is", 'write "140 deg true" if that is meant'),
    ("1:30", "duration", "'1:30' is not a duration", 'write hours and minutes with their units, such as "1 h 30 min"'),
    ("1 h 75 min", "duration", "'1 h 75 min' has more minutes or hours than fit", "carry the minutes into hours"),
    ("-5 min", "duration", "'-5 min' is negative", ""),
    ("100 FT", "height", "'100 FT': 'FT' is not a known unit", "did you mean ft?"),
    (".5 in", "length", "'.5 in' is not a length", "write a zero before the decimal point"),
]


@pytest.mark.parametrize(("text", "kind", "problem", "hint"), REFUSED)
def test_text_that_could_be_misread_is_refused(text: str, kind: str, problem: str, hint: str) -> None:
    """Nothing is guessed: the message quotes the text and says what to write instead."""
    with pytest.raises(QuantityError) as caught:
        quantity(text, kind)

    assert caught.value.problem == problem
    assert caught.value.hint.startswith(hint)
    assert caught.value.expected


@pytest.mark.parametrize("kind", KINDS)
def test_every_example_is_a_value_of_its_kind(kind: str) -> None:
    """The example shown in messages and in the schema is accepted by the field it explains."""
    assert quantity(KINDS[kind].example, kind).kind == kind
    assert KINDS[kind].example in expected(kind)


@pytest.mark.parametrize("unit", UNITS)
def test_display_undoes_reading_for_every_unit(unit: str) -> None:
    """A number turned into SI and back is the number."""
    assert in_unit(to_si(123.456, unit), unit) == pytest.approx(123.456, rel=1e-12)


def test_mass_becomes_volume_only_through_a_density() -> None:
    """6,000 lb of fuel at 6 lb/US gal are 1,000 US gal; without a volume unit a density is refused."""
    density = to_si(6.0, "lb/US gal")

    assert in_unit(to_si(6000.0, "lb"), "US gal", density_kg_per_m3=density) == pytest.approx(1000.0, rel=1e-12)
    with pytest.raises(ValueError, match="lb is not a unit of volume"):
        in_unit(1.0, "lb", density_kg_per_m3=density)


def test_spellings_lead_to_units_and_traps_to_none() -> None:
    """Every alias names a unit of the closed list; no unit is at once a spelling and a alias."""
    assert set(ALIASES.values()) <= set(UNITS)
    assert not set(ALIASES) & set(UNITS)
    assert not set(ALIASES) & set(TRAPS)


@pytest.mark.parametrize("unit", list(UNITS))
def test_the_table_of_factors_holds_what_pint_works_out(unit: str) -> None:
    """To the last bit, for every unit of the closed list."""
    assert FACTORS[unit] == factor_by_pint(unit)


def test_the_table_of_factors_is_as_its_builder_writes_it() -> None:
    """Nobody edits it: a unit taken off the list leaves it too."""
    assert PLACE.read_text(encoding="utf-8") == table()


def test_a_unit_new_to_the_list_is_worked_out_by_pint(monkeypatch: pytest.MonkeyPatch) -> None:
    """Until the table is written anew."""
    monkeypatch.delitem(FACTORS, "kt")

    assert to_si(3600.0, "kt") == pytest.approx(1852.0, rel=1e-15)
