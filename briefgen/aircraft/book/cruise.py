"""Level flight read from charts: the cruise chart over speed or over power, and the chart for waiting."""

from __future__ import annotations

from itertools import pairwise

from briefgen.aircraft.book.table import ChartTable
from briefgen.aircraft.flight_point import AirspeedSystem, isa_deviation
from briefgen.aircraft.words import speed_words
from briefgen.errors import OutOfRangeError, PlanError
from briefgen.frozen import dataclass
from briefgen.kernel.aerodynamics import load_factor
from briefgen.kernel.airspeed import calibrated_from_true
from briefgen.model.performance import Air, EngineConfiguration, Mixture, PowerSetting

SPEED_AXIS = "indicated airspeed"
POWER_AXIS = "power"
ENGINES_STOPPED = "level flight with engines stopped"  # the name of the chart
_NUMBERS = ("engine speed", "manifold pressure", "fuel flow", "true airspeed")
_STANDARD_DAY_K = 0.5  # a chart for the standard day is read no further from it than this


@dataclass(frozen=True)
class ChartReading:
    """What a chart prints for one condition; a volume flow is in m3/s, all engines together."""

    engine_speed_rpm: float | None
    manifold_pressure_pa: float | None
    mixture: Mixture | None
    fuel_flow_m3_per_s: float
    tas_m_per_s: float | None
    near_mixture_change: bool


def reading(table: ChartTable, at: dict[str, float], **words: str) -> ChartReading:
    """Return a reading; where the cell holds both mixtures nothing is averaged across the change and rich is taken.

    Inside a cell of one mixture every number is interpolated. In a cell with both, the numbers are those of its rich
    points alone, weighted as in the interpolation: they are the heavier, faster or higher points, so the fuel flow errs
    to the high side.
    """
    return _reading(*_numbers(table, at, _NUMBERS, words))


def _numbers(
    table: ChartTable, at: dict[str, float], wanted: tuple[str, ...], words: dict[str, str]
) -> tuple[dict[str, float], Mixture | None, bool]:
    """Return the columns wanted that the chart has, the mixture, and whether the cell holds both."""
    names = [name for name in wanted if name in table.column_names]
    if "mixture" not in table.column_names:
        return {name: table.number(name, at, **words) for name in names}, None, False
    corners = table.word_corners("mixture", at, **words)
    rich = [(position, weight) for word, weight, position in corners if word == "rich"]
    mixed = 0 < len(rich) < len(corners)
    chosen = rich if mixed else [(position, weight) for _, weight, position in corners]
    found = {name: table.number_at_corners(name, chosen, **words) for name in names}
    if mixed and "true airspeed" in found:
        found["true airspeed"] = table.number("true airspeed", at, **words)  # speed does not depend on the mixture
    return found, "rich" if rich else "lean", mixed


def _reading(found: dict[str, float], mixture: Mixture | None, near: bool) -> ChartReading:
    return ChartReading(
        engine_speed_rpm=found.get("engine speed"),
        manifold_pressure_pa=found.get("manifold pressure"),
        mixture=mixture,
        fuel_flow_m3_per_s=found["fuel flow"],
        tas_m_per_s=found.get("true airspeed"),
        near_mixture_change=near,
    )


@dataclass(frozen=True)
class ChartFlight:
    """Level flight at one mass in one air, read from the cruise chart or, on fewer engines, from the waiting chart.

    Bank counts as mass: at one speed a turn asks for the lift, and so the power, of a heavier aeroplane.
    """

    cruise: ChartTable
    fewer: ChartTable | None  # cruise with engines stopped, over speed
    hold: ChartTable | None
    airspeeds: AirspeedSystem
    density_kg_per_m3: float
    rated_power_w: float | None
    mass_kg: float
    air: Air
    engines: EngineConfiguration
    all_engines: EngineConfiguration
    bank_deg: float
    hold_ias_m_per_s: float

    def at(self, parameter: float) -> PowerSetting:
        """Return the setting at a value of the chart's speed or power axis [m/s or -]."""
        stopped = self.engines != self.all_engines
        if stopped and self.fewer is None:
            return self.waiting(parameter)
        words = {"engines": self.engines.name} if stopped else {}
        found = reading(self.table, self._place(parameter), **words)
        ias = parameter if self.parameter == SPEED_AXIS else self._indicated(found)
        power_w = None
        if self.parameter == POWER_AXIS and self.rated_power_w is not None:
            power_w = parameter * self.rated_power_w
        return self._setting(self.table, found, ias, power_w)

    def flown(self, parameter: float) -> tuple[float, float, None]:
        """Return true airspeed [m/s] and fuel flow [kg/s] at a speed or power, as a search wants them.

        The mixture is not said: between its lines a chart's merit may have small hills, so a search looks at all of it.
        """
        setting = self.at(parameter)
        return setting.tas_m_per_s, setting.fuel_flow_kg_per_s, None

    def tas_by_power(self) -> dict[float, float]:
        """Return the true airspeed [m/s] on each line of power with an answer, of a cruise chart entered with power.

        Raises:
            OutOfRangeError: No line has an answer there.
        """
        lines, wanted = self.cruise.si_lines(POWER_AXIS), ("fuel flow", "true airspeed")
        flows, speeds = (self.cruise.numbers_along(POWER_AXIS, name, self._place(lines[0])) for name in wanted)
        answers = {
            line: tas
            for line, flow, tas in zip(lines, flows, speeds, strict=True)
            if flow is not None and tas is not None
        }
        if not answers:
            _numbers(self.cruise, self._place(lines[-1]), wanted, {})  # says where the chart is empty
        return answers

    def _place(self, parameter: float) -> dict[str, float]:
        at = {"mass": self._mass(), "pressure altitude": self.air.pressure_altitude_m, self.parameter: parameter}
        if "isa deviation" in self.table.axis_names:
            at["isa deviation"] = isa_deviation(self.air)
        return at

    def waiting(self, ias_m_per_s: float) -> PowerSetting:
        """Return the setting of the waiting chart, which holds for one speed and the standard day."""
        if self.hold is None or "engines" not in self.hold.axis_names:
            raise PlanError(
                f"the charts give no level flight (engines: {self.engines.name})",
                expected=f"{self.all_engines.name} engines, or an aircraft file with such a chart",
            )
        if abs(ias_m_per_s - self.hold_ias_m_per_s) > 1e-6 * self.hold_ias_m_per_s:
            raise OutOfRangeError(
                f"the chart {self.hold.chart.name} holds for one indicated airspeed, another was asked for",
                expected="the waiting speed of the aircraft file",
            )
        deviation_k = isa_deviation(self.air)
        if abs(deviation_k) > _STANDARD_DAY_K:
            raise OutOfRangeError(
                f"the chart of the {self.hold.chart.name} holds for the standard day, the air is {deviation_k:+.0f} °C from it",
                expected="standard temperature",
            )
        at = {"mass": self._mass(), "pressure altitude": self.air.pressure_altitude_m}
        return self._setting(self.hold, reading(self.hold, at, engines=self.engines.name), ias_m_per_s, None)

    @property
    def parameter(self) -> str:
        """Name of the chart axis along which speeds are searched."""
        return SPEED_AXIS if SPEED_AXIS in self.table.axis_names else POWER_AXIS

    @property
    def table(self) -> ChartTable:
        """The chart that level flight is read from: the one for engines stopped where there is such a one."""
        return self.cruise if self.engines == self.all_engines or self.fewer is None else self.fewer

    def _mass(self) -> float:
        return self.mass_kg * load_factor(self.bank_deg)

    def _indicated(self, found: ChartReading) -> float:
        if found.tas_m_per_s is None:
            raise PlanError(f"the chart {self.cruise.chart.name} gives neither indicated nor true airspeed")
        return self.airspeeds.indicated(
            calibrated_from_true(found.tas_m_per_s, self.air.pressure_altitude_m, self.air.temperature_k)
        )

    def _setting(
        self, table: ChartTable, found: ChartReading, ias_m_per_s: float, power_w: float | None
    ) -> PowerSetting:
        point = self.airspeeds.at_indicated(self.air, ias_m_per_s)
        tas = point.tas_m_per_s if found.tas_m_per_s is None else found.tas_m_per_s
        flow = found.fuel_flow_m3_per_s * self.density_kg_per_m3
        limit = "change of mixture in this cell of the chart, rich taken" if found.near_mixture_change else "chart"
        return PowerSetting(
            engines=self.engines.name,
            engines_running=self.engines.running,
            mass_kg=self.mass_kg,
            air=self.air,
            ias_m_per_s=ias_m_per_s,
            cas_m_per_s=point.cas_m_per_s,
            tas_m_per_s=tas,
            engine_speed_rpm=found.engine_speed_rpm,
            manifold_pressure_pa=found.manifold_pressure_pa,
            mixture=found.mixture,
            power_w=power_w,
            propeller_efficiency=None,
            fuel_flow_kg_per_s=flow,
            specific_range_m_per_kg=tas / flow,
            governing_limit=limit,
            margin_ratio=None,
            time_limit_s=None,
            carburettor_air_temperature_k=None,
            cowl_flaps=None,
            blower=None,
            intercooler=None,
            filters=None,
            boost_pumps=None,
            source=f"chart {table.chart.name}: {table.chart.source}",
        )


def power_for_speed(flight: ChartFlight, ias_m_per_s: float) -> float:
    """Return the power ratio that gives an indicated airspeed on a chart entered with power.

    Only lines of the chart with an answer count: at the weak end she may not fly, at the strong end the thin air may
    give no more. Between two lines the chart's true airspeed is linear in power, so the answer is a closed form.
    """
    speeds = flight.tas_by_power()
    lines = sorted(speeds)
    wanted = flight.airspeeds.at_indicated(flight.air, ias_m_per_s).tas_m_per_s
    for below, above in pairwise(lines):
        slow, fast = speeds[below], speeds[above]
        if slow <= wanted <= fast:
            return below + (above - below) * (wanted - slow) / (fast - slow) if fast > slow else below
    slowest, fastest = (flight.at(line).ias_m_per_s for line in (lines[0], lines[-1]))
    raise OutOfRangeError(
        f"{speed_words(ias_m_per_s)} indicated is outside the speeds of the cruise chart at this weight and height",
        expected=f"{speed_words(slowest)} to {speed_words(fastest)}",
    )
