"""The rows of a take-off: each distance against its share of the runway, each obstacle against the height over it."""

from __future__ import annotations

import math

from briefgen.model.ledger import Row
from briefgen.model.places import Obstacle
from briefgen.model.record import Absent, Record, Sum, figure, rests_on, spare
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.sections.basis.groups import BALANCE, PLACES, RULES, rest_on_groups
from briefgen.planning.sections.fields.runway_figures import RunwayFigures
from briefgen.planning.sections.fields.take_off_limits import (
    OBSTACLE_CLEARANCE_M,
    OBSTACLE_SOURCE,
    Requirement,
    TakeOffLimits,
    rounded_down,
)

NOT_POSSIBLE = "not possible"
NO_WEIGHT = "no weight fits"
SUMMED = "forces on the run summed over speed"
SEARCHED = "weight at which it just fits, rounded down to 100 lb"
OBSTACLE_AS_WRITTEN = "obstacle of the runway as written"
NOT_REQUIRED = "the distance is shown, not required by the rule set"


def said_distance(distance_m: float) -> float | str:
    """Return a distance, or in words that it cannot be had."""
    return NOT_POSSIBLE if math.isinf(distance_m) else distance_m


def said_weight(mass_kg: float | None) -> float | str:
    """Return a weight that fits, rounded down to the step of the card, or in words that none does."""
    return NO_WEIGHT if mass_kg is None else rounded_down(mass_kg)


def numbered(value: float | str) -> float:
    """Return a figure that may be told in words, where it is a number.

    Raises:
        Absent: It is told in words; they are the reason.
    """
    if isinstance(value, str):
        raise Absent(value)
    return value


class DistanceFigures(Record):
    """One distance of the take-off against the part of the runway it may take."""

    def __init__(self, limits: TakeOffLimits, runway: RunwayFigures, requirement: Requirement) -> None:
        self.at, self.runway, self.requirement = f"{limits.use.key}.{requirement.name}", runway, requirement
        self._limits, self.words, self.small_words = limits, requirement.title, requirement.title.lower()
        self.origin, self.source = limits.fields.source, requirement.source

    def _only_required(self) -> None:
        if not self.requirement.required:
            raise Absent(NOT_REQUIRED)

    @figure("Distance", how="name of the distance")
    def title(self) -> str:
        return self.words

    @figure("%(words)s", "ft", how=SUMMED, source="%(origin)s")
    def distance(self) -> float | str:
        rests_on(self.runway.conditions)
        found_m = self.requirement.distance(self._limits.answer)
        if found_m is None:
            raise Absent("the aircraft file does not say")
        return said_distance(found_m)

    @figure("Part of the runway that may be used", how="by the rules", decimals=2, source="%(source)s")
    def part(self) -> float:
        self._only_required()
        rest_on_groups(RULES)
        return self.requirement.share

    @figure(
        "%(words)s: runway needed", "ft", how="distance ÷ the part of the runway that may be used", source="%(source)s"
    )
    def factored(self) -> float | str:
        self._only_required()
        distance = self.distance
        return distance if isinstance(distance, str) else distance / self.part

    @spare(
        "%(words)s: runway left over",
        "ft",
        how="available less the runway needed, or the distance where all of it may be used",
    )
    def margin(self) -> Sum:
        one = DistanceFigures
        takes = one.factored.of(self) if self.requirement.required else one.distance.of(self)
        rests_on(numbered(takes.value))
        return Sum([RunwayFigures.available.of(self.runway)], [takes])

    @figure("Greatest weight: %(small_words)s", "lb", how=SEARCHED, source="%(source)s")
    def greatest_mass(self) -> float | str:
        rests_on(self.runway.air_and_ground, self.runway.available)
        rest_on_groups(RULES, BALANCE)
        return said_weight(self._limits.greatest_for(self.requirement))


class PublishedDistance(Record):
    """The distance on a dry paved runway times the published factor of the surface, for comparison."""

    def __init__(self, runway: RunwayFigures, factor: float, surface: str, distance: float | str, source: str) -> None:
        self.at, self.runway, self.source = f"{runway.at}.published", runway, source
        self.words = f"To 50 ft, paved times {factor:.2f}"
        self.method = (
            f"distance on dry paving times {factor:.2f}, the published factor for {surface}; mud at least that"
        )
        self._distance = distance

    @figure("Distance", how="name of the distance")
    def title(self) -> str:
        return self.words

    @figure("%(words)s", "ft", how="%(method)s", source="%(source)s")
    def distance_50ft(self) -> float | str:
        rests_on(self.runway.conditions)
        return self._distance


AVAILABLE = column(RunwayFigures.available, "Available", through="runway")
TAKE_OFF = TableOf(
    "fields.take_off",
    "Take-off",
    (
        column(DistanceFigures.title, "Distance", name="what"),
        column(DistanceFigures.distance, "Worked out"),
        column(DistanceFigures.part, "÷"),
        column(DistanceFigures.factored, "Runway needed"),
        AVAILABLE,
        column(DistanceFigures.margin, "Margin"),
        column(DistanceFigures.greatest_mass, "Greatest weight"),
    ),
)


def distance_row(distance: DistanceFigures) -> Row:
    """Return the row of a distance; where it cannot be had its margin says so too, and is not left blank."""
    margin = DistanceFigures.margin.of(distance)
    said = {} if margin.there else {TAKE_OFF.column(DistanceFigures.margin): DistanceFigures.distance.of(distance)}
    return TAKE_OFF.row(distance.words, distance, "" if distance.requirement.required else "shown", said)


class ObstacleFigures(Record):
    """One obstacle beyond the end of the runway, and her height as she passes it."""

    def __init__(self, limits: TakeOffLimits, runway: RunwayFigures, number: int, obstacle: Obstacle) -> None:
        self.at, self.title = f"{limits.use.key}.obstacle.{number:02d}", obstacle.name
        self._limits, self._runway, self._obstacle, self.source = limits, runway, obstacle, limits.fields.source

    @figure("Obstacle", how=OBSTACLE_AS_WRITTEN)
    def name(self) -> str:
        return self._obstacle.name

    @figure("Beyond the end", "ft", how=OBSTACLE_AS_WRITTEN)
    def distance(self) -> float:
        rest_on_groups(PLACES)
        return self._obstacle.distance_m

    @figure("Height over the end", "ft", how=OBSTACLE_AS_WRITTEN)
    def height(self) -> float:
        rest_on_groups(PLACES)
        return self._obstacle.height_m

    @figure("Height needed", "ft", how="height of the obstacle and the clearance required", source=OBSTACLE_SOURCE)
    def needed(self) -> float:
        return self.height + OBSTACLE_CLEARANCE_M

    @figure(
        "Height over the end passing %(title)s, all engines", "ft", how="climb away from unstick to 50 ft and on",
        source="%(source)s",
    )  # fmt: skip
    def over(self) -> float:
        rests_on(self._runway.conditions, self.distance)
        return self._limits.height_at_obstacle(self._limits.answer, self._obstacle)

    @figure(
        "Height over the end passing %(title)s, an engine failed", "ft", how="climb on the engines left",
        source="%(source)s",
    )  # fmt: skip
    def failed(self) -> float | str:
        rests_on(self._runway.conditions, self.distance)
        found_m = self._limits.failed_height_at_obstacle(self._limits.answer, self._obstacle)
        return "below 50 ft" if found_m is None else found_m

    @spare("Over the height needed passing %(title)s, all engines", "ft", how="height passing it less height needed")
    def margin(self) -> Sum:
        return Sum([ObstacleFigures.over.of(self)], [ObstacleFigures.needed.of(self)])

    @spare(
        "Over the height needed passing %(title)s, an engine failed", "ft", how="height passing it less height needed"
    )
    def failed_margin(self) -> Sum:
        rests_on(numbered(self.failed))
        return Sum([ObstacleFigures.failed.of(self)], [ObstacleFigures.needed.of(self)])

    @figure("Greatest weight over %(title)s", "lb", how=SEARCHED, source=OBSTACLE_SOURCE)
    def greatest_mass(self) -> float | str:
        rests_on(self._runway.air_and_ground, self.needed, self.distance)
        rest_on_groups(BALANCE)
        return said_weight(self._limits.greatest_over(self._obstacle))

    @figure("Greatest weight over %(title)s, an engine failed", "lb", how=SEARCHED, source=OBSTACLE_SOURCE)
    def greatest_mass_failed(self) -> float | str:
        if True not in self._limits.obstacle_cases:
            raise Absent("no rule asks for the obstacle with an engine failed")
        rests_on(self._runway.air_and_ground, self.needed, self.distance)
        rest_on_groups(BALANCE)
        return said_weight(self._limits.greatest_over(self._obstacle, failed=True))


_OBSTACLE_COLUMNS: tuple[ColumnOf, ...] = (
    column(ObstacleFigures.name, "Obstacle"),
    column(ObstacleFigures.distance, "Beyond the end"),
    column(ObstacleFigures.height, "Height"),
    column(ObstacleFigures.needed, "Needed"),
    column(ObstacleFigures.over, "All engines"),
    column(ObstacleFigures.failed, "Engine failed"),
    column(ObstacleFigures.greatest_mass, "Greatest weight, all engines"),
)
FAILED_MASS = column(ObstacleFigures.greatest_mass_failed, "Greatest weight, engine failed", name="failed_mass")
OBSTACLES = TableOf("fields.obstacles", "Obstacles in the take-off path", _OBSTACLE_COLUMNS)
OBSTACLES_FAILED = TableOf("fields.obstacles", "Obstacles in the take-off path", (*_OBSTACLE_COLUMNS, FAILED_MASS))
