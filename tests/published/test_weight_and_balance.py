"""Handbook problems of weight and balance, solved with the kernel, at half a unit of the last printed digit.

Sources and provenance of every problem stand at the head of weight_and_balance.csv.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from briefgen.kernel import balance

LB_KG = 0.45359237  # exact, NIST SP 811
IN_M = 0.0254  # exact, NIST SP 811
FT_M = 0.3048  # exact, NIST SP 811
UNITS = {"lb": LB_KG, "in": IN_M, "lb in": LB_KG * IN_M, "kg": 1.0, "m": 1.0, "%": 0.01, "US gal": 1.0}


def _rows() -> list[dict[str, str]]:
    text = Path(__file__).with_name("weight_and_balance.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


ROWS = _rows()


def inputs(problem: str) -> dict[str, float]:
    """The inputs of a problem in SI."""
    return {
        row["quantity"]: float(row["value"]) * UNITS[row["unit"]]
        for row in ROWS
        if row["problem"] == problem and row["role"] == "input"
    }


def check(problem: str, **found: float) -> None:
    """Every printed answer of the problem was found, to half a unit of its last printed digit."""
    answers = {row["quantity"]: row for row in ROWS if row["problem"] == problem and row["role"] == "answer"}
    named = {name.replace("_", " ").replace("take off", "take-off"): value for name, value in found.items()}
    assert set(named) == set(answers)
    for name, row in answers.items():
        decimals = len(row["value"].partition(".")[2])
        half_digit = 0.5 * 10.0**-decimals
        in_printed_unit = named[name] / UNITS[row["unit"]]

        assert in_printed_unit == pytest.approx(float(row["value"]), abs=half_digit, rel=0), name


def test_wab_01_baggage_moved_aft_moves_the_centre_by_the_lever_rule() -> None:
    """FAA-H-8083-25 (2008) ch. 9, weight shifting (S)."""
    given = inputs("WAB-01")
    old = given["total moment"] / given["total"]
    distance = given["to"] - given["from"]

    check(
        "WAB-01",
        moment_change=balance.moment(given["moved"], given["to"]) - balance.moment(given["moved"], given["from"]),
        old_centre=old,
        new_centre=balance.arm_after_shift(given["total"], old, given["moved"], distance),
    )


@pytest.mark.parametrize("problem", ["WAB-03", "WAB-04", "WAB-15"])
def test_mass_added_or_taken_away_moves_the_centre(problem: str) -> None:
    """FAA-H-8083-25 (2008) ch. 9: added (S) and removed (M); a training problem with a forward hold (S, D)."""
    given = inputs(problem)

    check(
        problem,
        new_total=given["total"] + given["changed"],
        new_centre=balance.arm_after_change(given["total"], given["centre"], given["changed"], given["arm"]),
    )


def test_wab_05_weighing_less_tare_and_fuel_gives_the_empty_centre() -> None:
    """FAA AMT Handbook General ch. 4, figure 4-20 (inputs S, answers D)."""
    given = inputs("WAB-05")
    main = given["left scale"] + given["right scale"] - given["left tare"] - given["right tare"]
    nose = given["nose scale"] - given["nose tare"]
    fuel = given["fuel volume"] * given["fuel weight of a gallon"]
    masses = [main, nose, -fuel, given["unusable"]]
    arms = [given["main arm"], given["nose arm"], given["fuel arm"], given["unusable arm"]]

    check("WAB-05", empty_weight=sum(masses), empty_centre=balance.centre_of_gravity(masses, arms))


def test_wab_06_the_payload_is_what_the_tightest_limit_leaves() -> None:
    """FAA-H-8083-1B ch. 9, maximum payload with trip limits (S)."""
    given = inputs("WAB-06")
    limits = balance.greatest_payload(
        operating_mass_kg=given["operating"],
        zero_fuel_limit_kg=given["greatest zero fuel"],
        take_off_limit_kg=given["greatest take-off"],
        landing_limit_kg=given["greatest landing"],
        take_off_fuel_kg=given["fuel"],
        trip_fuel_kg=given["burn"],
    )

    check(
        "WAB-06",
        take_off=given["operating"] + limits + given["fuel"],
        zero_fuel=given["operating"] + limits,
        payload=limits,
    )


def test_wab_07_a_shift_from_hold_to_hold_in_index_arms() -> None:
    """FAA ATP knowledge-test supplement, WS-5 (change and new index arm S; chord M; the rest D)."""
    given = inputs("WAB-07")
    old = balance.arm_at_chord_ratio(given["loaded chord percent"], given["leading edge"], given["chord"])
    new = balance.arm_after_shift(given["total"], old, given["moved"], given["to"] - given["from"])

    check(
        "WAB-07",
        change=new - old,
        old_centre=old,
        new_centre=new,
        new_chord_percent=balance.chord_ratio(new, given["leading edge"], given["chord"]),
    )


def test_wab_09_percent_of_the_mean_aerodynamic_chord() -> None:
    """FAA-H-8083-1A ch. 3 (M)."""
    given = inputs("WAB-09")
    chord = given["trailing edge"] - given["leading edge"]

    check("WAB-09", chord_percent=balance.chord_ratio(given["centre"], given["leading edge"], chord))


@pytest.mark.parametrize("problem", ["WAB-10", "WAB-13"])
def test_mass_added_to_bring_the_centre_to_a_limit(problem: str) -> None:
    """FAA-H-8083-1A ch. 7, permanent ballast (S and M, answer M); a training problem (S, D)."""
    given = inputs(problem)

    check(problem, added=balance.mass_to_add(given["total"], given["centre"], given["wanted"], given["arm"]))


def test_wab_18_mean_pressure_under_a_rated_pallet() -> None:
    """NAVEDTRA 14081 and 14233, 463L pallet (S, D)."""
    given = inputs("WAB-18")

    check(
        "WAB-18",
        load_of_a_square_foot=balance.floor_loading(given["load"], given["length"], given["width"]) * FT_M**2,
    )


def test_wab_14_transfer_between_holds_to_move_the_percent_chord() -> None:
    """Training problem (inputs S, answers D)."""
    given = inputs("WAB-14")
    before = balance.arm_at_chord_ratio(given["chord percent before"], given["leading edge"], given["chord"])
    after = balance.arm_at_chord_ratio(given["chord percent after"], given["leading edge"], given["chord"])
    moved = balance.mass_to_shift(given["total"], after - before, given["first hold"] - given["fourth hold"])

    check(
        "WAB-14",
        change=after - before,
        transfer=moved,
        first_hold_after=given["first hold mass"] + moved,
        fourth_hold_after=given["fourth hold mass"] - moved,
    )


def test_wab_16_the_law_of_the_lever() -> None:
    """FAA-H-8083-1A ch. 2 (M)."""
    given = inputs("WAB-16")
    masses = [given[f"weight {number}"] for number in (1, 2, 3)]
    arms = [given[f"arm {number}"] for number in (1, 2, 3)]

    check("WAB-16", centre=balance.centre_of_gravity(masses, arms))


def test_wab_20_zero_fuel_take_off_and_landing_of_a_four_engine_loading() -> None:
    """Not a published airplane: computed for the check from WBF-02 and WBF-07 (D)."""
    given = inputs("WAB-20")
    stations = ["operating", "crew", "forward cargo", "aft cargo", "passengers"]
    masses = [given[f"weight {name}"] for name in stations]
    arms = [given[f"arm {name}"] for name in stations]
    tank_arms = [given["arm main"], given["arm auxiliary"]]
    fuel = [given["fuel main"], given["fuel auxiliary"]]
    left = [given["fuel main"] - given["burn main"], given["fuel auxiliary"] - given["burn auxiliary"]]
    centres = {
        "zero_fuel": balance.centre_of_gravity(masses, arms),
        "take_off": balance.centre_of_gravity(masses + fuel, arms + tank_arms),
        "landing": balance.centre_of_gravity(masses + left, arms + tank_arms),
    }
    chords = {
        f"{name}_chord_percent": balance.chord_ratio(arm, given["leading edge"], given["chord"])
        for name, arm in centres.items()
    }

    check("WAB-20", **{f"{name}_centre": arm for name, arm in centres.items()}, **chords)


def test_wab_21_unequal_wing_fuel_moves_the_lateral_centre() -> None:
    """Not a published airplane: computed for the check from WBF-15 (D)."""
    given = inputs("WAB-21")
    lateral = balance.moment(-given["short on the left"], -given["tank lateral arm"]) + balance.moment(
        given["extra on the right"], given["tank lateral arm"]
    )
    centre = balance.centre_of_gravity(
        [given["total"], -given["short on the left"], given["extra on the right"]],
        [0.0, -given["tank lateral arm"], given["tank lateral arm"]],
    )

    check("WAB-21", lateral_moment=lateral, lateral_centre=centre)
