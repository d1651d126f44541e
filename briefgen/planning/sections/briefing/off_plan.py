"""Power and flow off the plan: at even heights and two weights, on all engines, with one out, and waiting."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.constants import FT_M, LB_KG
from briefgen.model.handling import InstrumentResolution
from briefgen.model.mission import Leg, Mission
from briefgen.model.performance import Air, BestEndurance, LongRange, PowerSetting, SpeedTarget
from briefgen.model.record import Record, figure, note, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.absence import said
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import FLOWN_BY, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.written_route import LegWritten
from briefgen.planning.sections.briefing.settings import SET_DOWN, SET_UP, set_down, set_up

HEIGHT_STEP_M, WEIGHT_STEP_KG = 1_000.0 * FT_M, 1_000.0 * LB_KG
SOLVED = "standard air as much warmer as on the longest leg; altitude on the standard setting"


class OffPlanLine(Record):
    """One setting at an even height and weight; ``like`` are the keys of the leg whose air and cruise it is solved with."""

    def __init__(
        self, at: str, mission: Mission, log: Navigation, like: Sequence[str], setting: PowerSetting, height_m: float,
        mass_kg: float,
    ) -> None:  # fmt: skip
        self.at, self._mission, self._log, self._like, self._setting = at, mission, log, like, setting
        self._height_m, self._mass_kg, self.origin = height_m, mass_kg, setting.source
        self._resolution: InstrumentResolution = mission.aircraft.instrument_resolution

    def _solved(self) -> PowerSetting:
        note("fuel.grade")
        rests_on(self.height, self.mass)
        for key in self._like:
            note(key)
        rest_on_groups(*FLOWN_BY)
        return self._setting

    @figure("Altitude", "ft", how="even thousands under the highest of the plan")
    def height(self) -> float:
        rests_on([one.pressure_altitude for one in self._log.phases_in_air])
        return self._height_m

    @figure("Weight", "lb", how="take-off and landing weight to the next thousand up")
    def mass(self) -> float:
        rests_on([one.mass for one in self._log.phases_in_air])
        return self._mass_kg

    @figure("Manifold pressure to set", "inHg", decimals=1, how=SET_DOWN, source="%(origin)s")
    def manifold_pressure(self) -> float:
        return set_down(said(self._solved().manifold_pressure_pa), self._resolution.manifold_pressure_pa)

    @figure("Engine speed to set", "rpm", how=SET_UP, source="%(origin)s")
    def rpm(self) -> float:
        return set_up(said(self._solved().engine_speed_rpm), self._resolution.engine_speed_rpm)

    @figure("Mixture", how=SOLVED, source="%(origin)s")
    def mixture(self) -> str:
        return said(self._solved().mixture_name)

    @figure("Indicated airspeed", AIRSPEED, how=SOLVED, source="%(origin)s")
    def ias(self) -> float:
        return self._solved().ias_m_per_s

    @figure("Fuel flow of all running", "US gal/h", how=SOLVED, source="%(origin)s")
    def flow(self) -> float:
        note("fuel.density")
        return self._solved().fuel_flow_kg_per_s / self._mission.fuel.density_kg_per_m3


HEIGHT, MASS = column(OffPlanLine.height, "Altitude"), column(OffPlanLine.mass, "Weight")
PRESSURE, RPM = column(OffPlanLine.manifold_pressure, "inHg"), column(OffPlanLine.rpm, "rpm")
MIXTURE, IAS, FLOW = column(OffPlanLine.mixture, "Mixture"), column(OffPlanLine.ias, "Speed"), column(OffPlanLine.flow, "Flow")  # fmt: skip
OFF_PLAN = TableOf("briefing.off_plan.*", "Power off the plan", (HEIGHT, MASS, PRESSURE, RPM, MIXTURE, IAS, FLOW))


def write_off_plan(mission: Mission, log: Navigation, performance: Performance, writer: LedgerWriter) -> None:
    """Enter the tables: cruise on all, cruise with one out, waiting on all."""
    cruises = [one for one in log.phases if one.phase.kind == "cruise"]
    if not cruises:
        return
    longest = max((one.phase for one in cruises), key=lambda one: one.duration_s)
    warmer_k = longest.temperature_k - standard_temperature(longest.start.pressure_altitude_m)
    fewer = next((one for one in performance.engine_configurations if one.running == performance.engine_configurations[0].running - 1), None)  # fmt: skip
    target = next((item.cruise for item in mission.route.items if isinstance(item, Leg)), LongRange())
    like = [PhaseFigures.temperature.of(one).key for one in cruises]
    like += [LegWritten.cruise.of(one).key for one in writer.records(LegWritten)[:1]]
    wanted: list[tuple[str, str, SpeedTarget, str | None]] = [
        ("all", "Cruise, all engines", target, None),
        ("waiting", "Waiting, all engines", BestEndurance(), None),
    ]
    if fewer is not None:
        wanted.insert(1, ("one_out", f"Cruise, {fewer.name}", target, fewer.name))
    for name, title, speed, engines in wanted:
        lines: list[OffPlanLine] = []
        for height_m, mass_kg in _points(log):
            air = Air(height_m, standard_temperature(height_m) + warmer_k)
            try:
                setting = performance.cruise(mass_kg, air, speed, engines=engines)
            except BriefgenError:
                continue  # not to be had there: the table has no such row
            line = OffPlanLine(
                f"briefing.off_plan.{name}.{len(lines) + 1:02d}", mission, log, like, setting, height_m, mass_kg
            )
            writer.adopt(line)
            lines.append(line)
        if lines:
            writer.tabulate(OFF_PLAN.filled([OFF_PLAN.row(one.at, one) for one in lines], which=name, title=title))


def _points(log: Navigation) -> Iterator[tuple[float, float]]:
    """Yield even heights up to the highest flown, each at the greatest and least weight of the flight."""
    air: Sequence[float] = [node.pressure_altitude_m for one in log.phases_in_air for node in one.phase.nodes]
    masses = [node.mass_kg for one in log.phases_in_air for node in one.phase.nodes]
    top = max(1, round(max(air) / HEIGHT_STEP_M))
    levels = sorted({max(1, round(top * share)) for share in (0.25, 0.6, 1.0)})
    for level in levels:
        for mass_kg in dict.fromkeys((max(masses), min(masses))):
            yield level * HEIGHT_STEP_M, set_up(mass_kg, WEIGHT_STEP_KG)
