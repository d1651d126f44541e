"""Published factors on take-off and landing distance: those the tool uses, and the freighter's own answers beside them.

Provenance of each factor stands in distance_factors.csv. They are meant for light aeroplanes; where the freighter's model
departs from one the test says by how much and why, and bends neither.
"""

from __future__ import annotations

import pytest

from briefgen.aircraft import published_factors
from briefgen.aircraft.fields import Strip
from briefgen.aircraft.physics.fields import ModelFields
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.performance import Air
from briefgen.model.places import Runway
from briefgen.spec.read import read_aircraft
from tests.shared.demo_missions import SPECS
from tests.shared.published_rows import rows

FACTORS = {row["factor_id"]: row for row in rows("distance_factors")}
MASS_KG = 48000.0 * 0.45359237
FT_M = 0.3048


def multiplier(ident: str) -> float:
    return float(FACTORS[ident]["multiplier"])


@pytest.mark.parametrize(
    ("surface", "take_off", "landing"),
    [
        ("firm turf", "SSL7-TO-DRYGR", "SSL7-LD-DRYGR"),
        ("wet grass", "SSL7-TO-WETGR", "SSL7-LD-WETGR"),
        ("soft", "SSL7-TO-SOFT", "SSL7-LD-SOFT"),
    ],
)
def test_surface_factors_are_those_of_the_leaflet(surface: str, take_off: str, landing: str) -> None:
    """Safety Sense Leaflet 7, as quoted: dry grass 1.20 and 1.15, wet grass 1.30 and 1.35, soft at least 1.25."""
    assert published_factors.TAKE_OFF_SURFACES[surface] == multiplier(take_off)
    assert published_factors.LANDING_SURFACES[surface] == multiplier(landing)


def test_wet_paving_slope_and_tail_wind_factors() -> None:
    """CAP 698: wet landing 1.15, 5 % a per cent of slope; leaflet: 1.20 for a tail wind of a tenth of the speed."""
    assert published_factors.LANDING_SURFACES["paved wet"] == multiplier("CLB-LD-WET")
    per_cent_of_slope = 1.0 + 0.01 * published_factors.PER_UNIT_OF_SLOPE
    tenth_of_speed = 1.0 + 0.1 * published_factors.PER_SPEED_RATIO_OF_TAILWIND

    assert per_cent_of_slope == pytest.approx(multiplier("CLB-TO-UP"))
    assert per_cent_of_slope == pytest.approx(multiplier("CLB-LD-DOWN"))
    assert tenth_of_speed == pytest.approx(multiplier("SSL7-TO-TAIL"))
    assert tenth_of_speed == pytest.approx(multiplier("SSL7-LD-TAIL"))


@pytest.fixture(scope="module")
def fields() -> ModelFields:
    aircraft = read_aircraft(SPECS / "aircraft" / "t4-freighter.yaml", root=SPECS)
    assert aircraft.model is not None
    return ModelFields(aircraft, aircraft.model, "91/96")


def strip(
    surface: str = "paved dry", height_ft: float = 0.0, warmer_k: float = 0.0, headwind: float = 0.0, slope: float = 0.0
) -> Strip:
    height_m = height_ft * FT_M
    runway = Runway("09", 90.0, 2000.0, 30.0, surface, slope, height_m, "none")
    return Strip(runway, Air(height_m, standard_temperature(height_m) + warmer_k), headwind)


def longer(fields: ModelFields, on: Strip, mass_ratio: float = 1.0) -> float:
    return fields.take_off(mass_ratio * MASS_KG, on).distance_m / fields.take_off(MASS_KG, strip()).distance_m


# Measured at 48,000 lb on dry paving. Bands hold the published figure and the model's, so that either moving is noticed.
def test_a_tenth_more_weight_beside_the_published_factor(fields: ModelFields) -> None:
    """Published 1.20 to 50 ft (leaflet) and at least 1.21 (FAA handbook); measured 1.29."""
    found = longer(fields, strip(), 1.1)

    assert min(multiplier("SSL7-TO-WT"), multiplier("PHAK-WT10")) <= found <= 1.30  # 1.30: the handbook's low thrust


def test_warmth_and_height_cost_a_supercharged_aeroplane_less(fields: ModelFields) -> None:
    """Published 1.10 each for 10 degC and 1,000 ft, unsupercharged; measured 1.07 and 1.04 with take-off power kept."""
    assert 1.03 <= longer(fields, strip(warmer_k=10.0)) <= multiplier("SSL7-TO-TEMP")
    assert 1.03 <= longer(fields, strip(height_ft=1000.0)) <= multiplier("SSL7-TO-ELEV")


def test_two_per_cent_uphill_costs_a_heavy_aeroplane_more(fields: ModelFields) -> None:
    """Published 1.10; measured 1.13: her thrust is a fifth of her weight, and two hundredths of it go to the hill."""
    assert multiplier("SSL7-TO-SLOPE") <= longer(fields, strip(slope=0.02)) <= 1.20


def test_a_tail_wind_of_a_tenth_lies_between_exact_and_published(fields: ModelFields) -> None:
    """Published 1.20; the run alone 1.21 for a constant force; measured 1.14 to 50 ft, where thrust falls with speed."""
    unstick = fields.take_off(MASS_KG, strip()).unstick_ias_m_per_s
    assert unstick is not None

    assert 1.10 <= longer(fields, strip(headwind=-0.1 * unstick)) <= multiplier("SSL7-TO-TAIL")


def test_soft_ground_costs_her_less_than_the_published_factor(fields: ModelFields) -> None:
    """Published at least 1.25, for small wheels; measured 1.09: held tail down, the wing carries the weight early.

    The plan therefore shows the distance on paving times the published factor beside the model's own.
    """
    assert 1.05 <= longer(fields, strip("soft")) < multiplier("SSL7-TO-SOFT")
