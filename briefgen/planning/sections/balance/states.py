"""What the moments of the flight say about the plan: the most adverse one, weights over a limit, trim."""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.errors import OutOfRangeError
from briefgen.kernel.constants import LB_KG
from briefgen.kernel.envelope import AFT_LIMIT, FORWARD_LIMIT
from briefgen.kernel.interpolate import Axis
from briefgen.kernel.interpolate import Curve as KernelCurve
from briefgen.model.curves import Curve
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Absent, Record, Ref, Sum, figure, given, spare
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger import subjects
from briefgen.planning.ledger.subjects import CENTRE_OF_GRAVITY
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.balance.moments import STATES, MomentFigures
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups

PAGE: FindingPage = "balance"
ENVELOPES = "aircraft file, envelopes"
LIMITS = {"zero_fuel": "zero fuel", "ramp": "ramp", "take_off": "take-off"}
TITLE = "Centre of gravity"


class MostAdverse(Record):
    """The moment with the least distance to a limit."""

    at = "balance.most_adverse"

    def __init__(self, of: MomentFigures) -> None:
        self._of = of
        self.side = {FORWARD_LIMIT: "forward", AFT_LIMIT: "aft"}.get(of.margins.nearest, "")

    def refs(self) -> tuple[Ref, Ref, Ref]:
        """Return centre of gravity, limit and distance on the side that is nearest."""
        one = MomentFigures
        if self.side == "forward":
            return one.cg.of(self._of), one.forward_limit.of(self._of), one.forward_margin.of(self._of)
        return one.cg.of(self._of), one.aft_limit.of(self._of), one.aft_margin.of(self._of)

    @spare(
        "Most adverse moment: outside the %(side)s limit by",
        "in",
        decimals=1,
        how="margin without its sign",
        rounding="up",
    )
    def outside(self) -> Sum:
        if self._of.margins.inside or not self.side:
            raise Absent("no moment is outside a limit of the centre of gravity")
        cg, limit, _ = self.refs()
        return Sum([limit], [cg]) if self.side == "forward" else Sum([cg], [limit])

    def finding(self) -> Finding:
        """Return what it says about the plan."""
        moment, margins = self._of, self._of.margins
        outcome = "pass" if margins.inside else "fail"
        if not self.side:
            nearest = MomentFigures.nearest.of(moment).key
            text = f"{moment.title}: the weight {moment.mass_ref} is outside the envelope ({margins.nearest})."
            keys = (moment.mass_ref.key, nearest, nearest)
        else:
            cg, limit, margin = self.refs()
            where = f"{margin} inside" if margins.inside else f"outside by {MostAdverse.outside.of(self)}:"
            text = (
                f"{moment.title}: the centre of gravity is at {cg}, {where} the {margins.nearest}. No moment is worse."
            )
            keys = (cg.key, limit.key, margin.key)
        return Finding("balance.envelope", outcome, TITLE, text, *keys, ENVELOPES, "", PAGE, CENTRE_OF_GRAVITY)


class WeightHeld(Record):
    """The weight of a moment against the limit of the aircraft file."""

    def __init__(self, of: MomentFigures, limit_kg: float) -> None:
        self.at, self.title, self._of, self._limit_kg = of.at, of.title, of, limit_kg
        self.spec = f"aircraft:balance.limits.{LIMITS.get(of.moment_of.key, 'landing')}"

    @property
    def over(self) -> bool:
        """Whether the weight is over the limit."""
        return self._of.state.mass_kg > self._limit_kg

    @given("%(title)s: greatest weight", "lb", spec="%(spec)s")
    def mass_limit(self) -> float:
        return self._limit_kg

    @spare("%(title)s: weight in hand", "lb", how="limit less weight")
    def mass_margin(self) -> Sum:
        return Sum([WeightHeld.mass_limit.of(self)], [self._of.mass_ref])

    @figure("%(title)s: over the limit by", "lb", how="weight less limit, rounded up to the pound")
    def mass_over(self) -> float:
        over_kg = float(self._of.mass_ref.value) - self.mass_limit
        if not self.over:
            raise Absent("it keeps its limit")
        return math.ceil(over_kg / LB_KG - 1e-9) * LB_KG

    def finding(self) -> Finding:
        """Return what it says about the plan."""
        mass, key = self._of.mass_ref, self._of.moment_of.key
        limit, margin = WeightHeld.mass_limit.of(self), WeightHeld.mass_margin.of(self)
        cure, end = "", f": {margin} in hand."
        if self.over:
            cure, end = f"leave {WeightHeld.mass_over.of(self)} behind", "."
        text = f"She weighs {mass} with the fuel as planned then; at most {limit} allowed{end}"
        return Finding(
            f"balance.mass.{key}", "fail" if self.over else "pass", f"Weight: {self.title}", text, mass.key, limit.key,
            margin.key, "aircraft file, weight limits", cure, PAGE, subjects.mass(STATES[key]) if key in STATES else "",
        )  # fmt: skip


def _weights_held(moments: Sequence[MomentFigures]) -> list[WeightHeld]:
    """Return the moments whose weight is over a limit of the aircraft file, and the heaviest failure to drop."""
    held = [(one, WeightHeld(one, one.moment_of.limit_kg)) for one in moments if one.moment_of.limit_kg is not None]
    failures = [(one, limit) for one, limit in held if one.moment_of.kind == "failure"]
    shown = [max(failures, key=lambda pair: pair[0].state.mass_kg)[1]] if failures else []
    return shown + [limit for one, limit in held if one.moment_of.kind != "failure" and limit.over]


class TrimFigures(Record):
    """The trim to set at a moment."""

    at = "balance.trim"

    def __init__(self, mission: Mission, table: Curve, name: str, title: str, of: MomentFigures) -> None:
        self.moment, self.title, self.of, self.aircraft = name, title, of, mission.aircraft.name
        self._table = table
        self._curve = KernelCurve(Axis("centre of gravity", "of the chord", table.x), "trim", "deg", table.y)

    @figure(
        "%(title)s: trim, nose up positive", "deg", decimals=1, how="trim table of the aircraft file",
        source="%(aircraft)s", name="%(moment)s",
    )  # fmt: skip
    def trim(self) -> float:
        rest_on_groups(BALANCE)
        try:
            return self._curve.at(self.of.cg_mac)
        except OutOfRangeError as error:
            raise Absent(error.problem) from error

    def finding(self) -> Finding:
        """Return that the trim to set is not known."""
        at, words = MomentFigures.cg_mac.of(self.of), self.title.lower()
        text = (
            f"The trim table of the aircraft file ends short of {at}, where the centre of gravity is at {words}: the trim "
            "to set is not known."
        )
        cure = f"bring the centre of gravity to {100 * self._table.x[0]:.1f} to {100 * self._table.x[-1]:.1f} % MAC"
        return Finding(
            f"balance.trim.{self.moment}", "caution", f"Trim for {words}", text, at.key, at.key, at.key,
            "aircraft file, trim", cure, PAGE,
        )  # fmt: skip


TRIMMED = (("take_off", "Take-off"), ("landing", "Landing"))  # key and title of the moments that have a trim
TRIM = TableOf(
    "balance.trim",
    "Trim",
    (
        column(MomentFigures.moment_name, "Moment", name="moment", through="of"),
        column(MomentFigures.cg_mac, "CG", through="of"),
        column(TrimFigures.trim, "Trim, nose up", name="trim"),
    ),
)


def _trims(mission: Mission, moments: Sequence[MomentFigures]) -> list[TrimFigures]:
    table = mission.aircraft.balance.trim
    if table is None:
        return []
    by_key = {one.moment_of.key: one for one in moments}
    return [TrimFigures(mission, table, name, title, by_key[name]) for name, title in TRIMMED]


def write_states(
    mission: Mission, moments: Sequence[MomentFigures], adverse: MomentFigures, writer: LedgerWriter
) -> list[Finding]:
    """Enter the weights held and the trim; return the findings on the moments of the flight."""
    most = MostAdverse(adverse)
    held, trims = _weights_held(moments), _trims(mission, moments)
    for one in (most, *held, *trims):
        writer.adopt(one)
    known = [one for one in trims if TrimFigures.trim.of(one).there]
    if known:
        writer.tabulate(TRIM.filled([TRIM.row(one.moment, one) for one in known]))
    return [most.finding(), *(one.finding() for one in held), *(one.finding() for one in trims if one not in known)]
