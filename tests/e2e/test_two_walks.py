"""Two walks from what was written to what is carried: the weight at take-off, and the wind on the runway.

Each stands in one entry; it is turned into SI where it is read, and into a printed unit where it is printed, and nowhere between.
"""

from __future__ import annotations

import re

from briefgen.document.cards.take_off import take_off_face
from briefgen.document.pages.contents import site_pages
from briefgen.document.parts.assemble import source_of
from briefgen.kernel.constants import LB_KG
from tests.e2e.test_one_figure_one_print import shown
from tests.perturbation import Origins
from tests.shared.demo_missions import plan_of

PLAN = plan_of("mudlark")
SOURCE = source_of(PLAN)


def whole(text: str) -> int:
    """Return a printed or written whole number."""
    return int(re.sub(r"[^\d]", "", text))


def test_the_weight_at_take_off() -> None:
    """37,840 lb is written of the aircraft; with crew, equipment, load and fuel less what is burnt before it, it is the card's."""
    ledger, printed = PLAN.ledger, SOURCE.printed
    basic = ledger["mass.basic"]
    assert basic.given is not None
    assert whole(basic.given.text) == whole(printed["mass.basic"]) == 37_840
    assert isinstance(basic.value, float)
    assert abs(basic.value - 37_840 * LB_KG) < 1e-6, "one conversion in"

    zero_fuel = sum(whole(printed[f"mass.{name}"]) for name in ("basic", "equipment", "crew", "payload"))
    assert zero_fuel == whole(printed["mass.zero_fuel"])
    before = [f"phase.{phase.ident}.fuel_burn" for phase in PLAN.phases if phase.of("start", "taxi", "run-up")]
    on_paper = whole(printed["mass.ramp"]) - sum(whole(printed[key]) for key in before)
    assert on_paper == whole(printed["mass.take_off"])

    on_the_card = [text for key, text in shown(take_off_face(SOURCE)) if key == "mass.take_off"]
    on_the_site = {text for page in site_pages(SOURCE) for key, text in shown(page.blocks) if key == "mass.take_off"}
    assert on_the_card == [printed["mass.take_off"]]
    assert on_the_site == {printed["mass.take_off"]}, "one conversion out"
    assert Origins(PLAN).rests_on("mass.take_off", re.compile(r"mass\.basic$"))


def test_the_wind_on_the_runway() -> None:
    """150 T at 6 kt is forecast for three o'clock: one entry for it, shown on the card, and behind every distance."""
    speeds = [
        key for key in PLAN.ledger.entries if key.startswith("weather.field.departure.") and key.endswith(".wind_speed")
    ]
    (speed,) = speeds
    assert SOURCE.printed[speed] == "6"

    (wind,) = [text for key, text in shown(take_off_face(SOURCE)) if key and key.endswith(".wind_from")]
    assert wind.endswith(" / 6")
    origins = Origins(PLAN)
    along = re.compile(r"weather\.field\.departure\.lx02\.(?:tailwind|wind_speed|crosswind)$")
    distances = [key for key in PLAN.ledger.entries if re.match(r"fields\.take_off\.lx02\.[a-z_0-9]+\.distance$", key)]
    assert len(distances) >= 3
    assert all(origins.rests_on(key, along) for key in distances)
