"""A phase is named by what it is: a step climb or a stop that is put in leaves the names of all the others as they were."""

from __future__ import annotations

from dataclasses import replace

from briefgen.kernel.constants import FT_M, NMI_M
from briefgen.model.mission import Height, HeightChange, Leg, Mission, RouteItem
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.route import each_once, item_keys
from tests.shared.demo_missions import mission_of

PLAIN = (
    "start-lx02", "taxi-lx02", "run-up-lx02", "take-off-lx02", "climb-from-lx02", "cruise-to-lx01", "descent-to-lx01",
    "approach-lx01", "taxi-in-lx01", "shutdown-lx01",
)  # fmt: skip


def names(mission: Mission, *items: RouteItem) -> tuple[str, ...]:
    paths = mission.route.paths[:1] * len(items)
    flown = fly(replace(mission, route=replace(mission.route, items=items, paths=paths)))
    return tuple(phase.ident for phase in flown.phases)


def leg_of(mission: Mission) -> Leg:
    (leg,) = mission.route.items
    assert isinstance(leg, Leg)
    return leg


def test_a_step_climb_names_its_own_phases_and_no_other() -> None:
    mission = mission_of("mudlark")
    leg = leg_of(mission)
    step = HeightChange(30.0 * NMI_M, Height(8_500.0 * FT_M, "altitude"))

    assert names(mission, leg) == PLAIN
    stepped = names(mission, replace(leg, changes=(step,)))

    assert [name for name in stepped if name in PLAIN] == list(PLAIN)
    assert [name for name in stepped if name not in PLAIN] == ["cruise-to-lx01-step-1", "climb-from-lx01-step-1"]


def test_a_stop_on_the_way_names_its_own_phases_and_no_other() -> None:
    """Over another field first: what is flown from there to the end keeps its names, and so do the keys of the leg home."""
    mission = mission_of("mudlark")
    leg = leg_of(mission)
    over = replace(leg, to=next(place for place in mission.places if place.ident == "LX05"))

    stopped = names(mission, over, leg)

    assert [name for name in stopped if name in PLAIN] == list(PLAIN)
    assert [name for name in stopped if name not in PLAIN] == ["cruise-to-lx05"]
    assert item_keys((over, leg)) == ("leg.lx05", "leg.lx01")


def test_only_twins_are_counted_and_the_first_keeps_its_name() -> None:
    assert each_once(("run-saddle", "hold-lx01", "run-saddle")) == ("run-saddle", "hold-lx01", "run-saddle-2")
