"""What a transfer that is stuck does to the balance: the moment across and the centre of gravity at their worst, and when."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.model.aircraft import MassAndBalance
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Absent, Record, Sum, figure, given, note, rests_on, spare
from briefgen.planning.load.stuck import StuckFlight, StuckMoment, evened_out_kg, feeding_tanks
from briefgen.planning.sections.balance.sheet import LEVER, Sheet
from briefgen.planning.sections.balance.tanks import TANK_RULES, Fuel, TankFigures
from briefgen.planning.sections.basis.groups import rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures

PAGE: FindingPage = "balance"
THROUGH = "over every moment from take-off to landing, nothing transferred from that tank"


class AcrossLimit(Record):
    """The greatest lateral moment of the aircraft file."""

    at = "fuel.failed_transfer"

    def __init__(self, balance: MassAndBalance) -> None:
        self.limit_kg_m = balance.lateral_moment_limit_kg_m

    @given("Greatest lateral moment, either side", "lb in", spec="aircraft:balance.lateral moment limit")
    def lateral_limit(self) -> float:
        if self.limit_kg_m is None:
            raise Absent("the aircraft file gives no lateral limit")
        return self.limit_kg_m


class StuckFigures(Record):
    """The worst moments of the flight with the transfer from one tank stuck from its start."""

    def __init__(self, tank: TankFigures, fuel: Fuel, sheet: Sheet, flight: StuckFlight, limit: AcrossLimit) -> None:
        self.at, self.title = f"fuel.failed_transfer.{tank.number}", tank.title
        self._fuel, self._sheet, self._flight, self._limit = fuel, sheet, flight, limit

    def _rests(self) -> None:
        rests_on(*((row.mass.value, row.moment, row.lateral) for row in self._sheet.rows))
        rests_on(*(tank.start for tank in self._fuel.tanks), *(stage.fuel.value for stage in self._fuel.stages))
        rests_on(*(PhaseFigures.end.of(one).value for one in self._fuel.log.phases))
        note("fuel.density")
        rest_on_groups(*TANK_RULES)

    def _across(self) -> StuckMoment:
        self._rests()
        if not self._flight.moments:
            raise Absent("the tanks that are left run dry before the take-off")
        return self._flight.worst_across()

    def _along(self) -> StuckMoment:
        self._rests()
        if not self._flight.moments:
            raise Absent("the tanks that are left run dry before the take-off")
        return self._flight.worst_along()

    @figure(
        "%(title)s stuck: the tanks that are left run dry", "UTC", how="fuel by tank with nothing transferred from it"
    )
    def dry(self) -> datetime:
        self._rests()
        if self._flight.dry is None:
            raise Absent("they last to the end of the flight")
        return self._flight.dry

    @figure("%(title)s stuck: greatest lateral moment, either side", "lb in", how=THROUGH, source=LEVER)
    def lateral(self) -> float:
        return self._across().aside_kg_m

    @figure("%(title)s stuck: lateral moment greatest at", "UTC", how=THROUGH)
    def lateral_time(self) -> datetime:
        return self._across().instant

    @spare("%(title)s stuck: lateral moment in hand", "lb in", how="limit less greatest")
    def lateral_margin(self) -> Sum:
        return Sum([AcrossLimit.lateral_limit.of(self._limit)], [StuckFigures.lateral.of(self)])

    @figure("%(title)s stuck: lateral moment passes its limit", "UTC", how="straight line between two moments")
    def land_by(self) -> datetime:
        self._rests()
        passed = self._flight.last_within(self._limit.lateral_limit) if self._flight.moments else None
        if passed is None:
            raise Absent("it stays within its limit")
        return passed

    @figure(
        "%(title)s stuck: to be burnt from the heavy side in place of the other", "lb",
        how="lateral moment over the limit, over the arms of the tanks that feed the engines on both sides",
    )  # fmt: skip
    def even_out(self) -> float:
        over = self._across()
        if over.aside_kg_m <= self._limit.lateral_limit:
            raise Absent("the lateral moment keeps its limit")
        found_kg = evened_out_kg(self._fuel.mission, over, self._limit.lateral_limit)
        if found_kg is None:
            raise Absent("the tanks that feed the engines cannot even it out")
        return found_kg

    @figure("%(title)s stuck: centre of gravity at its worst", "in", decimals=1, how=THROUGH, source=LEVER)
    def cg(self) -> float:
        return self._along().state.arm_m

    @figure("%(title)s stuck: centre of gravity at its worst at", "UTC", how=THROUGH)
    def cg_time(self) -> datetime:
        return self._along().instant

    @figure("%(title)s stuck: nearest limit of the centre of gravity", "in", decimals=1, how="envelope at that weight")
    def cg_limit(self) -> float:
        state, margins = self._along().state, self._along().state.margins
        if margins is None or margins.forward_m is None or margins.aft_m is None:
            raise Absent("the weight is outside the envelope")
        return state.arm_m + (margins.aft_m if self._aft else -margins.forward_m)

    @property
    def _aft(self) -> bool:
        margins = self._along().state.margins
        if margins is None or margins.aft_m is None or margins.forward_m is None:
            return False
        return margins.aft_m < margins.forward_m

    @spare("%(title)s stuck: centre of gravity inside its limit by", "in", decimals=1, how="distance to the limit")
    def cg_margin(self) -> Sum:
        cg, limit = StuckFigures.cg.of(self), StuckFigures.cg_limit.of(self)
        return Sum([limit], [cg]) if self._aft else Sum([cg], [limit])

    def across(self) -> tuple[float, Finding] | None:
        """Return the moment across in hand and what it says of the plan; None where it is not known or has no limit."""
        margin = StuckFigures.lateral_margin.of(self)
        if not margin.there:
            return None
        worst, limit = StuckFigures.lateral.of(self), AcrossLimit.lateral_limit.of(self._limit)
        over = float(worst.value) > float(limit.value)
        text = (
            f"With the transfer from {self.title} stuck from its start, the lateral moment is greatest at "
            f"{StuckFigures.lateral_time.of(self)}: {worst}, at most {limit} allowed"
        )
        text += f"; it passes the limit at {StuckFigures.land_by.of(self)}." if over else f", {margin} to spare."
        finding = Finding(
            f"{self.at}.lateral", "caution" if over else "pass", f"Lateral moment: {self.title} stuck", text,
            worst.key, limit.key, margin.key, "aircraft file, lateral moment limit", self._cure() if over else "", PAGE,
        )  # fmt: skip
        return float(margin.value), finding

    def _cure(self) -> str:
        land, burn = f"land by {StuckFigures.land_by.of(self)}", StuckFigures.even_out.of(self)
        if not burn.there:
            return f"{land}; the tanks that feed the engines cannot even it out"
        side = self._across().state.lateral_moment_kg_m
        tanks = ", ".join(tank.name for tank in feeding_tanks(self._fuel.mission, side))
        return (
            f"{land}, or burn {burn} more than planned from {tanks} before then, and as much less from the other side"
        )

    def along(self) -> tuple[float, Finding] | None:
        """Return the distance to the envelope and what it says of the plan; None where it is not known."""
        margin, cg = StuckFigures.cg_margin.of(self), StuckFigures.cg.of(self)
        if not margin.there:
            return None
        limit, inside = StuckFigures.cg_limit.of(self), float(margin.value) >= 0.0
        text = (
            f"With the transfer from {self.title} stuck from its start, the centre of gravity is nearest to its "
            f"{'aft' if self._aft else 'forward'} limit {limit} at {StuckFigures.cg_time.of(self)}: {cg}, "
            f"{f'{margin} to spare' if inside else 'outside it'}."
        )
        cure = f"land before {StuckFigures.cg_time.of(self)}, or move load away from the limit before the flight"
        finding = Finding(
            f"{self.at}.envelope", "pass" if inside else "caution", f"Centre of gravity: {self.title} stuck", text,
            cg.key, limit.key, margin.key, "aircraft file, envelopes", "" if inside else cure, PAGE,
        )  # fmt: skip
        return float(margin.value), finding


def stuck_findings(stuck: Sequence[StuckFigures]) -> list[Finding]:
    """Return the cautions of every tank; of a kind without any, that of the tank with the least in hand."""
    found: list[Finding] = []
    for asked in (StuckFigures.across, StuckFigures.along):
        held = [one for figures in stuck if (one := asked(figures)) is not None]
        cautions = [finding for _, finding in held if finding.outcome != "pass"]
        found += cautions or [finding for _, finding in sorted(held, key=lambda one: one[0])[:1]]
    return found
