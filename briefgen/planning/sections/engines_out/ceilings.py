"""Ceilings with engines stopped as figures: what is left on each leg on one and on two engines less."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.aircraft.words import height_words
from briefgen.model.record import Absent, Record, Ref, figure, note, rests_on
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import AIRSPEED
from briefgen.planning.sections.basis.groups import AIRFRAME, INSTRUMENTS, POWERPLANT, SPEEDS, WEATHER, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.engines_out.legs import NONE, NOT_KNOWN, SERVICE_SOURCE, Fewer, Height, LegOut

AGAINST_ICE = ", the levers set against the ice of the cloud she is in or comes down through"
AT_BEST_SPEED = "highest altitude at which the rate of climb is met at the speed of the best climb"


class LegFigures(Record):
    """One leg with engines stopped: its weight and air as level flight begins, and what is left on fewer engines."""

    def __init__(
        self, out: LegOut, flown: PhaseFigures, height: Ref, safe: Ref | None, unusable: Ref, density_kg_per_m3: float
    ) -> None:
        self._unusable, self._density_kg_per_m3 = unusable, density_kg_per_m3
        self.at, self.out, self.flown, self.height, self.safe = out.key, out, flown, height, safe
        self.to = out.leg.to.name
        self.fewer = [FewerFigures(self, fewer) for fewer in out.fewer]

    @property
    def one(self) -> FewerFigures:
        """What is left with one engine stopped."""
        return self.fewer[0]

    @property
    def two(self) -> FewerFigures | None:
        """What is left with two engines stopped, None where the file has no such configuration."""
        return self.fewer[1] if len(self.fewer) > 1 else None

    @figure("Engines out, leg to %(to)s: leg", how="from the route as written")
    def leg(self) -> str:
        return self.to

    @figure("Engines out, leg to %(to)s: weight", "lb", how="as level flight begins")
    def mass(self) -> float:
        rests_on(self.flown.begin, self.flown.mass)
        return self.out.node.mass_kg

    @figure(
        "Engines out, leg to %(to)s: warmer than standard by", "degC diff",
        how="mean of the leg at its altitude; taken for the altitudes below it too",
    )  # fmt: skip
    def deviation(self) -> float:
        rests_on(self.flown.end)
        rest_on_groups(WEATHER)
        return self.out.deviation_k

    @property
    def usable_kg(self) -> float:
        """The fuel aboard that can be burnt or thrown out [kg]."""
        return float(self.out.node.fuel_kg - self._unusable.value)

    @figure("Engines out, leg to %(to)s: usable fuel", "US gal", how="as level flight begins")
    def fuel(self) -> float:
        rests_on(self.mass, self.flown.fuel_remaining, self._unusable.value)
        note("fuel.density")
        return self.usable_kg / self._density_kg_per_m3

    def parts(self) -> Sequence[Record]:
        return self.fewer


class FewerFigures(Record):
    """What is left on one leg with so many engines stopped; the keys end in how many."""

    def __init__(self, leg: LegFigures, fewer: Fewer) -> None:
        self.at, self.leg, self.fewer, self.stopped = leg.at, leg, fewer, fewer.stopped
        self.title = f"Engines out, leg to {leg.to}, {fewer.stopped} out"
        # With one engine stopped the height held stands in the tables without a number.
        self.height_held_name = "height_held" if fewer.stopped == "one" else f"height_held_{fewer.stopped}"
        self.service_how, self.ceiling_how = _how(fewer.service), _how(fewer.absolute)
        self.held_how = fewer.service.problem or "service ceiling, no higher than the altitude of the leg"

    @figure(
        "%(title)s: running", how="the engine configuration of the aircraft file that climbs least",
        name="engines_%(stopped)s",
    )  # fmt: skip
    def engines(self) -> str:
        rests_on(self.leg.mass, self.leg.deviation)
        note("fuel.grade")
        rest_on_groups(POWERPLANT, AIRFRAME, INSTRUMENTS, SPEEDS)
        return self.fewer.engines.name

    def _height(self, height: Height) -> float | str:
        rests_on(self.leg.mass, self.leg.deviation, self.engines)
        if height.best is None:
            return NONE if height.known else NOT_KNOWN
        altitude_m = height.best.ceiling.pressure_altitude_m - self.leg.out.setting_offset_m
        return f"at least {height_words(altitude_m)}" if height.best.ceiling.beyond_range else altitude_m

    @figure(
        "%(title)s: service ceiling",
        "ft",
        how="%(service_how)s",
        source=SERVICE_SOURCE,
        name="service_%(stopped)s",
    )
    def service(self) -> float | str:
        return self._height(self.fewer.service)

    @figure("%(title)s: absolute ceiling", "ft", how="%(ceiling_how)s", name="ceiling_%(stopped)s")
    def ceiling(self) -> float | str:
        return self._height(self.fewer.absolute)

    @figure(
        "%(title)s: speed of the best climb", AIRSPEED, name="climb_ias_%(stopped)s",
        how="greatest rate of climb at climb power, no slower than minimum control and 1.2 of the stall",
    )  # fmt: skip
    def climb_ias(self) -> float:
        rests_on(self.leg.mass, self.leg.deviation, self.engines)
        if self.fewer.climb_ias_m_per_s is None:
            raise Absent("no ceiling is known near which it would be flown")
        return self.fewer.climb_ias_m_per_s

    @figure("%(title)s: altitude held", "ft", how="%(held_how)s", name="%(height_held_name)s")
    def height_held(self) -> float | str:
        held_m = self.leg.out.held_m(self.fewer)
        if held_m is None:
            return self.service
        rests_on(self.service, self.leg.height.value)
        return held_m - self.leg.out.setting_offset_m


def _how(height: Height) -> str:
    if height.best is None:
        return height.problem
    ends = "; the aircraft file ends there" if height.best.ceiling.beyond_range else ""
    return AT_BEST_SPEED + (AGAINST_ICE if height.best.iced else "") + ends


SAFE = ColumnOf("safe_height", "Minimum safe altitude", "ft")
CEILINGS = TableOf(
    "engines_out",
    "Ceilings with engines stopped",
    (
        column(LegFigures.leg, "Leg"),
        column(LegFigures.mass, "Weight"),
        SAFE,
        column(FewerFigures.height_held, "Held, one out", name="height_held", through="one"),
        column(FewerFigures.service, "One out: service", name="service_one", through="one"),
        column(FewerFigures.ceiling, "One out: absolute", name="ceiling_one", through="one"),
        column(FewerFigures.climb_ias, "One out: climb at", name="climb_ias_one", through="one"),
        column(FewerFigures.service, "Two out: service", name="service_two", through="two"),
        column(FewerFigures.ceiling, "Two out: absolute", name="ceiling_two", through="two"),
        column(FewerFigures.climb_ias, "Two out: climb at", name="climb_ias_two", through="two"),
    ),
    note="At the weight with which the level flight of the leg begins, in its own temperature, at climb power and the speed of "
    "the best climb, with the engines stopped that leave least. Service: 100 ft/min in hand. Held: the service "
    "ceiling, no higher than planned. Altitudes on the altimeter setting of the leg.",
)
