"""An aircraft that answers from the charts of its flight manual, and from nothing else."""

from __future__ import annotations

import math
from functools import lru_cache

from briefgen.aircraft.book import phase_words
from briefgen.aircraft.book.climb import (
    ClimbReading,
    accumulated_climb,
    chart_ceiling,
    descent_power,
    final_power,
    rate_climb,
    take_off_power,
    vertical_setting,
)
from briefgen.aircraft.book.cruise import ENGINES_STOPPED, POWER_AXIS, SPEED_AXIS, ChartFlight, power_for_speed
from briefgen.aircraft.book.table import ChartTable
from briefgen.aircraft.flight_point import AirspeedSystem
from briefgen.aircraft.handling import Handling
from briefgen.aircraft.lever_moves import lever_moves
from briefgen.aircraft.mixture_change import mass_of_mixture_change
from briefgen.aircraft.optimum import LONG_RANGE_RATIO, Merit, SpeedSearch, endurance_merit, ground_range_merit
from briefgen.aircraft.speed_card import ground_flow, operating_speeds
from briefgen.aircraft.words import rate_words, speed_words
from briefgen.errors import OutOfRangeError, PlanError
from briefgen.frozen import replace
from briefgen.kernel.aerodynamics import load_factor
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.interpolate import root
from briefgen.model.aircraft import Aircraft, ChartBook
from briefgen.model.chart_names import FINAL, ON_INSTRUMENTS, level_flight_in
from briefgen.model.handling import FlightPhase
from briefgen.model.performance import (
    Air,
    BestEndurance,
    BestRange,
    Ceiling,
    ClimbState,
    DescentState,
    EngineConfiguration,
    GivenSetting,
    GroundActivity,
    IndicatedAirspeed,
    LeverMove,
    LeverPair,
    LongRange,
    Mixture,
    OperatingSpeeds,
    PercentPower,
    PowerSetting,
    SpeedTarget,
    TrueAirspeed,
)

_CACHED_ANSWERS = 20000
_CEILING_TOLERANCE_M = 1.0


class ChartPerformance:
    """Answers of one aircraft of the charts kind on one fuel grade; the methods are those of `interface.Performance`."""

    def __init__(self, aircraft: Aircraft, book: ChartBook, fuel_grade: str) -> None:
        grades = {grade.name: grade for grade in book.fuel_grades}
        if fuel_grade not in grades:
            raise OutOfRangeError(
                f"the charts of {aircraft.name} do not cover fuel {fuel_grade}", expected=" or ".join(grades)
            )
        self._aircraft = aircraft
        self._book = book
        self._density_kg_per_m3 = grades[fuel_grade].density_kg_per_m3
        self._airspeeds = AirspeedSystem(aircraft.instruments.calibrated_by_indicated)
        self._tables = {name: ChartTable(chart) for name, chart in book.charts.items()}
        self._handling = Handling(aircraft)
        self._engines = {one.name: one for one in book.engine_configurations}
        self._solved = lru_cache(maxsize=_CACHED_ANSWERS)(self._cruise)

    @property
    def engine_configurations(self) -> tuple[EngineConfiguration, ...]:
        """Return the engine configurations of the file."""
        return self._book.engine_configurations

    def cruise(
        self,
        mass_kg: float,
        air: Air,
        target: SpeedTarget,
        *,
        engines: str | None = None,
        bank_deg: float = 0.0,
        headwind_m_per_s: float = 0.0,
        configuration: str | None = None,
        mixture: Mixture | None = None,
        phase: FlightPhase = "cruise",
    ) -> PowerSetting:
        """Return the setting the charts print for level flight, with the words of the file for the levers of the phase.

        The chart of the phase comes first, then the one for its flaps. Without either the fuel is that of clean flight, and no
        levers are printed for it.
        """
        said = self._handling.of(phase)
        own = level_flight_in(phase)
        if own in self._tables and engines is None and configuration in (None, said.flaps):
            setting = self._solved(mass_kg, air, target, engines, bank_deg, headwind_m_per_s, own)
            return phase_words.kept_to(self._handling, self._worded(setting, phase), mixture or said.mixture)
        if (
            configuration is not None
            and configuration != "clean"
            and phase_words.cruise_in(configuration) not in self._tables
        ):
            raise PlanError(f"the charts give no level flight in the configuration {configuration}", expected="clean")
        charted = configuration or (said.flaps if phase_words.cruise_in(said.flaps) in self._tables else "clean")
        setting = self._solved(
            mass_kg, air, target, engines, bank_deg, headwind_m_per_s, phase_words.cruise_in(charted)
        )
        if configuration is None and (charted != said.flaps or said.gear == "down"):
            return phase_words.without_chart(self._handling, self._worded(setting, phase), said)
        return phase_words.kept_to(self._handling, self._worded(setting, phase), mixture or said.mixture)

    def _cruise(
        self,
        mass_kg: float,
        air: Air,
        target: SpeedTarget,
        engines: str | None,
        bank_deg: float,
        headwind_m_per_s: float,
        chart: str,
    ) -> PowerSetting:
        flight = self._flight(mass_kg, air, engines, bank_deg, chart)
        match target:
            case IndicatedAirspeed(ias_m_per_s=ias):
                return self._at_indicated(flight, ias)
            case TrueAirspeed(tas_m_per_s=tas):
                return self._at_indicated(flight, self._airspeeds.indicated_from_true(air, tas))
            case LongRange():
                search = self._search(flight, ground_range_merit(headwind_m_per_s))
                return flight.at(search.fast_side_speed(LONG_RANGE_RATIO))
            case BestRange():
                return flight.at(self._search(flight, ground_range_merit(headwind_m_per_s)).best_speed())
            case BestEndurance():
                return flight.at(self._search(flight, endurance_merit).best_speed())
            case PercentPower(ratio=ratio) if flight.parameter == POWER_AXIS:
                return flight.at(ratio)
            case PercentPower() | GivenSetting():
                asked = "power" if isinstance(target, PercentPower) else "engine speed and manifold pressure"
                raise PlanError(
                    f"the cruise chart of {self._aircraft.name} is not entered with {asked}",
                    expected="a speed, long range, best range or best endurance",
                )

    def _worded(self, setting: PowerSetting, phase: FlightPhase) -> PowerSetting:
        return phase_words.with_words(self._handling, setting, phase)

    def climb(
        self, mass_kg: float, air: Air, *, engines: str | None = None, ias_m_per_s: float | None = None
    ) -> ClimbState:
        """Return the climb the charts give at one height; each holds for one climb speed of the file."""
        configuration = self._configuration(engines)
        if self._on_instruments(ias_m_per_s, configuration):
            table = self._tables[ON_INSTRUMENTS]
            found = rate_climb(table, mass_kg, air, configuration.name)
            return self._climb_state(table, mass_kg, air, configuration, found, ias_m_per_s or 0.0)
        self._refuse_other_speed(ias_m_per_s)
        if "rate of climb" in self._tables:
            table = self._tables["rate of climb"]
            found = rate_climb(table, mass_kg, air, configuration.name)
        else:
            table = self._table("climb")
            if configuration != self._book.engine_configurations[0]:
                raise PlanError(
                    f"the charts give no climb (engines: {configuration.name})",
                    expected=f"{self._book.engine_configurations[0].name} engines",
                )
            found = accumulated_climb(table, mass_kg, air, self._density_kg_per_m3)
        return self._climb_state(table, mass_kg, air, configuration, found, self._aircraft.speeds.climb_m_per_s)

    def _on_instruments(self, ias_m_per_s: float | None, engines: EngineConfiguration) -> bool:
        own = self._aircraft.speeds.climb_on_instruments_m_per_s
        all_engines = engines == self._book.engine_configurations[0]
        return ON_INSTRUMENTS in self._tables and all_engines and ias_m_per_s is not None and ias_m_per_s == own

    def _vertical_setting(
        self, table: ChartTable, mass_kg: float, air: Air, engines: EngineConfiguration, found: ClimbReading, ias: float
    ) -> PowerSetting:
        return vertical_setting(
            table, mass_kg, self._airspeeds.at_indicated(air, ias), engines, found, self._density_kg_per_m3
        )

    def _climb_state(
        self, table: ChartTable, mass_kg: float, air: Air, engines: EngineConfiguration, found: ClimbReading, ias_m_per_s: float
    ) -> ClimbState:  # fmt: skip
        setting = self._vertical_setting(table, mass_kg, air, engines, found, ias_m_per_s)
        setting = self._worded(setting, "climb")
        real_rate = found.rate_m_per_s * air.temperature_k / standard_temperature(air.pressure_altitude_m)
        return ClimbState(setting, real_rate, found.rate_m_per_s)

    def best_climb_speed(self, mass_kg: float, air: Air, *, engines: str | None = None) -> float:
        """Return the climb speed of the file, for which the charts were made [m/s]."""
        return self._aircraft.speeds.climb_m_per_s

    def descent(
        self, mass_kg: float, air: Air, *, rate_m_per_s: float | None = None, ias_m_per_s: float | None = None,
        phase: FlightPhase = "descent",
    ) -> DescentState:  # fmt: skip
        """Return the descent at the file's speed, from the chart of it or else on the fuel of level flight there.

        Coming down takes less power than level flight at the same speed, so without a chart the fuel errs to the high
        side. The chart holds for one rate of descent only.
        """
        usual = self._aircraft.descent.rate_m_per_s
        rate = usual if rate_m_per_s is None else rate_m_per_s
        real_rate = rate * air.temperature_k / standard_temperature(air.pressure_altitude_m)
        speed = self._aircraft.speeds.descent_m_per_s
        if phase == "final" and FINAL in self._tables:
            return self._final(mass_kg, air, rate, ias_m_per_s or speed)
        if phase != "descent":
            pattern = self.cruise(mass_kg, air, IndicatedAirspeed(self._aircraft.speeds.approach_m_per_s), phase=phase)
            return DescentState(phase_words.at_speed(pattern, self._airspeeds, ias_m_per_s or speed), real_rate, rate)
        if "descent" in self._tables:
            if rate != usual:
                raise OutOfRangeError(
                    f"the chart of descents holds for {rate_words(usual)}, {rate_words(rate)} was asked for",
                    expected=rate_words(usual),
                )
            table = self._tables["descent"]
            found = descent_power(table, mass_kg, air)
            setting = self._vertical_setting(table, mass_kg, air, self._configuration(None), found, speed)
            setting = self._worded(setting, phase)
            return DescentState(setting, real_rate, rate)
        level = self.cruise(mass_kg, air, IndicatedAirspeed(speed), phase=phase)
        return DescentState(phase_words.on_level_fuel(level), real_rate, rate)

    def _final(self, mass_kg: float, air: Air, rate_m_per_s: float, ias_m_per_s: float) -> DescentState:
        """Return the final of its chart; the chart is entered with the rate of descent and the speed."""
        table = self._tables[FINAL]
        found = final_power(table, mass_kg, air, rate_m_per_s, ias_m_per_s)
        setting = self._vertical_setting(table, mass_kg, air, self._configuration(None), found, ias_m_per_s)
        setting = self._worded(setting, "final")
        real_rate = rate_m_per_s * air.temperature_k / standard_temperature(air.pressure_altitude_m)
        return DescentState(setting, real_rate, rate_m_per_s)

    def as_set(self, setting: PowerSetting) -> PowerSetting:
        """Return the setting as the charts print it: their steps are those of the book."""
        return setting

    def held_at(self, setting: PowerSetting, engine_speed_rpm: float) -> LeverPair | None:
        """Return None: the charts print the pair."""
        del setting, engine_speed_rpm
        return None

    def go_around(self, mass_kg: float, air: Air, *, engines: str | None = None) -> ClimbState:
        """Refuse: no chart gives the climb with flaps at take-off power, and none is guessed."""
        raise PlanError("the charts give no climb of a go-around", expected="a chart of it in the flight manual")

    def take_off_setting(self, air: Air) -> PowerSetting:
        """Return the take-off setting of the chart 'take-off power'."""
        table = self._table("take-off power")
        mass_kg = self._aircraft.balance.limits.take_off_kg
        ias = self.speeds(mass_kg).unstick_m_per_s
        found = take_off_power(table, air)
        setting = self._vertical_setting(table, mass_kg, air, self._configuration(None), found, ias)
        setting = self._worded(setting, "take-off")
        if "time limit" not in table.column_names:
            return setting
        return replace(setting, time_limit_s=table.number("time limit", {"pressure altitude": air.pressure_altitude_m}))

    def ground_fuel_flow_kg_per_s(self, activity: GroundActivity) -> float:
        """Return the fuel flow of all engines on the ground [kg/s]."""
        return ground_flow(self._aircraft.ground_flows, activity) * self._density_kg_per_m3

    def stall_ias_m_per_s(self, mass_kg: float, configuration: str, *, bank_deg: float = 0.0) -> float:
        """Return the indicated stalling speed of the chart, raised by the root of the load factor in a turn."""
        speed = self._table("stall").number("indicated airspeed", {"mass": mass_kg}, configuration=configuration)
        return speed * math.sqrt(load_factor(bank_deg))

    def speeds(self, mass_kg: float) -> OperatingSpeeds:
        """Return the speeds of the file at a mass."""
        return operating_speeds(self._aircraft, mass_kg)

    def mixture_change_mass(
        self,
        air: Air,
        target: SpeedTarget,
        mass_low_kg: float,
        mass_high_kg: float,
        *,
        engines: str | None = None,
        bank_deg: float = 0.0,
        headwind_m_per_s: float = 0.0,
        configuration: str | None = None,
        phase: FlightPhase = "cruise",
    ) -> float | None:
        """Return the mass at which the charts change the mixture: the edge of the cell in which rich is taken."""

        def setting(mass_kg: float) -> PowerSetting:
            return self.cruise(
                mass_kg, air, target, engines=engines, bank_deg=bank_deg, headwind_m_per_s=headwind_m_per_s,
                configuration=configuration, phase=phase,
            )  # fmt: skip

        return mass_of_mixture_change(setting, mass_low_kg, mass_high_kg)

    def ceiling(
        self, mass_kg: float, isa_deviation_k: float, *, engines: str | None = None, rate_m_per_s: float = 0.0,
        ias_m_per_s: float | None = None, icing: bool = False,
    ) -> Ceiling:  # fmt: skip
        """Return a ceiling from the chart of ceilings, or from the rates of climb."""
        self._refuse_other_speed(ias_m_per_s)
        phase_words.refuse_warm_air(self._handling, icing=icing)
        name = self._configuration(engines).name
        if "ceilings" in self._tables:
            height, beyond = chart_ceiling(self._tables["ceilings"], mass_kg, isa_deviation_k, name, rate_m_per_s)
            return Ceiling(height, rate_m_per_s, name, beyond)

        def spare(height_m: float) -> float:
            air = Air(height_m, standard_temperature(height_m) + isa_deviation_k)
            return self.climb(mass_kg, air, engines=engines).pressure_altitude_rate_m_per_s - rate_m_per_s

        low, high = self._table("rate of climb").si_ends("pressure altitude")
        if spare(high) >= 0.0:
            return Ceiling(high, rate_m_per_s, name, beyond_range=True)
        if spare(low) < 0.0:
            raise PlanError(
                f"the rate of climb asked for is not met at any altitude of the chart, engines: {name}",
                expected="less weight, colder air or more engines",
            )
        return Ceiling(root(spare, low, high, _CEILING_TOLERANCE_M), rate_m_per_s, name, beyond_range=False)

    def lever_moves(self, before: PowerSetting | None, after: PowerSetting) -> tuple[LeverMove, ...]:
        """Return the lever movements in order."""
        return lever_moves(self._aircraft.lever_order, before, after)

    def _table(self, name: str) -> ChartTable:
        if name not in self._tables:
            raise PlanError(
                f"{self._aircraft.name} has no chart '{name}'", expected="one of: " + ", ".join(sorted(self._tables))
            )
        return self._tables[name]

    def _refuse_other_speed(self, ias_m_per_s: float | None) -> None:
        own = self._aircraft.speeds.climb_m_per_s
        if ias_m_per_s is not None and ias_m_per_s != own:
            raise OutOfRangeError(
                f"the charts give no climb at {speed_words(ias_m_per_s)} indicated",
                expected=f"the climb speed, {speed_words(own)} indicated",
            )

    def _configuration(self, engines: str | None) -> EngineConfiguration:
        if engines is None:
            return self._book.engine_configurations[0]
        if engines not in self._engines:
            raise OutOfRangeError(
                f"the aircraft file has no engine configuration '{engines}'", expected=" or ".join(self._engines)
            )
        return self._engines[engines]

    def _flight(self, mass_kg: float, air: Air, engines: str | None, bank_deg: float, chart: str) -> ChartFlight:
        return ChartFlight(
            cruise=self._table(chart),
            fewer=self._tables.get(ENGINES_STOPPED) if chart == phase_words.cruise_in("clean") else None,
            hold=self._tables.get("hold"),
            airspeeds=self._airspeeds,
            density_kg_per_m3=self._density_kg_per_m3,
            rated_power_w=self._book.rated_power_w,
            mass_kg=mass_kg,
            air=air,
            engines=self._configuration(engines),
            all_engines=self._book.engine_configurations[0],
            bank_deg=bank_deg,
            hold_ias_m_per_s=self._aircraft.speeds.hold_m_per_s,
        )

    def _search(self, flight: ChartFlight, merit: Merit) -> SpeedSearch:
        if flight.engines != flight.all_engines and flight.fewer is None:
            raise PlanError(
                f"the charts give no speed for range or endurance (engines: {flight.engines.name})",
                expected=f"the waiting speed, or {flight.all_engines.name} engines",
            )
        low, high = flight.table.si_ends(flight.parameter)
        return SpeedSearch(flight.flown, merit, low, high)

    def _at_indicated(self, flight: ChartFlight, ias_m_per_s: float) -> PowerSetting:
        """Return the reading at an indicated airspeed; on a chart entered with power the power is found for it."""
        if flight.parameter == SPEED_AXIS or flight.engines != flight.all_engines:
            return flight.at(ias_m_per_s)
        return flight.at(power_for_speed(flight, ias_m_per_s))
