"""Waiting on all engines against waiting on fewer: fuel flow and endurance at one speed and height."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError, OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.model.mission import Hold, Mission
from briefgen.model.performance import Air, EngineConfiguration, IndicatedAirspeed, PowerSetting
from briefgen.model.plan import Node, Phase
from briefgen.model.record import Absent, Record, Ref, figure, note, rests_on, working
from briefgen.model.tables import TableOf, column
from briefgen.planning.flight.icing import icing_at
from briefgen.planning.flight.steps import Crew
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import AIRFRAME, FLOWN_BY, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.engines_out.legs import NOT_KNOWN
from briefgen.planning.sections.engines_out.setting import LevelSetting, fuel_goes

CANNOT = "cannot be held"
HOW = "level at the waiting speed, lowest engine speed whose permitted manifold pressure gives the power needed"


@dataclass(frozen=True)
class Wait:
    """Where and how the waiting is compared."""

    phase: Phase
    node: Node
    air: Air
    ias_m_per_s: float
    bank_deg: float


class WaitFigures(Record):
    """The weight, height, speed and fuel with which every choice of engines waits."""

    at = "engines_out.waiting"

    def __init__(
        self, mission: Mission, wait: Wait, flown: PhaseFigures, unusable: Ref, performance: Performance
    ) -> None:
        self.wait, self._flown, self._unusable = wait, flown, unusable
        self.fuel_density_kg_per_m3 = mission.fuel.density_kg_per_m3
        self.choices: list[Choice] = []
        for number, engines in enumerate(performance.engine_configurations, start=1):
            every = self.choices[0] if self.choices else None
            self.choices.append(Choice(number, self, engines, every, performance))

    @figure("Waiting: weight", "lb", how="as the wait begins")
    def mass(self) -> float:
        rests_on(self._flown.end, self._flown.mass)
        rest_on_groups(*FLOWN_BY)
        return self.wait.node.mass_kg

    @figure("Waiting: altitude", "ft", how="on the altimeter setting in force")
    def altitude(self) -> float:
        rests_on(self._flown.end, self._flown.mass)
        rest_on_groups(*FLOWN_BY)
        return self.wait.node.altitude_m

    @figure(
        "Waiting: indicated airspeed", AIRSPEED, how="of the planned hold, or the waiting speed of the aircraft file"
    )
    def ias(self) -> float:
        rests_on(self._flown.end, self._flown.mass)
        rest_on_groups(*FLOWN_BY)
        return self.wait.ias_m_per_s

    @working
    def usable_kg(self) -> float:
        """The fuel that is burnt before the tanks are empty [kg]."""
        rests_on(self._flown.end, self._flown.mass)
        rest_on_groups(*FLOWN_BY)
        return float(self.wait.node.fuel_kg - self._unusable.value)

    @figure("Waiting: usable fuel", "US gal", how="as the wait begins")
    def fuel(self) -> float:
        note("fuel.density")
        return self.usable_kg / self.fuel_density_kg_per_m3

    def parts(self) -> Sequence[Record]:
        return self.choices


class Choice(LevelSetting):
    """The wait on one choice of engines."""

    how = HOW

    def __init__(
        self, number: int, of: WaitFigures, engines: EngineConfiguration, every: Choice | None, performance: Performance
    ) -> None:
        self.at, self.running, self.label = f"{of.at}.{number:02d}", engines.name, f"Waiting on {engines.name}"
        self._of, self._every, self._performance = of, every, performance
        self._fuel_density_kg_per_m3 = of.fuel_density_kg_per_m3
        try:
            self.setting = self._at(of.wait.node.mass_kg)
        except BriefgenError as error:
            self.setting, self.how = None, error.problem
            self.word = NOT_KNOWN if isinstance(error, OutOfRangeError) else CANNOT

    def _at(self, mass_kg: float) -> PowerSetting:
        wait = self._of.wait
        exact = self._performance.cruise(
            mass_kg,
            wait.air,
            IndicatedAirspeed(wait.ias_m_per_s),
            engines=self.running,
            bank_deg=wait.bank_deg,
            phase="hold",
        )
        return self._performance.as_set(exact)

    def _drivers(self) -> None:
        rests_on(self._of.mass, self._of.altitude, self._of.ias)

    @figure("%(label)s: running", how="engine configuration of the aircraft file")
    def engines(self) -> str:
        rest_on_groups(AIRFRAME)
        return self.running

    @figure("%(label)s: burns more than on all engines by", "%", how="flow over that of all engines, less one")
    def more(self) -> float:
        if self._every is None or self._every.setting is None:
            raise Absent("there is nothing to compare with")
        rests_on(self.flow, self._every.flow)
        return self._solved.fuel_flow_kg_per_s / self._every.setting.fuel_flow_kg_per_s - 1.0

    @figure("%(label)s: endurance", "h:min", how="usable fuel burnt at the same speed")
    def endurance(self) -> float | str:
        rests_on(self._solved, self._of.fuel, self.flow)
        try:
            return fuel_goes(self._at, self._of.wait.node.mass_kg, self._of.usable_kg)[1]
        except BriefgenError:
            return NOT_KNOWN


WAITING = TableOf(
    "engines_out.waiting",
    "Waiting on all engines and on fewer",
    (
        column(Choice.engines, "Running"),
        column(Choice.rpm, "Engine speed"),
        column(Choice.manifold_pressure, "Manifold pressure"),
        column(Choice.mixture, "Mixture"),
        column(Choice.flow_engine, "Flow each"),
        column(Choice.flow, "Flow total"),
        column(Choice.more, "More than all"),
        column(Choice.endurance, "Endurance"),
    ),
)


def write_waiting(mission: Mission, log: Navigation, unusable: Ref, crew: Crew, writer: LedgerWriter) -> None:
    """Enter the wait on every choice of engines: the planned hold, or one at the end of the last cruise."""
    performance = crew.performance
    wait = _wait(mission, [flown.phase for flown in log.phases], crew)
    if wait is None or len(performance.engine_configurations) < 2:
        return
    waiting = WaitFigures(mission, wait, log.of_phase(wait.phase), unusable, performance)
    writer.adopt(waiting)
    writer.tabulate(WAITING.filled([WAITING.row(one.running, one) for one in waiting.choices], note=_note(waiting)))


def _note(waiting: WaitFigures) -> str:
    one = WaitFigures
    turning = ", in the bank of the hold" if waiting.wait.bank_deg else ""
    return (
        f"Level at {one.ias.of(waiting)}, {one.altitude.of(waiting)} and {one.mass.of(waiting)}{turning}, each choice of "
        f"engines at the least engine speed that gives the power; endurance on {one.fuel.of(waiting)} of usable fuel, no "
        "reserve kept, the weight falling."
    )


def _wait(mission: Mission, phases: Sequence[Phase], crew: Crew) -> Wait | None:
    hold = next((phase for phase in phases if phase.kind == "hold" and phase.settings), None)
    if hold is not None and hold.item is not None:
        item = mission.route.items[hold.item]
        bank_deg = item.bank_deg if isinstance(item, Hold) else 0.0
        speed, air = hold.settings[0][1].ias_m_per_s, hold.settings[0][1].air
        return Wait(hold, hold.start, air, speed, bank_deg)
    cruises = [phase for phase in phases if phase.kind == "cruise"]
    if not cruises:
        return None
    last = cruises[-1]
    speed, icing = crew.performance.speeds(last.end.mass_kg).hold_m_per_s, icing_at(crew.sky, last.end)
    return Wait(last, last.end, Air(last.end.pressure_altitude_m, last.temperature_k, icing=icing), speed, 0.0)
