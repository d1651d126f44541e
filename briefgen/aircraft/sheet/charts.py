"""A physical model printed as charts, so that the two kinds of aircraft can be flown against one another.

The grid is given by its axes; every cell is one answer of the model, empty where the model refuses. Numbers are SI and
unrounded: rounding belongs to whoever prints them.
"""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.aircraft.book.cruise import ENGINES_STOPPED
from briefgen.aircraft.physics.airframe import OPENING_BAND_K
from briefgen.aircraft.physics.fields import ModelFields
from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.aircraft.sheet.chart import Cell, ChartLines, chart_of, standard_air
from briefgen.aircraft.sheet.chart_runways import RunwayPrinter
from briefgen.errors import BriefgenError
from briefgen.frozen import replace
from briefgen.kernel.constants import FT_M
from briefgen.model.aircraft import Aircraft, ChartBook, ChartGrade
from briefgen.model.chart_names import FINAL, LEVEL_PHASES, ON_INSTRUMENTS, level_flight_in
from briefgen.model.curves import Chart, ChartAxis
from briefgen.model.performance import FlightPhase, IndicatedAirspeed, PowerSetting
from briefgen.model.powerplant import FuelGrade, PhysicalModel

_MASS_LINES, _HEIGHT_LINES, _SPEED_LINES = 14, 11, 19
_DEVIATION_LINES_K = (-15.0, 0.0, 15.0, 30.0)
_FLAPS_HEIGHT_M = 10500.0 * FT_M
_STOPPED_HEIGHT_M = 15500.0 * FT_M
_SLOW_RATIO = 0.7  # of the lines of speed: the faster ones are out of the power of fewer engines
_FINAL_RATES_FT_PER_MIN = (200.0, 500.0, 800.0)
_LEVERS = ("engine speed", "manifold pressure", "mixture", "fuel flow")


def aircraft_as_charts(aircraft: Aircraft, fuel_grade: str, lines: ChartLines) -> Aircraft:
    """Return the same aircraft described by charts that its model answers, on one fuel grade.

    Raises:
        BriefgenError: The aircraft has no model, or the model does not know the grade.
    """
    if aircraft.model is None:
        raise BriefgenError(f"{aircraft.name} is described by charts already", expected="an aircraft with a model")
    performance = ModelPerformance(aircraft, aircraft.model, fuel_grade)
    grade = performance.parts.grade
    printer = _Printer(performance, grade, lines)
    runways = RunwayPrinter(ModelFields(aircraft, aircraft.model, fuel_grade), aircraft.model.field, lines)
    with_flaps = [one.name for one in aircraft.model.airframe.configurations if one.name != "clean"]
    charts = (
        printer.cruise(),
        *(printer.cruise_in(name) for name in with_flaps),
        *(printer.level_in(phase) for phase in LEVEL_PHASES),
        printer.engines_stopped(),
        printer.rate_of_climb(),
        *printer.climb_on_instruments(),
        printer.final(),
        printer.descent(),
        printer.take_off_power(),
        printer.stall(),
        runways.take_off(),
        runways.landing(),
    )
    book = ChartBook(
        engine_configurations=performance.engine_configurations,
        fuel_grades=(ChartGrade(grade.name, grade.density_kg_per_m3, grade.carburettor_air_temperature_limit_k),),
        rated_power_w=aircraft.model.engine.rated_power_w,
        charts={chart.name: chart for chart in charts},
    )
    return replace(aircraft, name=f"{aircraft.name}, printed as charts", model=None, charts=book)


def usual_lines(aircraft: Aircraft) -> ChartLines:
    """Return lines close enough that the charts stand for the model within one per cent of fuel.

    Masses from the lightest basic mass to the ramp limit, heights to 25,000 ft or the end of the model, speeds from the
    slowest of the approach to one and a half times the climb speed.
    """
    limits, speeds = aircraft.balance.limits, aircraft.speeds
    lightest = min(one.basic_mass_kg for one in aircraft.individuals)
    top_m = 25000.0 * FT_M if aircraft.model is None else min(25000.0 * FT_M, aircraft.model.airframe.altitude_limit_m)
    return ChartLines(
        mass_kg=_spread(lightest, limits.ramp_kg, _MASS_LINES),
        pressure_altitude_m=_spread(0.0, top_m, _HEIGHT_LINES),
        isa_deviation_k=_deviation_lines(aircraft),
        ias_m_per_s=_spread(0.8 * speeds.hold_m_per_s, 1.5 * speeds.climb_m_per_s, _SPEED_LINES),
    )


def _deviation_lines(aircraft: Aircraft) -> tuple[float, ...]:
    """Return the lines of temperature, one where the cowl flaps begin to open and one where they are open."""
    low_k, high_k = _DEVIATION_LINES_K[0], _DEVIATION_LINES_K[-1]
    hot_days = [setting.hot_day_cowl_flaps for setting in aircraft.phases if setting.hot_day_cowl_flaps]
    moves = {hot.isa_deviation_from_k for hot in hot_days if low_k < hot.isa_deviation_from_k <= high_k}
    return tuple(sorted({*_DEVIATION_LINES_K, *moves, *(move - OPENING_BAND_K for move in moves)}))


def _spread(low: float, high: float, count: int) -> tuple[float, ...]:
    return tuple(low + (high - low) * step / (count - 1) for step in range(count))


class _Printer:
    """The charts of one model on one grade."""

    def __init__(self, performance: ModelPerformance, grade: FuelGrade, lines: ChartLines) -> None:
        self._performance = performance
        self._density = grade.density_kg_per_m3
        self._mass = ChartAxis("mass", "lb", lines.mass_kg)
        self._height = ChartAxis("pressure altitude", "ft", lines.pressure_altitude_m)
        deviations_k = lines.isa_deviation_k
        self._deviation = ChartAxis("isa deviation", "degC diff", deviations_k)
        self._deviation_ends = replace(self._deviation, values=(deviations_k[0], deviations_k[-1]))
        self._speed = ChartAxis("indicated airspeed", "mph indicated", lines.ias_m_per_s)

    @property
    def _model(self) -> PhysicalModel:
        return self._performance.parts.model

    def cruise(self) -> Chart:
        """Return level flight on all engines."""

        def cells(mass: float, height: float, deviation: float, ias: float) -> tuple[Cell, ...]:
            setting = self._performance.cruise(mass, standard_air(height, deviation), IndicatedAirspeed(ias))
            return (*self._levers(setting), setting.tas_m_per_s)

        axes = (self._mass, self._height, self._deviation, self._speed)
        return chart_of("cruise", "all engines", axes, (*_LEVERS, "true airspeed"), cells)

    def cruise_in(self, configuration: str) -> Chart:
        """Return level flight on all engines with flaps out, which is flown low."""

        def cells(mass: float, height: float, deviation: float, ias: float) -> tuple[Cell, ...]:
            air, target = standard_air(height, deviation), IndicatedAirspeed(ias)
            setting = self._performance.cruise(mass, air, target, configuration=configuration)
            return (*self._levers(setting), setting.tas_m_per_s)

        axes = (self._mass, self._up_to(_FLAPS_HEIGHT_M), self._deviation, self._speed)
        conditions = f"all engines, {configuration}"
        return chart_of(f"cruise {configuration}", conditions, axes, (*_LEVERS, "true airspeed"), cells)

    def level_in(self, phase: FlightPhase) -> Chart:
        """Return level flight on all engines with the levers, gear and flaps of a phase, which is flown low and slowly."""

        def cells(mass: float, height: float, deviation: float, ias: float) -> tuple[Cell, ...]:
            air, target = standard_air(height, deviation), IndicatedAirspeed(ias)
            setting = self._performance.cruise(mass, air, target, phase=phase)
            return (*self._levers(setting), setting.tas_m_per_s)

        axes = (self._mass, self._up_to(_STOPPED_HEIGHT_M), self._deviation, self._slow())
        return chart_of(level_flight_in(phase), f"all engines, as {phase}", axes, (*_LEVERS, "true airspeed"), cells)

    def engines_stopped(self) -> Chart:
        """Return level flight on every choice of fewer engines with the levers of holding, which is flown low and slowly.

        At one indicated speed the flow is nearly straight over temperature, so the two ends of it are enough.
        """
        names = tuple(one.name for one in self._performance.engine_configurations[1:])

        def cells(name: str, mass: float, height: float, deviation: float, ias: float) -> tuple[Cell, ...]:
            air, target = standard_air(height, deviation), IndicatedAirspeed(ias)
            setting = self._performance.cruise(mass, air, target, engines=name, phase="hold")
            return (*self._levers(setting), setting.tas_m_per_s)

        low = self._up_to(_STOPPED_HEIGHT_M)
        axes = (ChartAxis("engines", "", names), self._mass, low, self._deviation_ends, self._slow())
        return chart_of(ENGINES_STOPPED, "engines stopped and feathered", axes, (*_LEVERS, "true airspeed"), cells)

    def _slow(self) -> ChartAxis:
        return replace(self._speed, values=self._speed.values[: round(_SLOW_RATIO * len(self._speed.values))])

    def _up_to(self, height_m: float) -> ChartAxis:
        low = tuple(height for height in self._height.values if isinstance(height, float) and height <= height_m)
        return replace(self._height, values=low)

    def rate_of_climb(self) -> Chart:
        """Return the climb for every engine configuration."""
        engines = ChartAxis("engines", "", tuple(one.name for one in self._performance.engine_configurations))

        def cells(name: str, mass: float, deviation: float, height: float) -> tuple[Cell, ...]:
            climb = self._performance.climb(mass, standard_air(height, deviation), engines=name)
            return (climb.pressure_altitude_rate_m_per_s, *self._levers(climb.setting))

        axes = (engines, self._mass, self._deviation, self._height)
        return chart_of("rate of climb", "climb rating, climb speed", axes, ("rate of climb", *_LEVERS), cells)

    def climb_on_instruments(self) -> Iterator[Chart]:
        """Yield the climb on all engines at the speed for instruments, where the file has one."""
        speed = self._performance.speeds(self._mass_limit()).climb_on_instruments_m_per_s
        if speed is None:
            return

        def cells(mass: float, deviation: float, height: float) -> tuple[Cell, ...]:
            climb = self._performance.climb(mass, standard_air(height, deviation), ias_m_per_s=speed)
            return (climb.pressure_altitude_rate_m_per_s, *self._levers(climb.setting))

        axes = (self._mass, self._deviation, self._height)
        conditions = "climb rating, climb speed on instruments"
        yield chart_of(ON_INSTRUMENTS, conditions, axes, ("rate of climb", *_LEVERS), cells)

    def _mass_limit(self) -> float:
        return float(self._mass.values[-1])

    def final(self) -> Chart:
        """Return the final with its levers, gear and flaps, by speed and by rate of descent."""

        def cells(mass: float, height: float, deviation: float, ias: float, rate: float) -> tuple[Cell, ...]:
            air = standard_air(height, deviation)
            return self._levers(
                self._performance.descent(mass, air, rate_m_per_s=rate, ias_m_per_s=ias, phase="final").setting
            )

        rates = ChartAxis("rate of descent", "ft/min", tuple(feet * FT_M / 60.0 for feet in _FINAL_RATES_FT_PER_MIN))
        axes = (self._mass, self._up_to(_FLAPS_HEIGHT_M), self._deviation_ends, self._slow(), rates)
        return chart_of(FINAL, "all engines, as final", axes, _LEVERS, cells)

    def descent(self) -> Chart:
        """Return the descent at the file's rate and speed."""

        def cells(mass: float, height: float, deviation: float) -> tuple[Cell, ...]:
            return self._levers(self._performance.descent(mass, standard_air(height, deviation)).setting)

        axes = (self._mass, self._height, self._deviation)
        return chart_of("descent", "descent rate and speed of the file", axes, _LEVERS, cells)

    def take_off_power(self) -> Chart:
        """Return take-off power on the standard day."""
        limit_s = self._performance.parts.grade.take_off.time_limit_s

        def cells(height: float) -> tuple[Cell, ...]:
            return (*self._levers(self._performance.take_off_setting(standard_air(height, 0.0))), limit_s)

        return chart_of("take-off power", "standard day", (self._height,), (*_LEVERS, "time limit"), cells)

    def stall(self) -> Chart:
        """Return stalling speeds by configuration."""
        names = ChartAxis("configuration", "", tuple(one.name for one in self._model.airframe.configurations))

        def cells(name: str, mass: float) -> tuple[Cell, ...]:
            return (self._performance.stall_ias_m_per_s(mass, name),)

        return chart_of("stall", "power off, wings level", (names, self._mass), ("indicated airspeed",), cells)

    def _levers(self, setting: PowerSetting) -> tuple[Cell, ...]:
        flow = setting.fuel_flow_kg_per_s / self._density
        return setting.engine_speed_rpm, setting.manifold_pressure_pa, setting.mixture, flow
