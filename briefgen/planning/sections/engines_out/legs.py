"""The legs with engines stopped: who still runs, and the heights that are left on them."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.aircraft.engines_out import BestCeiling, IceAt, ceiling_at_best_speed
from briefgen.aircraft.interface import Performance
from briefgen.aircraft.words import height_words
from briefgen.errors import BriefgenError, OutOfRangeError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.constants import FT_M
from briefgen.model.mission import Leg, Mission
from briefgen.model.performance import Air, EngineConfiguration
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight.icing import ice_over
from briefgen.planning.flight.route import item_keys
from briefgen.planning.flight.steps import Crew

SERVICE_RATE_M_PER_S = 100.0 * FT_M / 60.0
SERVICE_SOURCE = "service ceiling at 100 ft/min: common practice of the trade, no published source"
NONE = "none"
NOT_KNOWN = "not known"
STOPPED = ("one", "two")  # how many engines stand still, as it stands in the keys


@dataclass(frozen=True)
class Height:
    """A ceiling, or why there is none."""

    best: BestCeiling | None
    problem: str = ""
    known: bool = True  # False where the aircraft file does not say, which is not the same as no height

    @property
    def pressure_altitude_m(self) -> float | None:
        """The ceiling [m]; where the file ends below it, the top of the file."""
        return self.best.ceiling.pressure_altitude_m if self.best else None


@dataclass(frozen=True)
class Fewer:
    """What is left on the worst choice of engines with so many stopped."""

    stopped: str  # "one" or "two"
    engines: EngineConfiguration
    service: Height
    absolute: Height

    @property
    def climb_ias_m_per_s(self) -> float | None:
        """Indicated speed of the best climb near the ceiling [m/s]."""
        best = self.service.best or self.absolute.best
        return best.ias_m_per_s if best else None


@dataclass(frozen=True)
class LegOut:
    """One leg with engines stopped at its heaviest moment, the beginning of its level flight."""

    leg_key: str
    leg: Leg
    phase: Phase
    fewer: tuple[Fewer, ...]
    ground_m: float = 0.0  # the lower end of the leg where both elevations are known, else the sea
    ices: IceAt | None = None  # anywhere on the leg, by pressure altitude [m]; None where there is no cloud

    @property
    def key(self) -> str:
        """The head of its keys."""
        return f"engines_out.{self.leg_key}"

    @property
    def node(self) -> Node:
        """The aircraft as level flight begins."""
        return self.phase.start

    @property
    def deviation_k(self) -> float:
        """How much warmer than standard the leg is [K]."""
        return self.phase.temperature_k - standard_temperature(self.node.pressure_altitude_m)

    @property
    def setting_offset_m(self) -> float:
        """Pressure altitude over the altitude on the setting in force [m]."""
        return self.node.pressure_altitude_m - self.node.altitude_m

    @property
    def safe_m(self) -> float | None:
        """The minimum safe altitude as pressure altitude [m]."""
        return None if self.leg.safe_height_m is None else self.leg.safe_height_m + self.setting_offset_m

    def air(self, pressure_altitude_m: float) -> Air:
        """Return the air of the leg at a height: as much warmer than standard as at the planned one, icing where its cloud is."""
        icing = self.ices is not None and self.ices(pressure_altitude_m)
        return Air(pressure_altitude_m, self.temperature_k(pressure_altitude_m), icing=icing)

    def temperature_k(self, pressure_altitude_m: float) -> float:
        """Return the temperature of the leg at a pressure altitude [K]."""
        return standard_temperature(pressure_altitude_m) + self.deviation_k

    @property
    def iced(self) -> bool:
        """Whether the levers against ice count in what is left: at the planned altitude, or at one she comes down to."""
        held = [self.held_m(fewer) for fewer in self.fewer]
        heights = [self.node.pressure_altitude_m, *(one for one in held if one is not None)]
        return self.ices is not None and any(self.ices(height_m) for height_m in heights)

    def held_m(self, fewer: Fewer) -> float | None:
        """Return the pressure altitude held with the service rate in hand, no higher than planned [m]."""
        service_m = fewer.service.pressure_altitude_m
        return None if service_m is None else min(self.node.pressure_altitude_m, service_m)


def legs_out(mission: Mission, phases: Sequence[Phase], crew: Crew) -> tuple[LegOut, ...]:
    """Return every leg that has level flight, with what is left on one and on two engines less."""
    heads, found, performance = item_keys(mission.route.items), [], crew.performance
    seen: set[int] = set()
    for phase in phases:
        if phase.kind != "cruise" or phase.item is None or phase.item in seen:
            continue
        leg = mission.route.items[phase.item]
        if isinstance(leg, Leg):
            seen.add(phase.item)
            dry = LegOut(heads[phase.item], leg, phase, (), _ground_m(mission, phase.item))
            bare = replace(dry, ices=ice_over(crew.sky, _nodes(phases, phase.item), dry.temperature_k))
            fewer = tuple(
                _fewer(bare, stopped, configurations, performance)
                for stopped, configurations in _configurations(performance)
            )
            found.append(replace(bare, fewer=fewer))
    return tuple(found)


def _nodes(phases: Sequence[Phase], item: int) -> list[Node]:
    return [node for phase in phases if phase.kind == "cruise" and phase.item == item for node in phase.nodes]


def _ground_m(mission: Mission, index: int) -> float:
    """Return the elevation of the lower end of a leg, the sea where an end has none [m]."""
    items = mission.route.items
    before = items[index - 1] if index else None
    begin = mission.route.origin if before is None else before.to if isinstance(before, Leg) else before.at
    end = items[index]
    ends = (begin.elevation_m, end.to.elevation_m if isinstance(end, Leg) else None)
    return max(0.0, min(one or 0.0 for one in ends))


def _configurations(performance: Performance) -> list[tuple[str, list[EngineConfiguration]]]:
    every = performance.engine_configurations
    found = []
    for count, stopped in enumerate(STOPPED, start=1):
        fewer = [one for one in every if one.running == every[0].running - count]
        if fewer:
            found.append((stopped, fewer))
    return found


def _fewer(out: LegOut, stopped: str, configurations: list[EngineConfiguration], performance: Performance) -> Fewer:
    worst = min(configurations, key=lambda one: _spare_rate(out, one, performance))
    service = _height(out, worst, SERVICE_RATE_M_PER_S, performance, out.node.pressure_altitude_m)
    near_m = service.pressure_altitude_m or out.node.pressure_altitude_m
    return Fewer(stopped, worst, service, _height(out, worst, 0.0, performance, near_m))


def _spare_rate(out: LegOut, engines: EngineConfiguration, performance: Performance) -> float:
    """Return the best rate of climb at the planned height; charts that give none tell by their ceiling which is worst."""
    node, air = out.node, out.air(out.node.pressure_altitude_m)
    try:
        ias = performance.best_climb_speed(node.mass_kg, air, engines=engines.name)
        return performance.climb(node.mass_kg, air, engines=engines.name, ias_m_per_s=ias).rate_m_per_s
    except BriefgenError:
        return _height(out, engines, 0.0, performance, node.pressure_altitude_m).pressure_altitude_m or 0.0


def _height(
    out: LegOut, engines: EngineConfiguration, rate_m_per_s: float, performance: Performance, near_m: float
) -> Height:
    try:
        best = ceiling_at_best_speed(
            performance, out.node.mass_kg, out.deviation_k, engines.name, rate_m_per_s, near_m, out.ices,
            out.node.pressure_altitude_m,
        )  # fmt: skip
        altitude_m = best.ceiling.pressure_altitude_m - out.setting_offset_m
        if altitude_m < out.ground_m:
            where = "the ground at both ends of the leg" if out.ground_m > 0.0 else "the sea"
            return Height(None, f"the rate is met up to {height_words(altitude_m)} only, below {where}")
        return Height(best)
    except OutOfRangeError as error:
        return Height(None, error.problem, known=False)
    except BriefgenError as error:
        return Height(None, error.problem)
