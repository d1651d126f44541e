"""Each law that a plan is held against stops one that breaks it, and says what to send."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from briefgen.document import conservation
from briefgen.document.conservation import require_conservation
from briefgen.document.parts.format import Figures
from briefgen.errors import InternalError
from briefgen.model.ledger import Foot, Ledger
from briefgen.model.plan import Node, Plan
from tests.shared.demo_missions import plan_of

PLAN = plan_of("mudlark")
SECOND = timedelta(seconds=1)


def bent(plan: Plan, phase: int, node: int, **changes: object) -> Plan:
    """Return a plan with one node of one phase changed."""
    phases, nodes = [*plan.phases], [*plan.phases[phase].nodes]
    nodes[node] = replace(nodes[node], **changes)  # type: ignore[arg-type]
    phases[phase] = replace(phases[phase], nodes=tuple(nodes))
    return replace(plan, phases=tuple(phases))


def end(phase: int) -> Node:
    return PLAN.phases[phase].end


def test_a_sound_plan_passes() -> None:
    """Every demo plan is held against the laws whenever it is made."""
    require_conservation(PLAN)


@pytest.mark.parametrize(
    ("broken", "said"),
    [
        (bent(PLAN, 4, -1, mass_kg=end(4).mass_kg - 0.01), "of fuel burnt"),
        (bent(PLAN, 4, -1, fuel_kg=end(4).fuel_kg + 0.01, mass_kg=end(4).mass_kg + 0.01), "becomes"),
        (bent(PLAN, 0, -1, fuel_kg=PLAN.phases[0].start.fuel_kg + 1, mass_kg=PLAN.phases[0].start.mass_kg + 1), "the fuel grows"),
        (bent(PLAN, -1, -1, fuel_kg=-1.0, mass_kg=end(-1).mass_kg - end(-1).fuel_kg - 1.0), "kg of fuel remaining"),
        (bent(PLAN, 3, -1, instant=PLAN.phases[3].start.instant - SECOND), "time runs back"),
        (bent(PLAN, 3, -1, instant=end(3).instant + SECOND / 100), "the time jumps"),
        (bent(PLAN, 5, -1, distance_m=PLAN.phases[5].start.distance_m - 1), "the way flown shrinks"),
        (bent(PLAN, 5, -1, distance_m=end(5).distance_m + 1), "the way flown jumps"),
        (bent(PLAN, 5, -1, fuel_kg=float("nan")), "nan kg of fuel"),
        (replace(PLAN, phases=(*PLAN.phases[:3], replace(PLAN.phases[3], released_kg=0.01), *PLAN.phases[4:])), "released is not"),
    ],
)  # fmt: skip
def test_what_is_lost_between_two_lines_stops_the_plan(broken: Plan, said: str) -> None:
    """A gram, a hundredth of a second, a metre: nothing of the plan may be used."""
    with pytest.raises(InternalError, match=said) as caught:
        require_conservation(broken)

    text = caught.value.text()
    assert caught.value.exit_code == 3
    assert text.startswith("the plan contradicts itself: ")
    assert "\n--- report\nbriefgen " in text
    assert f"\nfiles {PLAN.mission.digest}\n" in text
    assert text.endswith("\n--- end of report")
    assert caught.value.at("m.yaml").text().startswith("m.yaml: the plan contradicts itself: ")


def test_a_promise_that_the_true_values_do_not_keep_stops_the_plan() -> None:
    """A sum whose parts are not its parts."""
    feet = (*PLAN.ledger.feet, Foot("fuel.required.total", ("fuel.required.trip",)))

    with pytest.raises(InternalError, match=r"fuel\.required\.total is "):
        require_conservation(replace(PLAN, ledger=Ledger(PLAN.ledger.entries, feet)))


def test_a_printed_sum_is_read_back_as_a_pencil_would(monkeypatch: pytest.MonkeyPatch) -> None:
    """One digit of one printed figure wrong: the sum it stands in is named."""
    foot = next(foot for foot in PLAN.ledger.feet if foot.result == "fuel.required.total")
    look_up = Figures.__getitem__
    wrong = foot.plus[0]
    monkeypatch.setattr(Figures, "__getitem__", lambda self, key: "1,234" if key == wrong else look_up(self, key))

    with pytest.raises(InternalError, match=r"fuel\.required\.total is printed .*, its parts 1,234 \+ "):
        require_conservation(PLAN)


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [("1,234", "lb", 1234), ("\u22121.5", "in", -1.5), ("2:05", "h:min", 125), ("\u22120:07", "h:min", -7), ("23:59", "UTC", 1439),
     ("00:10\u00a0+1", "UTC", 1450)],
)  # fmt: skip
def test_printed_figures_are_read_as_they_stand(
    text: str, unit: str, number: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Thousands, minus, hours and minutes, the next day."""
    figures = Figures(PLAN)
    key = "fuel.ramp"
    monkeypatch.setattr(Figures, "__getitem__", lambda self, name: text)
    figures.entries = {key: replace(PLAN.ledger[key], unit=unit)}

    assert conservation._read(figures, key) == number
