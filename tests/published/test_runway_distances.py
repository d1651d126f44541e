"""Take-off and landing formulae against published forms, closed integrals and factor tables.

Sources and provenance class stand in each CSV; rows of class L are computed with a closed form, those of
class M are from memory: neither is a published measurement.
"""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from briefgen.kernel import air_distance, wheels
from briefgen.kernel.takeoff import Roll, run_marks
from briefgen.kernel.wind import Wind, wind_components

LB_KG = 0.45359237  # exact, NIST SP 811
FT_M = 0.3048  # exact, NIST SP 811
LBF_N = 4.4482216152605  # NIST SP 811
SLUG_PER_FT3_KG_PER_M3 = LBF_N / FT_M / FT_M**3  # slug = lbf s2/ft
PSI_PA = LBF_N / 0.0254**2
KT_M_PER_S = 1852.0 / 3600.0
MPH_M_PER_S = 1609.344 / 3600.0
G_M_PER_S2 = 9.80665

PRINTED_FT = 0.05  # half a unit of the last printed digit of a distance
GRAVITY_RATIO = 1e-4  # the table's g, 32.174 ft/s2, and its speeds printed to 0.001 ft/s


def rows(name: str) -> list[dict[str, str]]:
    text = Path(__file__).with_name(name).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def effect(condition: str) -> str:
    (row,) = (row for row in rows("takeoff_factors.csv") if row["condition"] == condition)
    return row["effect"]


@pytest.mark.parametrize("row", rows("takeoff_ground_run.csv"), ids=lambda row: row["id"])
def test_ground_run_at_constant_thrust_is_the_closed_integral(row: dict[str, str]) -> None:
    """The integrated run agrees with the exact constant-thrust integral (class L, closed form)."""
    wing_m2 = float(row["S_ft2"]) * FT_M**2
    lift = float(row["CL_ground"])
    phi = wheels.ground_effect_ratio(float(row["wing_height_ft"]) * FT_M, float(row["span_ft"]) * FT_M)
    induced = phi * lift**2 / (math.pi * float(row["e"]) * float(row["AR"]))
    roll = Roll(
        mass_kg=float(row["W_lb"]) * LB_KG,
        density_kg_per_m3=float(row["rho_slug_ft3"]) * SLUG_PER_FT3_KG_PER_M3,
        lift_area_m2=lift * wing_m2,
        drag_area_m2=(float(row["CD0"]) + induced) * wing_m2,
        friction=float(row["mu"]),
    )
    thrust_n = float(row["T_lbf_constant"]) * LBF_N
    marks = run_marks(roll, lambda _: thrust_n, 0.0, float(row["VLO_ft_s"]) * FT_M)
    exact_ft = float(row["S_exact_constant_thrust_ft"])

    assert marks.distance_m[-1] / FT_M == pytest.approx(exact_ft, abs=PRINTED_FT + GRAVITY_RATIO * exact_ft, rel=0)


@pytest.mark.parametrize("row", rows("takeoff_ground_run.csv"), ids=lambda row: row["id"])
def test_ground_effect_on_induced_drag(row: dict[str, str]) -> None:
    """The ratio is that of McCormick's form (from memory) for each worked aeroplane, printed to five digits."""
    phi = wheels.ground_effect_ratio(float(row["wing_height_ft"]) * FT_M, float(row["span_ft"]) * FT_M)

    assert phi == pytest.approx(float(row["phi"]), abs=0.5e-5, rel=0)


@pytest.mark.parametrize("row", rows("hydroplaning.csv"), ids=lambda row: row["tyre_pressure_psi"] + " psi")
def test_hydroplaning_speed(row: dict[str, str]) -> None:
    """9 and 7.7 times the root of the pressure in psi give knots (NASA TN D-2056 and guidance after Horne)."""
    pressure_pa = float(row["tyre_pressure_psi"]) * PSI_PA
    rotating = wheels.hydroplaning_speed(pressure_pa, rotating=True) / KT_M_PER_S
    touching = wheels.hydroplaning_speed(pressure_pa, rotating=False) / KT_M_PER_S

    assert rotating == pytest.approx(float(row["V_rotating_kt_9sqrt"]), abs=0.5e-4, rel=0)
    assert touching == pytest.approx(float(row["V_nonrotating_kt_7.7sqrt"]), abs=0.5e-4, rel=0)


@pytest.mark.parametrize("row", rows("hydroplaning.csv"), ids=lambda row: row["tyre_pressure_psi"] + " psi")
def test_hydroplaning_speed_in_statute_miles_per_hour(row: dict[str, str]) -> None:
    """The statute form is the knot form; its factor, 10.357, is printed cut off to 10.35, not rounded."""
    pressure_pa = float(row["tyre_pressure_psi"]) * PSI_PA
    cut_off = 0.01 / 10.35  # one unit of the last digit of the printed factor

    found = wheels.hydroplaning_speed(pressure_pa, rotating=True) / MPH_M_PER_S

    assert found == pytest.approx(float(row["V_mph_10.35sqrt"]), abs=0.5e-4, rel=cut_off)


@pytest.mark.parametrize("row", rows("crosswind.csv"), ids=lambda row: row["wind_angle_deg"] + " deg")
def test_wind_along_and_across_the_runway(row: dict[str, str]) -> None:
    """A wind of 20 kt at each angle to the runway gives the printed components (trigonometry)."""
    parts = wind_components(92.0, Wind((92.0 + float(row["wind_angle_deg"])) % 360.0, 20.0 * KT_M_PER_S))

    assert parts.headwind_m_per_s / KT_M_PER_S == pytest.approx(float(row["headwind_kt_for_20kt"]), abs=5e-4, rel=0)
    assert parts.crosswind_m_per_s / KT_M_PER_S == pytest.approx(float(row["crosswind_kt_for_20kt"]), abs=5e-4, rel=0)


PLAIN = Roll(20000.0, 1.2, 40.0, 7.0, 0.02)
LIFT_OFF_M_PER_S = 45.0


def run_m(roll: Roll, thrust_n: float, unstick: float = LIFT_OFF_M_PER_S) -> float:
    return run_marks(roll, lambda _: thrust_n, roll.headwind_m_per_s, unstick).distance_m[-1]


@pytest.mark.parametrize(
    ("condition", "share", "factor"),
    [("headwind 10 percent of lift-off speed", 0.1, 0.81), ("tailwind 10 percent", -0.1, 1.21)],
)
def test_wind_of_a_tenth_of_the_unstick_speed(condition: str, share: float, factor: float) -> None:
    """FAA-H-8083-25 (from memory): 19 % less and 21 % more, which is exact for a constant force."""
    assert f"{abs(round(100 * (factor - 1)))} percent" in effect(condition).replace("-", "").replace("+", "")
    free = Roll(20000.0, 1.2, 0.0, 0.0, 0.0, headwind_m_per_s=share * LIFT_OFF_M_PER_S)
    calm = Roll(20000.0, 1.2, 0.0, 0.0, 0.0)

    assert run_m(free, 40000.0) / run_m(calm, 40000.0) == pytest.approx(factor, rel=1e-9)


def test_head_wind_of_half_the_unstick_speed_leaves_a_quarter_of_the_run() -> None:
    """FAA-H-8083-25 (from memory): about 25 per cent of the calm value; exact for a constant force."""
    assert "25 percent" in effect("headwind 50 percent")
    free = Roll(20000.0, 1.2, 0.0, 0.0, 0.0, headwind_m_per_s=0.5 * LIFT_OFF_M_PER_S)
    calm = Roll(20000.0, 1.2, 0.0, 0.0, 0.0)

    assert run_m(free, 40000.0) / run_m(calm, 40000.0) == pytest.approx(0.25, rel=1e-9)


@pytest.mark.parametrize(("thrust_n", "low", "high"), [(80000.0, 1.21, 1.23), (32000.0, 1.25, 1.30)])
def test_a_tenth_more_weight(thrust_n: float, low: float, high: float) -> None:
    """FAA-H-8083-25: at least 21 % more run; 21-22 % with much thrust for the weight, 25-30 % with little."""
    assert "+21" in effect("high thrust-to-weight")
    assert "+25 to +30" in effect("low thrust-to-weight aeroplane, 10 percent more weight")
    heavier = Roll(22000.0, 1.2, PLAIN.lift_area_m2, PLAIN.drag_area_m2, PLAIN.friction)

    ratio = run_m(heavier, thrust_n, LIFT_OFF_M_PER_S * math.sqrt(1.1)) / run_m(PLAIN, thrust_n)

    assert low <= ratio <= high


def test_slope_formula_of_the_flight_test_handbook() -> None:
    """SFTE handbook 2013, chapter 12: level run = sloping run * (1 - W sin(slope) / excess force)."""
    slope, thrust_n = 0.02, 40000.0
    level = Roll(20000.0, 1.2, 0.0, 0.0, 0.0)
    uphill = Roll(20000.0, 1.2, 0.0, 0.0, 0.0, slope_ratio=slope)
    weight_n = 20000.0 * G_M_PER_S2

    assert run_m(level, thrust_n) == pytest.approx(
        run_m(uphill, thrust_n) * (1.0 - weight_n * slope / thrust_n), rel=1e-9
    )


def test_wind_credit_of_the_transport_category_rule() -> None:
    """14 CFR 121.177(b): half of a head wind, one and a half times a tail wind; 12 kt reported gives 6 kt to use."""
    assert "50 percent of headwind, 150 percent of tailwind" in effect("wind credit in transport certification")

    assert wheels.creditable_headwind(12.0, 0.5, 1.5) == pytest.approx(6.0)
    assert wheels.creditable_headwind(-4.0, 0.5, 1.5) == pytest.approx(-6.0)


def test_air_distance_is_the_handbook_formula() -> None:
    """SFTE handbook 2013, chapter 12: W/(T-D) * ((V50^2 - VLO^2)/2g + 50 ft), by hand at 9,000 lbf."""
    by_hand_ft = 56000.0 / 9000.0 * ((200.0**2 - 165.0**2) / (2.0 * 32.174049) + 50.0)

    found_m = air_distance.climb_away_distance(
        56000.0 * LB_KG, lambda _: 9000.0 * LBF_N, 165.0 * FT_M, 200.0 * FT_M, 50.0 * FT_M
    )

    assert found_m / FT_M == pytest.approx(by_hand_ft, rel=1e-6)
