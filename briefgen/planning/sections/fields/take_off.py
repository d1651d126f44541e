"""The take-off as figures: speeds, distances against the runway, obstacles, and the weight that fits."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.aircraft.published_factors import SOURCE as PUBLISHED_SOURCE
from briefgen.aircraft.published_factors import TAKE_OFF_SURFACES
from briefgen.errors import BriefgenError
from briefgen.frozen import replace
from briefgen.kernel.constants import KELVIN_AT_0_DEGC, KT_M_PER_S
from briefgen.model.ledger import Row
from briefgen.model.record import Absent, Record, Ref, Sum, figure, rests_on, spare, working
from briefgen.model.tables import ColumnOf, TableOf
from briefgen.planning.ledger import subjects
from briefgen.planning.ledger.writer import AIRSPEED
from briefgen.planning.sections.basis.groups import BALANCE, RULES, rest_on_groups
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.fields.runway_use import HEADWIND_SHARE, WIND_SOURCE
from briefgen.planning.sections.fields.take_off_limits import TakeOffLimits, rounded_down, rounded_up
from briefgen.planning.sections.fields.take_off_rows import (
    NO_WEIGHT,
    SUMMED,
    DistanceFigures,
    ObstacleFigures,
    PublishedDistance,
    said_distance,
)


class UnstickSpeed(Record):
    """The speed at which she leaves the ground: the checklists of every aircraft file quote it by this name."""

    at = "take_off"

    def __init__(self, limits: TakeOffLimits, runway: RunwayFigures) -> None:
        self._limits, self._runway, self.source = limits, runway, limits.fields.source

    @figure("Unstick speed, indicated", AIRSPEED, how=SUMMED, source="%(source)s")
    def unstick_ias(self) -> float:
        rests_on(self._runway.conditions)
        return known(self._limits.answer.unstick_ias_m_per_s)


class TakeOffSpeeds(Record):
    """The other speeds of the run, and the climb beyond it."""

    def __init__(self, limits: TakeOffLimits, runway: RunwayFigures) -> None:
        self.at, self._answer, self._runway, self.source = (
            limits.use.key,
            limits.answer,
            runway,
            limits.fields.source,
        )

    def _of(self, value: float | None) -> float:
        rests_on(self._runway.conditions)
        return known(value)

    @figure("Engine-failure speed", AIRSPEED, how=SUMMED, source="%(source)s")
    def critical_ias(self) -> float:
        return self._of(self._answer.critical_ias_m_per_s)

    @figure("Run to the engine-failure speed", "ft", how=SUMMED, source="%(source)s")
    def critical_run(self) -> float:
        return self._of(self._answer.critical_run_m)

    @figure("Time to the engine-failure speed", "s", how=SUMMED, source="%(source)s")
    def critical_time(self) -> float:
        return self._of(self._answer.critical_time_s)

    @figure("Speed at 50 ft, indicated", AIRSPEED, how=SUMMED, source="%(source)s")
    def safe_ias(self) -> float:
        return self._of(self._answer.safe_ias_m_per_s)

    @figure("Highest speed from which a stop fits the runway", AIRSPEED, how=SUMMED, source="%(source)s")
    def stop_fits_ias(self) -> float:
        return self._of(self._answer.stop_fits_ias_m_per_s)

    @figure("Speed at which she gains no more", AIRSPEED, how=SUMMED, source="%(source)s")
    def fastest_ias(self) -> float:
        return self._of(self._answer.fastest_ias_m_per_s)

    @figure("Climb gradient beyond 50 ft, all engines", "%", how=SUMMED, decimals=1, source="%(source)s")
    def gradient(self) -> float:
        return self._of(self._answer.gradient_ratio)

    @figure(
        "Climb gradient beyond 50 ft, an engine windmilling, gear down",
        "%",
        how=SUMMED,
        decimals=1,
        source="%(source)s",
    )
    def failed_gradient(self) -> float:
        return self._of(self._answer.failed_gradient_ratio)


def known(value: float | None) -> float:
    """Return a figure of the aircraft's answer.

    Raises:
        Absent: The answer does not have it.
    """
    if value is None:
        raise Absent("the aircraft file does not say")
    return value


def engine_failure_words(stop_m: float, go_m: float, length_m: float) -> str:
    """Return what the runway allows when an engine fails at the engine-failure speed."""
    if stop_m <= length_m and go_m <= length_m:
        return "below the speed stop, above it go on; both fit the runway"
    if stop_m <= length_m:
        return "stop at any speed on the ground; going on does not reach 50 ft over this runway"
    if go_m <= length_m:
        return "from the speed go on; the stop from it does not fit the runway"
    return "stop at once; near the speed neither the stop nor going on fits: throttles closed, land straight ahead"


class EngineFailure(Record):
    """What the runway allows when an engine fails on the run."""

    def __init__(self, limits: TakeOffLimits, runway: RunwayFigures, distances: Sequence[DistanceFigures]) -> None:
        self.at, self._answer, self._runway = limits.use.key, limits.answer, runway
        self._distances = {one.requirement.name: one for one in distances}

    @figure("If an engine fails on the run", how="accelerate-stop and accelerate-go against the runway")
    def engine_failure(self) -> str:
        stop_m, go_m = known(self._answer.accelerate_stop_m), known(self._answer.accelerate_go_m)
        rests_on(self._distances["accelerate_stop"].distance, self._distances["accelerate_go"].distance)
        return engine_failure_words(stop_m, go_m, self._runway.available)


class GreatestWeight(Record):
    """The weight that meets everything required, and what sets it."""

    def __init__(
        self, limits: TakeOffLimits, distances: Sequence[DistanceFigures], obstacles: Sequence[ObstacleFigures]
    ) -> None:
        self.at, self.limits = limits.use.key, limits
        self._distances, self._obstacles = distances, obstacles

    @figure("What sets the greatest weight", how="smallest of the weights that fit")
    def governs(self) -> str:
        rests_on(self.greatest_mass)
        return self.limits.greatest[1]

    @figure("Greatest weight for this field", "lb", how="smallest of the weights that fit, rounded down to 100 lb")
    def greatest_mass(self) -> float | str:
        rests_on(*(one.greatest_mass for one in self._distances), *(one.greatest_mass for one in self._obstacles))
        rests_on(*(ObstacleFigures.greatest_mass_failed.or_none(one) for one in self._obstacles))
        rest_on_groups(BALANCE)
        greatest_kg = self.limits.greatest[0]
        return NO_WEIGHT if greatest_kg is None else rounded_down(greatest_kg)


class NoWeightInHand(Record):
    """The margin where no weight fits."""

    def __init__(self, greatest: GreatestWeight) -> None:
        self.at, self._greatest = greatest.at, greatest

    @figure("Weight in hand", "lb", how="no weight fits the runway")
    def mass_margin(self) -> str:
        rests_on(self._greatest.greatest_mass)
        return NO_WEIGHT


class WeightInHand(Record):
    """The margin to the weight that fits; where there is none, what must stay behind or what would have to change."""

    def __init__(self, greatest: GreatestWeight, runway: RunwayFigures) -> None:
        self.at, self._greatest, self._runway = greatest.at, greatest, runway
        self._limits = greatest.limits
        self.source = self._limits.fields.source

    @spare("Weight in hand", "lb", how="greatest weight less weight")
    def mass_margin(self) -> Sum:
        return Sum([GreatestWeight.greatest_mass.of(self._greatest)], [self._limits.use.mass])

    @working
    def _over_kg(self) -> float:
        """The weight above the greatest [kg]."""
        if self.mass_margin >= 0.0:
            raise Absent("the weight fits")
        return -self.mass_margin

    @figure("Weight to leave behind", "lb", how="weight above the greatest, rounded up to 100 lb")
    def left_behind(self) -> float:
        return rounded_up(self._over_kg)

    @figure(
        "Temperature at which this weight fits", "degC", how="take-off worked out in cooler air, rounded down",
        source="%(source)s",
    )  # fmt: skip
    def cool_enough(self) -> float:
        rests_on(self._over_kg, self._runway.air_and_ground)
        rest_on_groups(RULES)
        temperature_k = self._limits.cool_enough_k()
        if temperature_k is None:
            raise Absent("no likely air is cool enough")
        return math.floor(temperature_k - KELVIN_AT_0_DEGC) + KELVIN_AT_0_DEGC

    @figure(
        "Head wind with which this weight fits", "kt", source=WIND_SOURCE,
        how="take-off worked out in more wind, half of it counted on, rounded up",
    )  # fmt: skip
    def headwind_enough(self) -> float:
        rests_on(self._over_kg, self._runway.air_and_ground)
        rest_on_groups(RULES)
        counted = self._limits.headwind_enough_m_per_s()
        if counted is None:
            raise Absent("no likely head wind is enough")
        return math.ceil(counted / HEADWIND_SHARE / KT_M_PER_S) * KT_M_PER_S


class TakeOffFigures(Record):
    """One take-off with everything that is asked of it."""

    def __init__(self, limits: TakeOffLimits, runway: RunwayFigures) -> None:
        self.limits, self.runway = limits, runway
        self.unstick, self.speeds = UnstickSpeed(limits, runway), TakeOffSpeeds(limits, runway)
        self.distances = tuple(DistanceFigures(limits, runway, one) for one in limits.requirements)
        self.obstacles = tuple(
            ObstacleFigures(limits, runway, number, one) for number, one in enumerate(limits.obstacles, start=1)
        )
        self.published = published_distance(limits, runway)
        self.failure = EngineFailure(limits, runway, self.distances)
        self.greatest = GreatestWeight(limits, self.distances, self.obstacles)
        fits = limits.greatest[0] is not None
        self.in_hand = WeightInHand(self.greatest, runway) if fits else NoWeightInHand(self.greatest)

    def parts(self) -> Sequence[Record]:
        published = [self.published] if self.published else []
        return [
            self.runway, self.unstick, self.speeds, *self.distances, *published, *self.obstacles, self.failure, self.greatest,
            self.in_hand,
        ]  # fmt: skip


LIMIT = ColumnOf("limit", "What binds")
MARGIN_LENGTH, MARGIN_WEIGHT = ColumnOf("margin", "In hand", "ft"), ColumnOf("margin_mass", "In hand", "lb")
BINDING = TableOf("fields.binding", "The limit that binds the take-off", (LIMIT, MARGIN_LENGTH, MARGIN_WEIGHT))


def binding_margin(take_off: TakeOffFigures) -> Ref:
    """Return what is in hand to the limit that sets the greatest weight: length, height, or where neither binds weight."""
    subject = take_off.limits.governing_subject
    found = {subjects.take_off(one.requirement.name): DistanceFigures.margin.of(one) for one in take_off.distances}
    for one, obstacle in zip(take_off.obstacles, take_off.limits.obstacles, strict=True):
        found[subjects.obstacle(obstacle.name, failed=False)] = ObstacleFigures.margin.of(one)
        found[subjects.obstacle(obstacle.name, failed=True)] = ObstacleFigures.failed_margin.of(one)
    if subject in found and found[subject].there:
        return found[subject]
    in_hand = take_off.in_hand
    if isinstance(in_hand, WeightInHand):
        return WeightInHand.mass_margin.of(in_hand)
    return NoWeightInHand.mass_margin.of(in_hand)


def binding_row(take_off: TakeOffFigures) -> Row:
    """Return what binds the take-off at the weight of the plan, with what is in hand to it."""
    margin = binding_margin(take_off)
    column = MARGIN_LENGTH if margin.figure.declared.unit == "ft" else MARGIN_WEIGHT
    return BINDING.row_of("binding", {LIMIT: GreatestWeight.governs.of(take_off.greatest), column: margin})


def published_distance(limits: TakeOffLimits, runway: RunwayFigures) -> PublishedDistance | None:
    """Return the distance on dry paving times the published factor of the surface, None where there is none to compare."""
    use, fields = limits.use, limits.fields
    surface = runway.surface
    factor = TAKE_OFF_SURFACES.get("soft" if surface == "mud" else surface)
    if factor is None or factor == 1.0:
        return None
    paved = replace(use.strip, runway=replace(use.runway, surface="paved dry", depth_m=0.0), wet=False)
    try:
        distance_m = fields.take_off(use.mass_kg, paved).distance_m * factor
    except BriefgenError:  # an aircraft file without a paved runway has nothing to compare with
        return None
    return PublishedDistance(runway, factor, surface, said_distance(distance_m), PUBLISHED_SOURCE)
