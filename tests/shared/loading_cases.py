"""An invented freighter, its load and a flight of straight lines, for tests of load, balance and tanks.

All figures are invented; they are round so that the expected values of the tests can be worked out by hand.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

from briefgen.model.aircraft import (
    Bay,
    CrewPosition,
    Door,
    Envelope,
    Fluid,
    Individual,
    MassAndBalance,
    MassLimits,
    RemovableEquipment,
    Restraint,
    Station,
    Tank,
)
from briefgen.model.curves import Curve
from briefgen.model.mission import Action, CrewMember, FuelLoad, LoadItem, Mission, Run
from briefgen.model.plan import Node, Phase
from briefgen.model.record import Record, figure
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.pieces import zero_fuel_mass_kg
from briefgen.planning.sections.basis.groups import WORDS, Group
from briefgen.planning.sections.basis.navigation import RampWeight
from briefgen.planning.sections.basis.phases import Chain, PhaseFigures, Roots
from briefgen.planning.sections.basis.written_load import DensityWritten, RampFuelWritten, Weights

LB = 0.45359237  # kg, exact: NIST SP 811
IN = 0.0254  # m, exact: NIST SP 811
FT = 0.3048  # m, exact: NIST SP 811
GAL = 231 * IN**3  # m3, exact: NIST SP 811
LBF = LB * 9.80665  # N, exact: NIST SP 811
DENSITY = 6.0 * LB / GAL
OFF_BLOCKS = datetime(2027, 2, 18, 0, 0, tzinfo=UTC)


def bay(name: str, begin: float, end: float, limit_lb: float, door: str | None = "cargo door", **more: Any) -> Bay:
    """A bay 60 inches square in section."""
    figures = {"lateral_arm_m": 0.0, "width_m": 60 * IN, "height_m": 60 * IN, "mass_limit_kg": limit_lb * LB,
               "floor_limit_kg_per_m2": 200 * LB / FT**2, "running_limit_kg_per_m": 1_000 * LB / FT}  # fmt: skip
    return Bay(name, begin * IN, end * IN, **{**figures, **more}, door=door)


def tank(name: str, gallons: float, arm: float, lateral: float, order: int) -> Tank:
    """A tank with 2 US gal of unusable fuel."""
    return Tank(name, gallons * GAL, 2 * GAL, arm * IN, lateral * IN, order, "all engines")


def envelope(name: str, *corners: tuple[float, float]) -> Envelope:
    """An envelope of inches and pounds."""
    return Envelope(name, tuple(arm * IN for arm, _ in corners), tuple(mass * LB for _, mass in corners))


BALANCE = MassAndBalance(
    datum="the nose",
    chord_leading_edge_arm_m=226 * IN,
    chord_m=176 * IN,
    limits=MassLimits(60_400 * LB, 60_000 * LB, 56_000 * LB, 52_000 * LB),
    envelopes=(
        envelope("flight", (255, 30_000), (255, 61_000), (288, 61_000), (288, 30_000)),
        envelope("take-off and landing", (258, 30_000), (258, 61_000), (286, 61_000), (286, 30_000)),
    ),
    stations=(
        Station("seat", 100 * IN, 0.0, None),
        Station("desk", 200 * IN, 0.0, None),
        Station("bench", 250 * IN, 0.0, None),
    ),
    bays=(
        bay("1", 150, 190, 2_000, "nose hatch"),
        bay("2", 200, 250, 4_000),
        bay("3", 250, 300, 4_000),
        bay("4", 300, 350, 4_000),
        bay("5", 350, 400, 3_000),
        bay("6", 400, 450, 3_000),
    ),
    doors=(
        Door("cargo door", 425 * IN, "left", 70 * IN, 60 * IN, True),
        Door("nose hatch", 120 * IN, "belly", 60 * IN, 60 * IN, False),
    ),
    tanks=(
        tank("bay tank", 202, 280, 0, 1),
        tank("main left", 502, 270, -200, 2),
        tank("main right", 502, 270, 200, 2),
    ),
    lateral_moment_limit_kg_m=600_000 * LB * IN,
    fuel_imbalance_limit_kg=1_000 * LB,
    preferred_arm_m=270 * IN,
    crew_mass_kg=200 * LB,
    equipment=(RemovableEquipment("raft", 300 * LB, 400 * IN, 0.0),),
    restraint=Restraint(3.0, 1.5, 1.5, 2.0, 5_000 * LBF, 30.0, 30.0),
    trim=Curve("chord ratio", "trim", (0.1, 0.4), (6.0, -6.0)),
)


def aircraft(**changes: Any) -> Any:
    """The freighter; only what load, balance and tanks look at."""
    crew = (CrewPosition("captain", "seat", None), CrewPosition("navigator", "desk", "bench"))
    fluids = (Fluid("oil", 100.0, "US gal", 10.0, ""),)
    return SimpleNamespace(
        name="test freighter", crew=crew, balance=replace(BALANCE, **changes), fluids=fluids, phases=(), fuel_transfer=None,
        people=None,
    )  # fmt: skip


def item(name: str, mass_lb: float, bay: str | None, leaves: str = "landing", **more: Any) -> LoadItem:
    """An item 40 inches long, 30 wide and 30 high."""
    size = {"length_m": 40 * IN, "width_m": 30 * IN, "height_m": 30 * IN}
    return LoadItem(name, mass_lb * LB, bay, leaves, **{**size, **more})


WATER = item("Water", 1_500, "6", "drop pass 1")
RICE = item("Rice", 1_500, "5", "drop pass 2")
SPARES = item("Spares", 400, "3")


def mission(*items: LoadItem, craft: Any = None, gallons: float = 1_000, **fuel: Any) -> Any:
    """A mission with two passes over its target."""
    runs = (Run("drop pass 1", 360.0), Run("drop pass 2", 360.0))
    place: Any = SimpleNamespace(ident="TARGET", name="Target")
    action = Action(place, "drop", None, 60.0, runs)  # type: ignore[arg-type]
    load = {"kind": "at ramp", "volume_m3": gallons * GAL, "by_tank_m3": {}, "extra_m3": 0.0,
            "density_kg_per_m3": DENSITY, **fuel}  # fmt: skip
    blank = dict.fromkeys(Mission.__dataclass_fields__)
    blank |= {
        "name": "Test", "aircraft": craft or aircraft(), "fuel": FuelLoad(**load), "items": items,
        "individual": Individual("LX-T99", 40_000 * LB, 268 * IN, "2027-01-01", ""),
        "crew": (CrewMember("captain", "Orlan"), CrewMember("navigator", "Brede")),
        "route": SimpleNamespace(items=(action,)), "given": {}, "weather": SimpleNamespace(name="still air"), "places": (), "people": (),
    }  # fmt: skip
    return Mission(**blank)


PLAN_LB = (
    ("start", 0.1, 60), ("taxi", 0.2, 60), ("take-off", 0.1, 80), ("climb", 0.5, 400), ("cruise", 1.0, 900),
    ("run", 0.1, 60), ("run", 0.1, 60), ("cruise", 1.5, 1_200), ("descent", 0.3, 100), ("approach", 0.2, 80),
    ("taxi-in", 0.1, 40),
)  # fmt: skip


def phases(task: Any) -> tuple[Phase, ...]:
    """A flight of straight lines with the burns of PLAN_LB; load leaves at the end of its run."""
    fuel = task.fuel.volume_m3 * DENSITY
    mass, clock = zero_fuel_mass_kg(task) + fuel, OFF_BLOCKS
    passes = iter(("drop pass 1", "drop pass 2"))
    flown = []
    for number, (kind, hours, burn_lb) in enumerate(PLAN_LB, 1):
        begin = Node(clock, 0.0, 0.0, 0.0, 0.0, 0.0, mass, fuel, 0.0)
        clock, mass, fuel = clock + timedelta(hours=hours), mass - burn_lb * LB, fuel - burn_lb * LB
        end = Node(clock, 0.0, 0.0, 0.0, 0.0, 0.0, mass, fuel, 0.0)
        label = next(passes) if kind == "run" else ""
        released = sum(load.mass_kg for load in task.items if label and load.leaves == label)
        mass -= released
        title = f"{kind} {number}"
        flown.append(Phase(f"{number:02}-{kind}", kind, title, None, (begin, end), released_kg=released))
    return tuple(flown)


class _Begun(Record):
    """The clock and the distance in which the flight begins, and the groups and grade its figures name as their origins."""

    at = "clock"

    @figure("Start engines", "UTC", how="given")
    def off_blocks(self) -> datetime:
        return OFF_BLOCKS

    @figure("Distance at take-off", "NM", how="given")
    def origin(self) -> float:
        return 0.0


class _Running(Record):
    """How long the engines run."""

    at = "duration"

    def __init__(self, flown: tuple[Phase, ...]) -> None:
        self._flown = flown

    @figure("Engines running", "h:min", how="end less beginning")
    def block(self) -> float:
        return (self._flown[-1].end.instant - OFF_BLOCKS).total_seconds()


class Reserve(Record):
    """The final reserve: none, so that what is usable is what counts."""

    at = "fuel.required"

    @figure("Final reserve", "lb", how="given")
    def final_reserve(self) -> float:
        return 0.0


class _Weather(Record):
    """The weather file that figures name."""

    at = "weather"

    @figure("Weather", how="given")
    def file(self) -> str:
        return "test"


def entered(task: Any, flown: tuple[Phase, ...], writer: LedgerWriter) -> tuple[Any, Weights, Any, Any]:
    """Enter what stands before load and balance; return log, weights, running time and final reserve."""
    weights, begun, running, reserve = Weights(task), _Begun(), _Running(flown), Reserve()
    fuel = RampFuelWritten(task, task.fuel.volume_m3 * DENSITY)
    ramp: Any = RampWeight(SimpleNamespace(weights=weights, ramp=fuel))  # type: ignore[arg-type]
    chain = Chain(
        _Begun.off_blocks.of(begun), _Begun.origin.of(begun), RampFuelWritten.ramp.of(fuel), RampWeight.ramp.of(ramp)
    )
    logged: list[PhaseFigures] = []
    for phase in flown:
        load = tuple(
            f"load.{n:02}.mass"
            for n, one in enumerate(task.items, 1)
            if phase.released and one.leaves == phase.released
        )
        logged.append(PhaseFigures(task, phase, Roots((), (), (), load, ()), logged[-1].chain if logged else chain))
    groups = [Group(key, "test", 0) for key in WORDS]
    for record in (*groups, _Weather(), weights, begun, running, reserve, DensityWritten(task), fuel, ramp, *logged):
        writer.adopt(record)
    log = SimpleNamespace(phases=tuple(logged), fuel=fuel, weight=ramp)
    return log, weights, _Running.block.of(running), Reserve.final_reserve.of(reserve)
