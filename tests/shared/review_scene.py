"""A constructed flight that keeps every rule of the house set, for tests that move one figure at a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from types import SimpleNamespace
from typing import Any

from briefgen.model.ledger import Value
from briefgen.model.mission import Action, CrewMember, FuelLoad, Height, Leg, Mission, Run
from briefgen.model.performance import Ceiling, EngineConfiguration, LongRange
from briefgen.model.plan import Finding, Node, Phase
from briefgen.model.rules import Rule, RuleSet
from briefgen.planning.flight.fuel_policy import Diversion
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.review.rules import write_review
from briefgen.planning.sections.basis.groups import write_groups
from briefgen.planning.sections.basis.inputs import WeatherWritten
from briefgen.planning.sections.risks import write_risks
from briefgen.planning.sections.weather.section import IssueFigures
from briefgen.spec import read_mission
from tests.shared.constructed import constructed
from tests.shared.demo_missions import SPECS

FT, LB, KT, IN, SM, H = 0.3048, 0.45359237, 1852.0 / 3600.0, 0.0254, 1609.344, 3600.0
START = datetime(2027, 2, 17, 20, 0, tzinfo=UTC)
FLOW = 0.1  # fuel flow in cruise [kg/s]
DENSITY = 720.0  # of the fuel [kg/m3]
MASS = 25_000.0
FUEL_ENTRIES = {
    "fuel.ramp": 4000.0,
    "fuel.required.unusable": 20.0,
    "fuel.required.taxi": 30.0,
    "fuel.required.trip": 1080.0,
    "fuel.required.contingency": 60.0,
    "fuel.required.alternate": 300.0,
    "fuel.required.final_reserve": 300.0,
    "fuel.required.total": 1790.0,
    "phase.05-cruise.fuel_remaining": 2500.0,
}
TIMES = {
    "time.take_off": START,
    "time.landing": START + timedelta(hours=4),
}


class Climber:
    """Answers of an aircraft whose ceilings are given by hand."""

    engine_configurations = (
        EngineConfiguration("four", 4, ""),
        EngineConfiguration("three", 3, "one outer"),
        EngineConfiguration("two", 2, "both outers"),
    )

    def __init__(self, ceilings_m: dict[str, float]) -> None:
        self.ceilings_m = ceilings_m
        self.asked_m_per_s: list[float] = []

    def ceiling(
        self,
        mass_kg: float,
        isa_deviation_k: float,
        *,
        engines: str,
        rate_m_per_s: float,
        ias_m_per_s: float = 60.0,
        icing: bool = False,
    ) -> Ceiling:
        self.asked_m_per_s.append(rate_m_per_s)
        return Ceiling(self.ceilings_m[engines], rate_m_per_s, engines, False)

    def stall_ias_m_per_s(self, mass_kg: float, configuration: str) -> float:
        return 45.0

    def best_climb_speed(self, mass_kg: float, air: Any, *, engines: str | None = None) -> float:
        return 60.0

    def speeds(self, mass_kg: float) -> Any:
        return SimpleNamespace(climb_m_per_s=60.0)

    def cruise(self, mass_kg: float, air: Any, target: Any, *, engines: str) -> Any:
        return SimpleNamespace(fuel_flow_kg_per_s=FLOW, tas_m_per_s=50.0)


@dataclass(frozen=True)
class Scene:
    """Everything a review looks at."""

    mission: Mission
    phases: tuple[Phase, ...]
    entries: dict[str, tuple[Value, str]]
    performance: Climber | None

    def written(self) -> LedgerWriter:
        """Return a ledger that holds what stands in the scene, as the records that a plan has."""
        writer = LedgerWriter({})
        write_groups(self.mission, writer)
        for record in constructed(self.entries, writer):
            writer.adopt(record)
        writer.adopt(WeatherWritten(self.mission))
        writer.adopt(IssueFigures(self.mission))
        write_risks(self.mission, writer)
        return writer

    @property
    def diversions(self) -> tuple[Diversion, ...]:
        """The ways to the alternates: level at the height written for them, for half an hour."""
        return tuple(
            Diversion(
                one.place.ident,
                (
                    replace(
                        cruise(node(4 * H, 2400.0, one.height.value_m), node(4.5 * H, 2100.0, one.height.value_m)),
                        item=None,
                    ),
                ),
            )
            for one in self.mission.alternates
        )

    def judged(self, rule: Rule) -> tuple[Finding | None, LedgerWriter]:
        """Return the finding of one rule, None if it does not concern the mission."""
        writer = self.written()
        rules = RuleSet("one rule", self.mission.rules.fuel, (rule,))
        mission = replace(self.mission, rules=rules)
        findings = write_review(mission, self.phases, writer, self.performance, (), self.diversions)  # type: ignore[arg-type]
        return (findings[0] if findings else None), writer


Change = Callable[[Scene], Scene]


def put(values: dict[str, Value]) -> Change:
    """Return the change that gives entries other values, in their old units."""
    return lambda scene: replace(
        scene, entries=scene.entries | {key: (value, scene.entries[key][1]) for key, value in values.items()}
    )


def without(*keys: str) -> Change:
    """Return the change that takes entries away."""
    return lambda scene: replace(scene, entries={k: v for k, v in scene.entries.items() if k not in keys})


def mission_with(**fields: Any) -> Change:
    """Return the change that gives the mission other fields."""
    return lambda scene: replace(scene, mission=replace(scene.mission, **fields))


def both(*changes: Change) -> Change:
    """Return several changes in one."""

    def change(scene: Scene) -> Scene:
        for one in changes:
            scene = one(scene)
        return scene

    return change


@lru_cache(maxsize=1)
def demo() -> Mission:
    """Return the demo mission, which lends the constructed flight its aircraft, places and rules."""
    return read_mission(SPECS / "cedar-lantern.yaml")


def rule(ident: str) -> Rule:
    """Return a rule of the house set, one that the demo mission's own set puts aside among them."""
    rules = demo().rules
    every = (*rules.rules, *(aside.rule for aside in rules.set_aside))
    return next(one for one in every if one.ident == ident)


def node(after_s: float, fuel_kg: float, altitude_m: float = 9000.0 * FT, **place: float) -> Node:
    """Return a moment of the flight at a height that is the same on both settings."""
    lat, lon = place.get("lat", -15.55), place.get("lon", 167.2)
    instant = START + timedelta(seconds=after_s)
    return Node(instant, lat, lon, 0.0, altitude_m, altitude_m, MASS - after_s * FLOW, fuel_kg, 80.0)


def cruise(*nodes: Node) -> Phase:
    """Return the cruise along the one leg."""
    return Phase("05-cruise", "cruise", "Cruise", 0, nodes, tas_m_per_s=80.0, temperature_k=270.0)


def phases_at(altitude_m: float, seconds: float = 3 * H) -> tuple[Phase, ...]:
    """Return a flight that cruises at one height for a time."""
    return (
        Phase("04-take-off", "take-off", "Take-off", None, (node(-60.0, 3590.0, 60.0), node(0.0, 3580.0, 60.0))),
        cruise(node(0.0, 3580.0, altitude_m), node(seconds, 3580.0 - FLOW * seconds, altitude_m)),
        Phase(
            "07-approach", "approach", "Approach", None, (node(4 * H, 2400.0, 300.0), node(4 * H + 60, 2390.0, 60.0))
        ),
    )


def good() -> Scene:
    """Return a flight that keeps every rule."""
    mission = demo()
    origin, drop = mission.route.origin, next(one for one in mission.route.items if isinstance(one, Action))
    leg = Leg(origin, Height(9000.0 * FT, "altitude"), LongRange(), 6700.0 * FT)
    work = replace(drop, height=Height(900.0 * FT, "altitude"), runs=(Run(None, 60.0),))
    mission = replace(
        mission,
        route=replace(mission.route, items=(leg, work), destination=origin),
        crew=tuple(CrewMember(one.position, "Vesk", 190.0 * LB) for one in mission.crew),
        fuel=FuelLoad("at ramp", 4000.0 / DENSITY, {}, 0.0, DENSITY),
    )
    entries: dict[str, tuple[Value, str]] = {key: (value, "lb") for key, value in FUEL_ENTRIES.items()}
    entries |= {key: (value, "UTC") for key, value in TIMES.items()}
    assert mission.times.over_target is not None
    entries["time.over_target"] = (mission.times.over_target.instant, "UTC")
    entries |= {f"mass.{state}": (MASS, "lb") for state in ("ramp", "take_off", "landing")}
    entries |= {"mass.zero_fuel": (20_000.0, "lb"), "duration.duty": (8 * H, "h:min")}
    for state in ("take_off", "run.01.door"):
        entries |= {f"balance.{state}.nearest": ("aft limit", ""), f"balance.{state}.lateral_moment": (1000.0, "lb in")}
        entries |= {f"balance.{state}.{end}_margin": (0.2, "in") for end in ("forward", "aft")}
    for field in ("departure.lx01", "lx01", "lx04"):
        head = f"weather.field.{field}"
        entries |= {f"{head}.ceiling": (1500.0, "ft"), f"{head}.visibility": (10_000.0, "km")}
        entries |= {f"{head}.crosswind": (1.0, "kt"), f"{head}.tailwind": (-3.0, "kt")}
    for name in ("ground_run", "distance_50ft", "accelerate_stop", "accelerate_go"):
        entries[f"fields.take_off.lx01.{name}.distance"] = (1000.0, "ft")
    entries |= {
        "fields.take_off.lx01.obstacle.01.failed": (60.0, "ft"),
        "fields.take_off.lx01.obstacle.01.height": (60 * FT, "ft"),
    }
    entries["fields.take_off.lx01.obstacle.01.over"] = (100.0, "ft")
    entries["fields.take_off.lx01.available"] = (2000.0, "ft")
    for ident in ("lx01", "lx04"):
        entries |= {
            f"fields.landing.{ident}.distance": (1000.0, "ft"),
            f"fields.landing.{ident}.available": (2000.0, "ft"),
        }
    for phase in ("phase.04-take-off", "phase.07-approach", "alternate.lx04.03-approach"):
        entries[f"{phase}.light"] = ("day", "")
    entries["phase.05-cruise.course_magnetic"] = (90.0, "degM")
    entries |= {"oxygen.required": (0.0, "h:min"), "oxygen.available": (5 * H, "h:min")}
    entries |= {"engine_out.left": (1000.0, "lb"), "engine_out.phase": ("Cruise", "")}
    ceilings = {"four": 6000.0, "three": 4000.0, "two": 2500.0}
    return Scene(mission, phases_at(9000.0 * FT), entries, Climber(ceilings))
