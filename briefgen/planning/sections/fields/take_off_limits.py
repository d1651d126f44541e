"""What a take-off has to fit: distances against their share of the runway, obstacles, and the weight that fits."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property

from briefgen.aircraft.fields import SCREEN_HEIGHT_M, FieldPerformance, Strip, TakeOff, greatest_mass
from briefgen.errors import OutOfRangeError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.constants import FT_M, KT_M_PER_S, LB_KG
from briefgen.kernel.interpolate import root
from briefgen.model.mission import Mission
from briefgen.model.places import Obstacle
from briefgen.planning.ledger import subjects
from briefgen.planning.sections.fields.runway_use import RunwayUse

OBSTACLE_CLEARANCE_M = 50.0 * FT_M  # 14 CFR 121.177(a)(3), seen
OBSTACLE_SOURCE = "14 CFR 121.177(a)(3): 50 ft over every obstacle in the path"
WEIGHT_STEP_KG = 100.0 * LB_KG  # weights on the card are rounded to this, to the safe side
OBSTACLE_CHECK = "obstacle clearance"  # the check that may ask it with an engine failed as well
TAKE_OFF_CHECK = "take-off distance"  # the check of a rule set that holds a distance against a share of the runway
COOLEST_WAIT_K = 15.0  # what a night takes off a hot afternoon
STRONGEST_WAIT_M_PER_S = 20.0 * KT_M_PER_S  # counted on; twice that must blow
_WAIT_TOLERANCE = 0.05
_FAR_OVER = 3.0  # logarithm that stands for a distance without end
_ROUND_OFF = 1e-6

_Distance = Callable[[TakeOff], float | None]
DISTANCES: dict[str, tuple[str, _Distance]] = {
    "ground_run": ("Ground run, all engines", lambda answer: answer.ground_run_m),
    "distance_50ft": ("To 50 ft, all engines", lambda answer: answer.distance_m),
    "accelerate_stop": ("Accelerate-stop, an engine failing", lambda answer: answer.accelerate_stop_m),
    "accelerate_go": ("To 50 ft, an engine failing", lambda answer: answer.accelerate_go_m),
}
RULE_WORDS = {  # how a rule names each distance
    "ground run": "ground_run",
    "distance to 50 ft": "distance_50ft",
    "accelerate-stop": "accelerate_stop",
    "accelerate-go": "accelerate_go",
}


@dataclass(frozen=True)
class Requirement:
    """One distance of the take-off and the part of the runway it may take; required, or only shown to the crew."""

    name: str
    title: str
    distance: _Distance
    share: float
    required: bool
    source: str


def requirements(mission: Mission, answer: TakeOff) -> tuple[Requirement, ...]:
    """Return every distance the aircraft's answers know, with the strictest share the mission's rules allow it.

    All engines to 50 ft within the runway is required even where the rules say nothing: less is not a take-off.
    """
    shares: dict[str, tuple[float, str]] = {"distance_50ft": (1.0, "the runway itself")}
    for rule in mission.rules.rules:
        if rule.check != TAKE_OFF_CHECK:
            continue
        name = RULE_WORDS[str(rule.parameters["distance"])]
        share = float(rule.parameters["runway share"])
        if name not in shares or share < shares[name][0]:
            shares[name] = (share, f"rule {rule.ident}: {rule.source} ({rule.provenance})")
    return tuple(
        Requirement(name, title, distance, *_share_of(shares, name))
        for name, (title, distance) in DISTANCES.items()
        if distance(answer) is not None
    )


def _share_of(shares: dict[str, tuple[float, str]], name: str) -> tuple[float, bool, str]:
    if name in shares:
        share, source = shares[name]
        return share, True, source
    return 1.0, False, "shown against the whole runway; the rule set does not require it"


class TakeOffLimits:
    """The weights at which one runway is long enough, asked of the aircraft once for each weight."""

    def __init__(self, mission: Mission, use: RunwayUse, fields: FieldPerformance) -> None:
        self.use, self.fields = use, fields
        self._answers: dict[float, TakeOff] = {}
        covered_from_kg, covered_to_kg = fields.mass_range_kg("take-off")
        self.least_kg = max(mission.individual.basic_mass_kg, covered_from_kg)
        self.most_kg = min(mission.aircraft.balance.limits.take_off_kg, covered_to_kg)
        self.answer = self.at(use.mass_kg)
        self.requirements = requirements(mission, self.answer)
        failed = any(
            rule.check == OBSTACLE_CHECK and rule.parameters.get("engines") == "one failed"
            for rule in mission.rules.rules
        )
        self.obstacle_cases = (False, True) if failed and self.answer.accelerate_go_m is not None else (False,)
        self.obstacles = use.runway.obstacles if self.answer.height_at(0.0) is not None or self.impossible else ()

    @property
    def impossible(self) -> bool:
        """Whether she does not leave the ground, or not reach 50 ft, at the weight of the plan."""
        return math.isinf(self.answer.distance_m)

    def at(self, mass_kg: float) -> TakeOff:
        """Return the take-off at a weight."""
        if mass_kg not in self._answers:
            self._answers[mass_kg] = self.fields.take_off(mass_kg, self.use.strip)
        return self._answers[mass_kg]

    def greatest_for(self, requirement: Requirement) -> float | None:
        """Return the greatest weight [kg] at which a distance fits its share, None when it fits at none."""
        limit_m = requirement.share * self.use.runway.length_m
        return greatest_mass(
            lambda mass: _finite(requirement.distance(self.at(mass))) / limit_m, self.least_kg, self.most_kg
        )

    def greatest_over(self, obstacle: Obstacle, *, failed: bool = False) -> float | None:
        """Return the greatest weight [kg] that clears an obstacle by the height required, None when none does."""
        return greatest_mass(
            lambda mass: self._obstacle_ratio(self.at(mass), obstacle, failed=failed), self.least_kg, self.most_kg
        )

    def _obstacle_ratio(self, answer: TakeOff, obstacle: Obstacle, *, failed: bool) -> float:
        """Return the height needed over the height she has, all engines or one failed; infinite when she is not up."""
        height_m = (
            self.failed_height_at_obstacle(answer, obstacle) if failed else self.height_at_obstacle(answer, obstacle)
        )
        return (obstacle.height_m + OBSTACLE_CLEARANCE_M) / height_m if height_m else math.inf

    def height_at_obstacle(self, answer: TakeOff, obstacle: Obstacle) -> float:
        """Return her height [m] over the runway's end when she passes an obstacle, all engines; 0 when not flying."""
        runway = self.use.runway
        at_m = runway.length_m + obstacle.distance_m
        height_m = answer.height_at(at_m)
        if height_m is None or height_m <= 0.0:
            return 0.0
        ground_m = runway.slope_ratio * (min(at_m, answer.distance_m) - runway.length_m)
        return max(0.0, height_m + ground_m)

    def failed_height_at_obstacle(self, answer: TakeOff, obstacle: Obstacle) -> float | None:
        """Return the same with an engine failed at the critical speed, None when she is not at 50 ft by then."""
        runway = self.use.runway
        at_m = runway.length_m + obstacle.distance_m
        go_m, gradient = answer.accelerate_go_m, answer.failed_gradient_ratio
        if go_m is None or gradient is None or at_m < go_m:
            return None
        return SCREEN_HEIGHT_M + gradient * (at_m - go_m) + runway.slope_ratio * (go_m - runway.length_m)

    def worst_ratio(self, strip: Strip) -> float:
        """Return the largest part of what is allowed that the plan's weight takes on a strip in another state."""
        answer = self.fields.take_off(self.use.mass_kg, strip)
        length_m = self.use.runway.length_m
        ratios = [_finite(one.distance(answer)) / (one.share * length_m) for one in self.requirements if one.required]
        for obstacle in self.obstacles:
            ratios += [self._obstacle_ratio(answer, obstacle, failed=failed) for failed in self.obstacle_cases]
        return max(ratios)

    def cool_enough_k(self) -> float | None:
        """Return the temperature at which the weight of the plan fits, None when no likely one is cool enough."""
        strip = self.use.strip

        def over(temperature_k: float) -> float:
            return self._over(replace(strip, air=replace(strip.air, temperature_k=temperature_k)))

        return _crossing(over, strip.air.temperature_k - COOLEST_WAIT_K, strip.air.temperature_k)

    def headwind_enough_m_per_s(self) -> float | None:
        """Return the head wind counted on with which the weight of the plan fits, None when no likely one is enough."""
        strip = self.use.strip

        def short(headwind_m_per_s: float) -> float:
            return -self._over(replace(strip, headwind_m_per_s=headwind_m_per_s))

        return _crossing(short, strip.headwind_m_per_s, strip.headwind_m_per_s + STRONGEST_WAIT_M_PER_S)

    def _over(self, strip: Strip) -> float:
        return min(math.log(self.worst_ratio(strip)), _FAR_OVER)

    @property
    def greatest(self) -> tuple[float | None, str]:
        """Return the greatest weight [kg] that meets everything required, and what sets it."""
        greatest_kg, words, _ = self._governing
        return greatest_kg, words

    @property
    def governing_subject(self) -> str:
        """Return the name of the fact that sets the greatest weight, as a rule that judges it names it."""
        return self._governing[2]

    @cached_property
    def _governing(self) -> tuple[float | None, str, str]:
        found: list[tuple[float | None, str, str]] = [
            (self.most_kg, "greatest take-off weight of the aircraft file", subjects.mass("take-off"))
        ]
        found += [
            (self.greatest_for(one), _small(one.title), subjects.take_off(one.name))
            for one in self.requirements
            if one.required
        ]
        for one in self.obstacles:
            for failed in self.obstacle_cases:
                how = ", an engine failed" if failed else ""
                name = subjects.obstacle(one.name, failed=failed)
                found.append((self.greatest_over(one, failed=failed), f"{one.name} beyond the end{how}", name))
        return min(found, key=lambda one: -1.0 if one[0] is None else one[0])


def _crossing(rising: Callable[[float], float], low: float, high: float) -> float | None:
    """Return where a rising function of air or wind crosses zero, None when it does not or the charts end before."""
    try:
        if rising(low) > 0.0 or rising(high) < 0.0:
            return None
        return root(rising, low, high, _WAIT_TOLERANCE)
    except OutOfRangeError:
        return None


def rounded_down(mass_kg: float) -> float:
    """Return a weight rounded down to the step of the card [kg]."""
    return math.floor(mass_kg / WEIGHT_STEP_KG + _ROUND_OFF) * WEIGHT_STEP_KG


def rounded_up(mass_kg: float) -> float:
    """Return a weight rounded up to the step of the card [kg]."""
    return math.ceil(mass_kg / WEIGHT_STEP_KG - _ROUND_OFF) * WEIGHT_STEP_KG


def _small(title: str) -> str:
    return title[:1].lower() + title[1:]


def _finite(distance_m: float | None) -> float:
    return math.inf if distance_m is None else distance_m
