"""A quantity printed in two units is one quantity: one stored value, and each print its rounding to the side that is safe.

Agrees means: the masses and volumes of fuel, and the times in UTC and local, come from one value; each print is that value rounded
by itself in the direction its figure declares, both of a pair in the same direction. Only a figure that a printed sum holds may
stand one off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import datetime

import pytest

from briefgen.document.parts.format import printed
from briefgen.model.ledger import Entry
from briefgen.model.plan import Plan
from briefgen.units import in_unit
from tests.shared.demo_missions import NAMES, plan_of

NOISE = 1e-6  # of a last printed digit: what binary arithmetic shaves off a whole number


def pairs(plan: Plan, ending: str) -> Iterator[tuple[Entry, Entry]]:
    """Yield every figure that stands beside another of its name and an ending."""
    entries = plan.ledger.entries
    for key, entry in entries.items():
        if f"{key}{ending}" in entries:
            yield entry, entries[f"{key}{ending}"]


def rounded(entry: Entry) -> float:
    """Return the value as its own declaration rounds it, in the unit it is printed in."""
    assert isinstance(entry.value, float)
    last = in_unit(entry.value, entry.unit) * 10.0**entry.decimals
    if entry.rounding == "up":
        return math.ceil(last - NOISE)
    if entry.rounding == "down":
        return math.floor(last + NOISE)
    return math.floor(abs(last) + 0.5 + NOISE) * (-1 if last < 0.0 else 1)


def as_printed(text: str, entry: Entry) -> float:
    return round(float(text.replace(",", "").replace("\u2212", "-")) * 10.0**entry.decimals)


@pytest.mark.parametrize("name", NAMES)
def test_fuel_by_weight_and_by_volume_agrees(name: str) -> None:
    plan = plan_of(name)
    shown, density = printed(plan), plan.mission.fuel.density_kg_per_m3
    held = {key for foot in plan.ledger.feet for key in (foot.result, *foot.plus, *foot.minus)}
    every = pairs(plan, "_volume")  # "more than is aboard" is a volume told in words: it has no print to compare
    found = [(one, other) for one, other in every if isinstance(one.value, float) and isinstance(other.value, float)]

    assert len(found) > 20
    for mass, volume in found:
        assert isinstance(volume.value, float)
        assert volume.value * density == pytest.approx(mass.value, rel=1e-9, abs=1e-9), mass.key
        assert volume.rounding == mass.rounding, mass.key
        for entry in (mass, volume):
            off = abs(as_printed(shown[entry.key], entry) - rounded(entry))
            assert off <= (1.0 if entry.key in held else 0.0), f"{entry.key} is printed {shown[entry.key]}"


@pytest.mark.parametrize("name", NAMES)
def test_times_in_utc_and_local_are_one_instant(name: str) -> None:
    found = list(pairs(plan_of(name), "_local"))

    assert len(found) > 5
    for utc, local in found:
        assert isinstance(utc.value, datetime)
        assert utc.value == local.value, utc.key
