"""A flown sortie taken apart into pieces that many samples can be flown through."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import pairwise

import numpy as np

from briefgen.kernel.atmosphere import altitude_at_pressure, standard_temperature
from briefgen.model.bench import Uncertainty
from briefgen.model.mission import Action, Hold, Leg
from briefgen.model.performance import Air, ClimbState, DescentState, IndicatedAirspeed, PowerSetting, SpeedTarget
from briefgen.model.plan import Node, Phase
from briefgen.model.weather import TemperatureLevel, WindLevel
from briefgen.planning.flight.route import LegLine, line_between
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.sortie import crew_at
from briefgen.planning.flight.steps import Crew
from briefgen.replay.draws import Array
from briefgen.replay.level_tables import Asked, level_table
from briefgen.replay.pieces import Approach, Fixed, Height, HeightStep, Level, LevelOff, Over, Piece, Turns, Wait
from briefgen.replay.rounding import Gauges
from briefgen.replay.tables import Answer, HeightTable, LineAir, Span, said

SDS = 5.0  # how many standard deviations the tables reach
WIND_SDS = 4.0
PAST_THE_END_M = 60_000.0
SPARE_MASS_KG, SPARE_BURN_RATIO, SPARE_K, SPARE_WIND_M_PER_S = 60.0, 0.04, 2.0, 3.0
BEFORE_S, AFTER_S, AFTER_RATIO = 1800.0, 3600.0, 0.1
SAME_PLACE_M = 1.0
LOOK_S, CHANGE_S = 60.0, 0.5  # how closely it is looked whether cloud or darkness begins or ends, and when


@dataclass(frozen=True)
class Marked:
    """A piece and where it ends, as the plan says."""

    piece: Piece
    phase: Phase


class Builder:
    """Makes the pieces of one sortie; the tables reach as far as the uncertainty does."""

    def __init__(self, flown: Flown, uncertainty: Uncertainty) -> None:
        self.flown, self.mission, self.uncertainty = flown, flown.mission, uncertainty
        resolution = self.mission.aircraft.instrument_resolution
        self.gauges = Gauges(resolution.engine_speed_rpm, resolution.manifold_pressure_pa)
        self.begin = flown.departure.off_blocks
        origin = self.mission.route.origin
        self.centre = (origin.lat_deg, origin.lon_deg)
        soundings = self.mission.weather.soundings
        levels: list[WindLevel | TemperatureLevel] = []
        for one in soundings:
            levels += one.winds
            levels += one.temperatures
        self.levels_m = sorted({
            altitude_at_pressure(level.pressure_pa or 0.0) if level.pressure_altitude_m is None else level.pressure_altitude_m
            for level in levels
        })  # fmt: skip

    def pieces(self) -> list[Marked]:
        """Return the pieces in their order."""
        made: list[Marked] = []
        lines: dict[int, LegLine] = {}
        for phase in self.flown.phases:
            line = self._line(phase, lines)
            piece = self._piece(phase, line)
            before = made[-1].piece if made else None
            if (
                isinstance(piece, Height)
                and piece.end_m is not None
                and isinstance(before, Level)
                and made[-1].phase.point
            ):
                before.descent = piece if made[-1].phase.point == "Top of descent" else None
            made.append(Marked(piece, phase))
        return made

    def _line(self, phase: Phase, lines: dict[int, LegLine]) -> LegLine | None:
        if phase.item is None or phase.course_deg is None:
            return None
        item = self.mission.route.items[phase.item]
        if not isinstance(item, Leg):
            return None
        if phase.item not in lines:
            here = phase.start
            lines[phase.item] = line_between("", here.lat_deg, here.lon_deg, item.to, here.distance_m, item.track)
        return lines[phase.item]

    def _piece(self, phase: Phase, line: LegLine | None) -> Piece:
        if phase.kind in ("climb", "descent"):
            return self._height(phase, line)
        if phase.kind == "cruise" and line is not None:
            return self._level(phase, line)
        if phase.kind in ("hold", "run"):
            return self._wait(phase)
        if phase.kind == "approach":
            return self._approach(phase)
        return Fixed(phase.title, phase.duration_s, phase.fuel_burn_kg)

    # --- where, in which air, how far -------------------------------------------------------------------------------------

    def _crew(self, phase: Phase) -> Crew:
        return self.flown.crew if phase.item is None else crew_at(self.mission, self.flown.crew, phase.item)

    def _over(self, phase: Phase, line: LegLine | None) -> Over:
        start, end = phase.start, phase.end
        low, high = sorted((start.pressure_altitude_m, end.pressure_altitude_m))
        nodes = [node.pressure_altitude_m for node in phase.nodes]
        low, high = min(low, *nodes), max(high, *nodes)
        heights = [low, high, *(one for one in self.levels_m if low < one < high)]
        first_s, last_s = ((node.instant - self.begin).total_seconds() for node in (self._first(phase).start, end))
        delay_s = SDS * (self.uncertainty.delay_sd_s or 0.0)
        spans = (first_s - BEFORE_S, last_s + AFTER_S + delay_s + AFTER_RATIO * last_s)
        if line is None:
            where, along = self._standing(phase), (start.distance_m, start.distance_m)
        else:
            where = self._along(line)
            along = (line.start_distance_m - SAME_PLACE_M, line.end_distance_m + PAST_THE_END_M)
        air = LineAir(self.flown.crew.sky, where, along, heights, self.begin, spans, self.centre)
        return Over(air, line is not None, 0.0 if line is None else self.mission.weather.more_head_wind_m_per_s)

    def _first(self, phase: Phase) -> Phase:
        """Return the first phase of the route item that a phase serves."""
        return next(one for one in self.flown.phases if one.item == phase.item)

    def _standing(self, phase: Phase) -> Callable[[float], tuple[float, float, float]]:
        return lambda along: (phase.start.lat_deg, phase.start.lon_deg, 0.0)

    def _along(self, line: LegLine) -> Callable[[float], tuple[float, float, float]]:
        longer = line.extended()
        return lambda along: longer.at(along - line.start_distance_m)

    def _span(self, phase: Phase) -> Span:
        burnt = self.flown.departure.fuel_kg - phase.end.fuel_kg
        spare = SPARE_MASS_KG + SDS * (self.uncertainty.weight_sd_kg or 0.0)
        spare += burnt * (SPARE_BURN_RATIO + SDS * (self.uncertainty.consumption_sd_ratio or 0.0))
        masses = [node.mass_kg for node in phase.nodes]
        if phase.kind == "descent":
            masses.append(self._first(phase).start.mass_kg)  # its place is sought from where its leg begins
        deviations = [
            setting.air.temperature_k - standard_temperature(setting.air.pressure_altitude_m)
            for _, setting in phase.settings
        ]
        warmth, wind = self.uncertainty.temperature, self.uncertainty.wind
        spare_k = SPARE_K + SDS * (warmth.sd if warmth else 0.0)
        winds = self._head_winds(phase)
        spare_wind = SPARE_WIND_M_PER_S + WIND_SDS * (wind.sd if wind else 0.0)
        heights = [node.pressure_altitude_m for node in phase.nodes]
        return Span(
            (min(masses) - spare, max(masses) + spare), (min(deviations) - spare_k, max(deviations) + spare_k),
            (min(heights), max(heights)), (min(winds) - spare_wind, max(winds) + spare_wind),
        )  # fmt: skip

    def _head_winds(self, phase: Phase) -> list[float]:
        """Return the head winds planned in a phase: what is missing of the true airspeed over the ground, each way across left out."""
        course = math.radians(phase.course_deg or 0.0)
        mean = -(phase.wind_east_m_per_s * math.sin(course) + phase.wind_north_m_per_s * math.cos(course))
        tas = [setting.tas_m_per_s for _, setting in phase.settings]
        pairs = zip(tas, phase.nodes[1:], strict=False)
        return [mean, *(one - node.ground_speed_m_per_s for one, node in pairs if phase.kind == "cruise")]

    # --- pieces -----------------------------------------------------------------------------------------------------------

    def _target(self, phase: Phase) -> SpeedTarget:
        item = self.mission.route.items[phase.item or 0]
        pace = self.flown.paces.get(phase.item) if phase.item is not None else None
        if pace is not None:
            return IndicatedAirspeed(pace.ias_m_per_s)
        if isinstance(item, Action):
            return IndicatedAirspeed(item.ias_m_per_s)
        return item.target if isinstance(item, Hold) else item.cruise

    def _level(self, phase: Phase, line: LegLine) -> Level:
        nodes = phase.nodes
        asked = Asked(self._crew(phase), self._target(phase), 0.0, _icing(phase))
        table = level_table(asked, self._span(phase), self.gauges)
        heights = np.array([node.distance_m for node in nodes]), np.array([node.pressure_altitude_m for node in nodes])
        return Level(phase.title, self._over(phase, line), table, heights, phase.end.distance_m, line.end_distance_m)

    def _wait(self, phase: Phase) -> Wait:
        item = self.mission.route.items[phase.item or 0]
        pace = self.flown.paces.get(phase.item or 0)
        crew, bank_deg = self._crew(phase), 0.0
        if isinstance(item, Action):
            crew = replace(crew, phase="drop", configuration=item.configuration)
        elif isinstance(item, Hold):
            crew, bank_deg = replace(crew, phase="hold"), item.bank_deg
        elif pace is not None:
            bank_deg = pace.bank_deg
        table = level_table(Asked(crew, self._target(phase), bank_deg, _icing(phase)), self._span(phase), self.gauges)
        return Wait(
            phase.title,
            self._over(phase, None),
            table,
            phase.start.pressure_altitude_m,
            phase.duration_s,
            phase.released_kg,
        )

    def _approach(self, phase: Phase) -> Approach:
        """Return the pattern at its speed and the final at its rate, each for its time as planned."""
        crew, span = replace(self.flown.crew, phase="pattern"), self._span(phase)
        over, before, last = self._over(phase, None), phase.nodes[-2], phase.settings[-1][1]
        final_s = (phase.end.instant - before.instant).total_seconds()
        speed = IndicatedAirspeed(phase.settings[0][1].ias_m_per_s)
        pattern = Wait(
            phase.title, over, level_table(Asked(crew, speed, 0.0, False), span, self.gauges), phase.start.pressure_altitude_m, phase.duration_s - final_s
        )  # fmt: skip
        rate = (before.pressure_altitude_m - phase.end.pressure_altitude_m) / final_s

        def answer(mass_kg: float, air: Air) -> tuple[tuple[float, float, float, float], tuple[object, ...]]:
            state = crew.performance.descent(
                mass_kg, air, rate_m_per_s=rate, ias_m_per_s=last.ias_m_per_s, phase="final"
            )
            setting = crew.performance.as_set(state.setting)
            return _figures(state, setting), said(setting)

        middle_m = last.air.pressure_altitude_m
        return Approach(
            phase.title, pattern, HeightTable(answer, middle_m, span, icing=last.air.icing), middle_m, final_s
        )

    def _height_step(
        self, crew: Crew, node: Node, ends: tuple[float, float], setting: PowerSetting, span: Span
    ) -> HeightStep:
        low, high = ends
        middle_m, icing = 0.5 * (low + high), setting.air.icing
        first, changes_s = self._instruments(crew, node, middle_m) if high > low else (False, np.zeros(0))
        if not len(changes_s):
            table = HeightTable(_answer(crew, high > low, setting.ias_m_per_s), middle_m, span, icing=icing)
            return HeightStep(middle_m, abs(high - low), table)
        speeds = crew.performance.speeds(setting.mass_kg)
        usual, slow = (
            HeightTable(_answer(crew, True, ias), middle_m, span, icing=icing)
            for ias in (speeds.climb_m_per_s, speeds.climb_on_instruments_m_per_s or speeds.climb_m_per_s)
        )
        return HeightStep(middle_m, abs(high - low), usual, Turns(first, changes_s, slow))

    def _instruments(self, crew: Crew, node: Node, middle_m: float) -> tuple[bool, Array]:
        """Return whether it is cloud or darkness at a height over a place before the time planned, and when that changes about it."""
        speeds = crew.performance.speeds(node.mass_kg)
        if speeds.climb_on_instruments_m_per_s is None or crew.engines is not None:
            return False, np.zeros(0)
        altitude_m, wanted = node.altitude_m + middle_m - node.pressure_altitude_m, speeds.climb_on_instruments_in

        def dark_or_cloudy(time_s: float) -> bool:
            there = replace(node, instant=self.begin + timedelta(seconds=time_s))
            return crew.sky.on_instruments(there, altitude_m, wanted)

        about_s = (node.instant - self.begin).total_seconds()
        after_s = BEFORE_S + SDS * (self.uncertainty.delay_sd_s or 0.0)
        times_s = [float(one) for one in np.arange(about_s - BEFORE_S, about_s + after_s, LOOK_S)]
        marks = [dark_or_cloudy(one) for one in times_s]
        changes = []
        for (low, before), (high, after) in pairwise(zip(times_s, marks, strict=True)):
            while before != after and high - low > CHANGE_S:
                middle = 0.5 * (low + high)
                low, high = (middle, high) if dark_or_cloudy(middle) == before else (low, middle)
            changes += [high] if before != after else []
        return marks[0], np.array(changes)

    def _height(self, phase: Phase, line: LegLine | None) -> Height:
        rising, crew, span = phase.kind == "climb", self._crew(phase), self._span(phase)
        count = len(phase.nodes) - 1
        if phase.level_off is not None:
            count = next((i for i, node in enumerate(phase.nodes) if node == phase.level_off), count)
        ends = [node.pressure_altitude_m for node in phase.nodes[: count + 1]]
        settings = [setting for _, setting in phase.settings]
        steps = []
        for node, low, high, setting in zip(phase.nodes, ends, ends[1:], settings, strict=False):
            steps.append(self._height_step(crew, node, (low, high), setting, span))
        middle = 0.5 * (ends[0] + ends[-1])
        one = HeightStep(
            middle,
            abs(ends[-1] - ends[0]),
            HeightTable(_answer(crew, rising, settings[0].ias_m_per_s), middle, span, icing=False),
        )
        placed = line is not None and not rising and abs(phase.end.distance_m - line.end_distance_m) < SAME_PLACE_M
        off = None
        if phase.level_off is not None and count < len(phase.nodes) - 1:
            top = HeightTable(
                _answer(crew, True, settings[count].ias_m_per_s), ends[-1], span, icing=settings[count].air.icing
            )
            at_top = replace(span, height_m=(ends[-1], ends[-1]))
            asked = Asked(crew, self._target(phase), 0.0, settings[count].air.icing)
            off = LevelOff(ends[-1], top, level_table(asked, at_top, self.gauges))
        end_m = line.end_distance_m if placed and line is not None else None
        return Height(phase.title, self._over(phase, line), steps, one, end_m, off)


def _icing(phase: Phase) -> bool:
    """Return whether most of a phase is flown with the levers as they stand in ice; edges of cloud are not moved with the samples."""
    return 2 * len([1 for _, setting in phase.settings if setting.air.icing]) > len(phase.settings)


def _answer(crew: Crew, rising: bool, ias_m_per_s: float) -> Answer:
    """Return what is asked of the aircraft at a height: a climb at the speed planned there, or the descent of the file."""

    def climb(mass_kg: float, air: Air) -> tuple[tuple[float, float, float, float], tuple[object, ...]]:
        speeds = crew.performance.speeds(mass_kg)
        slow = speeds.climb_on_instruments_m_per_s
        other = slow if slow is not None and abs(slow - ias_m_per_s) < abs(speeds.climb_m_per_s - ias_m_per_s) else None
        state = crew.performance.climb(mass_kg, air, engines=crew.engines, ias_m_per_s=None if crew.engines else other)
        return _figures(state, state.setting), said(state.setting)

    def descent(mass_kg: float, air: Air) -> tuple[tuple[float, float, float, float], tuple[object, ...]]:
        state = crew.performance.descent(mass_kg, air)
        setting = crew.performance.as_set(state.setting)
        return _figures(state, setting), said(setting)

    return climb if rising else descent


def _figures(state: ClimbState | DescentState, setting: PowerSetting) -> tuple[float, float, float, float]:
    return setting.fuel_flow_kg_per_s, setting.tas_m_per_s, state.pressure_altitude_rate_m_per_s, state.rate_m_per_s
