"""Landings as figures: distance from 50 ft over the threshold, its factor, and the weight that fits."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.aircraft.fields import FieldPerformance, Landing, TakeOff, greatest_mass
from briefgen.errors import BriefgenError, PlanError
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.places import Place
from briefgen.model.record import Record, Sum, figure, rests_on, spare
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import AIRSPEED
from briefgen.planning.sections.basis.groups import BALANCE, RULES, rest_on_groups
from briefgen.planning.sections.fields.runway_figures import MASS, RunwayFigures
from briefgen.planning.sections.fields.take_off import known
from briefgen.planning.sections.fields.take_off_rows import SEARCHED, numbered, said_weight

LANDING_CHECK = "landing distance"
NOT_KNOWN = "not known"
GO_AROUND = "excess of thrust in the take-off configuration at take-off power and safe speed, over the ground"
STOPPED = "descent from 50 ft, roll before the brakes, and forces of the stop summed over speed"


class LandingDistance(Record):
    """The distance of one landing from 50 ft over the threshold, and its speeds."""

    def __init__(self, runway: RunwayFigures, answer: Landing, source: str) -> None:
        self.at, self._runway, self._answer, self.source = runway.at, runway, answer, source

    @figure("Speed at 50 ft, indicated", AIRSPEED, how=STOPPED, source="%(source)s")
    def threshold_ias(self) -> float:
        rests_on(self._runway.conditions)
        return self._answer.threshold_ias_m_per_s

    @figure("Touchdown speed, indicated", AIRSPEED, how=STOPPED, source="%(source)s")
    def touchdown_ias(self) -> float:
        rests_on(self._runway.conditions)
        return known(self._answer.touchdown_ias_m_per_s)

    @figure("From 50 ft to touchdown", "ft", how=STOPPED, source="%(source)s")
    def air_distance(self) -> float:
        rests_on(self._runway.conditions)
        return known(self._answer.air_m)

    @figure("Landing distance from 50 ft", "ft", how=STOPPED, source="%(source)s")
    def distance(self) -> float:
        rests_on(self._runway.conditions)
        return self._answer.distance_m


class LandingShare(Record):
    """The distance with the factor of the rules against the runway, and the weight that fits."""

    def __init__(self, mission: Mission, runway: RunwayFigures, distance: LandingDistance, fields: FieldPerformance, kind: str) -> None:  # fmt: skip
        self.at, self.runway, self.landing, self._fields, self._mission = runway.at, runway, distance, fields, mission
        self._share, self.source = share_of_runway(mission, kind)

    @figure("Part of the runway that may be used", how="by the rules", decimals=2, source="%(source)s")
    def part(self) -> float:
        rest_on_groups(RULES)
        return self._share

    @figure(
        "Runway needed to land", "ft", how="distance ÷ the part of the runway that may be used", source="%(source)s"
    )
    def factored(self) -> float:
        return self.landing.distance / self.part

    @spare("Runway left over", "ft", how="available less the runway needed")
    def margin(self) -> Sum:
        return Sum([RunwayFigures.available.of(self.runway)], [LandingShare.factored.of(self)])

    @figure("Greatest landing weight for this field", "lb", how=SEARCHED, source="%(source)s")
    def greatest_mass(self) -> float | str:
        rests_on(self.runway.air_and_ground, self.part)
        rest_on_groups(BALANCE)
        limit_m = self._share * self.runway.available
        structural_kg = self._mission.aircraft.balance.limits.landing_kg
        from_kg, to_kg = self._fields.mass_range_kg("landing")
        strip = self.runway.use.strip
        found_kg = greatest_mass(
            lambda mass: self._fields.landing(mass, strip).distance_m / limit_m,
            max(self._mission.individual.basic_mass_kg, from_kg),
            min(structural_kg, to_kg),
        )
        return said_weight(found_kg)

    @spare("Landing weight in hand", "lb", how="greatest weight less weight")
    def mass_margin(self) -> Sum:
        rests_on(numbered(self.greatest_mass))
        return Sum([LandingShare.greatest_mass.of(self)], [self.runway.use.mass])


class GoAround(Record):
    """What she climbs at from a landing given up, at its weight and in its air."""

    def __init__(self, runway: RunwayFigures, answer: TakeOff, source: str) -> None:
        self.at, self._runway, self._answer, self.source = runway.at, runway, answer, source

    @figure("Go-around gradient, all engines", "%", how=GO_AROUND, decimals=1, source="%(source)s")
    def go_around_gradient(self) -> float:
        rests_on(self._runway.conditions)
        return known(self._answer.gradient_ratio)

    @figure("Go-around gradient, an engine windmilling, gear down", "%", how=GO_AROUND, decimals=1, source="%(source)s")
    def go_around_failed_gradient(self) -> float:
        rests_on(self._runway.conditions)
        return known(self._answer.failed_gradient_ratio)


class LandingNotWorkedOut(Record):
    """A landing about which charts or weather say too little: said so, not guessed."""

    def __init__(self, at: str, problem: str) -> None:
        self.at, self.problem = at, problem

    @figure("Landing distance from 50 ft", "ft", how="%(problem)s")
    def distance(self) -> str:
        return NOT_KNOWN


class FieldNotKnown(LandingNotWorkedOut):
    """A field about whose weather too little is known to say anything of a landing there."""

    def __init__(self, at: str, place: Place, error: BriefgenError) -> None:
        super().__init__(at, error.problem)
        self.place = place

    @figure("Length available", "ft", how="%(problem)s")
    def available(self) -> str:
        return NOT_KNOWN

    @figure("Weight", "lb", how="%(problem)s")
    def mass(self) -> str:
        return NOT_KNOWN


class LandingFigures(Record):
    """One landing the plan may make; kind is destination, alternate or return (to the field just left)."""

    def __init__(self, mission: Mission, runway: RunwayFigures, fields: FieldPerformance, kind: str) -> None:
        self.runway, self.kind = runway, kind
        self.distance: LandingDistance | LandingNotWorkedOut
        self.share: LandingShare | None = None
        try:
            answer = fields.landing(runway.use.mass_kg, runway.use.strip)
        except PlanError as error:  # the charts have no landing
            self.distance = LandingNotWorkedOut(runway.at, error.problem)
        else:
            self.distance = LandingDistance(runway, answer, fields.source)
            self.share = LandingShare(mission, runway, self.distance, fields, kind)
        self.go_around: GoAround | None = None
        if mission.aircraft.model is not None:  # a chart of take-off distances says nothing of the climb beyond
            again = fields.take_off(runway.use.mass_kg, runway.use.strip)
            self.go_around = GoAround(runway, again, fields.source)

    def parts(self) -> Sequence[Record]:
        more = [one for one in (self.share, self.go_around) if one is not None]
        return [self.runway, self.distance, *more]


LANDING = TableOf(
    "fields.landing",
    "Landing",
    (
        column(RunwayFigures.place, "Field", through="runway"),
        column(RunwayFigures.runway, "Runway", through="runway"),
        MASS,
        column(LandingDistance.threshold_ias, "Over the threshold", through="distance"),
        column(LandingDistance.touchdown_ias, "Touchdown", through="distance"),
        column(LandingDistance.distance, "From 50 ft", through="distance"),
        column(LandingShare.part, "÷", through="share"),
        column(LandingShare.factored, "Runway needed", through="share"),
        column(RunwayFigures.available, "Available", through="runway"),
        column(LandingShare.margin, "Margin", through="share"),
        column(LandingShare.greatest_mass, "Greatest weight", through="share"),
        column(GoAround.go_around_gradient, "Go-around", through="go_around"),
        column(GoAround.go_around_failed_gradient, "One engine out", through="go_around"),
    ),
)


def landing_row(landing: LandingFigures) -> Row:
    """Return the row of a landing."""
    others = {MASS: landing.runway.use.mass}
    if isinstance(landing.distance, LandingNotWorkedOut):
        others[LANDING.column(LandingDistance.distance)] = LandingNotWorkedOut.distance.of(landing.distance)
    return LANDING.row(landing.runway.use.name, landing, others=others)


def share_of_runway(mission: Mission, kind: str) -> tuple[float, str]:
    """Return the strictest share of the runway the rules allow a landing there, and where it is from."""
    found = [
        (float(rule.parameters["runway share"]), f"rule {rule.ident}: {rule.source} ({rule.provenance})")
        for rule in mission.rules.rules
        if rule.check == LANDING_CHECK and rule.parameters.get("place") == kind
    ]
    return min(found, default=(1.0, "the runway itself; the rule set gives no share"))
