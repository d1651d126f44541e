"""The rule files against the formulas of the documents they name, through the numbers the files give."""

from __future__ import annotations

import re
from functools import lru_cache, partial

import pytest

from briefgen.model.rules import Rule, RuleSet
from briefgen.planning.flight.heights import level_error_m
from briefgen.planning.review.checks.engines import required_climb_m_per_s
from briefgen.planning.review.checks.fuel import capped_time
from briefgen.spec.build.rules import build_rules
from briefgen.spec.tree.files import SpecFiles
from briefgen.units import to_si
from tests.shared.demo_missions import SPECS
from tests.shared.published_rows import half_digit, rows

MINUTE, FT, KT = 60.0, 0.3048, 1852.0 / 3600.0
CAPPED = {
    "US121.641-ALT / US121.643-INTL": "growing-reserve",
    "US121.643-NOALT": "three-hours-without-alternate",
    "ICAO-I-ISOL-PISTON": "island-reserve",
}
CLIMB = {"RP-179": "climb-all-engines", "RP-181": "climb-one-out", "RP-183-CLIMB": "climb-two-out"}
RUNWAY = {"RP-187-70": "landing-alternate", "RP-185-60": "landing-destination"}


@lru_cache(maxsize=1)
def house() -> RuleSet:
    files = SpecFiles(SPECS)
    checked = files.open("rules/house-cargo.yaml", "rules")
    assert checked is not None
    built = build_rules(checked, partial(files.refer, kind="rules"))
    assert built is not None
    return built


def rule(ident: str) -> Rule:
    return next(one for one in house().rules if one.ident == ident)


def number(rule_ident: str, name: str) -> float:
    value = rule(rule_ident).parameters[name]
    assert isinstance(value, float)
    return value


def figures(text: str) -> list[float]:
    return [float(one.replace(",", "")) for one in re.findall(r"(?:=|\b)(\d[\d,]*(?:\.\d+)?) (?:min|lb|kt|ft)", text)]


@pytest.mark.parametrize(
    "row", [r for r in rows("rules_fuel_checks") if r["unit"] == "min"], ids=lambda r: r["check_id"]
)
def test_reserves_that_grow_with_the_flight(row: dict[str, str]) -> None:
    ident = CAPPED[row["rule_id"]]
    flown_s = sum(figures(row["inputs"])) * MINUTE

    found = capped_time(number(ident, "base"), number(ident, "share"), flown_s, number(ident, "cap"))

    assert found / MINUTE == pytest.approx(float(row["expected"]), rel=0, abs=half_digit(row["expected"]))


@pytest.mark.parametrize(
    "row", [r for r in rows("rules_fuel_checks") if "total" in r["quantity"]], ids=lambda r: r["check_id"]
)
def test_total_fuel_with_a_fixed_reserve(row: dict[str, str]) -> None:
    trip_min, flow_lb_per_h = figures(row["inputs"])
    fixed = {"US91.167-NOALT": ("ifr-reserve", "reserve"), "US121.643-NOALT": ("three-hours-without-alternate", "base")}
    reserve_min = number(*fixed[row["rule_id"]]) / MINUTE

    found = (trip_min + reserve_min) / 60.0 * flow_lb_per_h

    assert found == pytest.approx(float(row["expected"]), rel=0, abs=half_digit(row["expected"]))


@pytest.mark.parametrize(
    "row", [r for r in rows("rules_fuel_checks") if r["quantity"] == "contingency"], ids=lambda r: r["check_id"]
)
def test_contingency_fuel_is_the_larger_of_share_and_holding(row: dict[str, str]) -> None:
    trip_lb, holding_lb_per_h = figures(row["inputs"])

    found = max(number("contingency", "share") * trip_lb, number("contingency", "holding") / 3600.0 * holding_lb_per_h)

    assert found == pytest.approx(float(row["expected"]), rel=0, abs=half_digit(row["expected"]))


@pytest.mark.parametrize(
    "row", [r for r in rows("rules_performance_checks") if r["unit"] == "fpm"], ids=lambda r: r["check_id"]
)
def test_rates_of_climb(row: dict[str, str]) -> None:
    ident = CLIMB[row["rule_id"]]
    stall_kt = figures(row["inputs"])[-1]
    engines = re.search(r"N=(\d)", row["inputs"])

    found = required_climb_m_per_s(
        stall_kt * KT, int(engines[1]) if engines else 4,
        number(ident, "linear"), number(ident, "square"), number(ident, "square per engine"),
    )  # fmt: skip

    assert found / FT * MINUTE == pytest.approx(float(row["expected"]), rel=0, abs=half_digit(row["expected"]))


@pytest.mark.parametrize(
    "row", [r for r in rows("rules_performance_checks") if r["unit"] == "ft"], ids=lambda r: r["check_id"]
)
def test_shares_of_the_runway(row: dict[str, str]) -> None:
    share, given_ft = number(RUNWAY[row["rule_id"]], "runway share"), figures(row["inputs"])[-1]

    found = given_ft / share if row["quantity"].startswith("required") else given_ft * share

    assert found == pytest.approx(float(row["expected"]), rel=0, abs=half_digit(row["expected"]))


PROVENANCE = {"S": "seen", "M": "from memory"}


@pytest.mark.parametrize("row", rows("rules_as_published"), ids=lambda r: f"{r['ident']} {r['parameter']}")
def test_the_numbers_of_the_rule_files_are_the_published_ones(row: dict[str, str]) -> None:
    found = number(row["ident"], row["parameter"])

    assert found == pytest.approx(to_si(float(row["value"]), row["unit"]), rel=1e-12)
    assert row["source"] in rule(row["ident"]).source
    assert rule(row["ident"]).provenance == PROVENANCE[row["provenance"]]


@pytest.mark.parametrize("row", rows("cruising_levels"), ids=lambda r: f"{r['system']} {r['course_from_deg']}")
def test_cruising_levels_are_right_on_their_own_courses_and_wrong_on_the_others(row: dict[str, str]) -> None:
    offset_m = 500.0 * FT if row["system"] == "visual" else 0.0
    for level_ft in map(float, row["levels_ft"].split(";")):
        for course in (float(row["course_from_deg"]), float(row["course_to_deg"]), float(row["course_to_deg"]) + 0.999):
            there = level_error_m(level_ft * FT, course, offset_m)
            across = level_error_m(level_ft * FT, (course + 180.0) % 360.0, offset_m)

            assert there == pytest.approx(0.0, abs=1e-6)
            assert across == pytest.approx(1000.0 * FT)


def test_a_rule_from_memory_says_so_and_no_published_rule_is_without_its_document() -> None:
    for one in house().rules:
        assert one.provenance in ("seen", "from memory", "house")
        if one.provenance != "house":
            assert re.search(r"CFR|ICAO|MIL-STD|TM |FAA", one.source), one.ident
