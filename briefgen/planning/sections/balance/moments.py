"""How she weighs at every moment of the flight: weight, centre of gravity and the distance to its limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from briefgen.frozen import dataclass
from briefgen.kernel.balance import chord_ratio
from briefgen.kernel.envelope import EnvelopeMargins
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, Ref, Sum, figure, note, rests_on, spare, total
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.conditions import Condition, Weighed, position
from briefgen.planning.sections.balance.sheet import LEVER, Chord, PieceFigures, Sheet
from briefgen.planning.sections.basis.groups import BALANCE, SPEEDS, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation, RampWeight
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.written_load import RampFuel, Weights

IN_THE_LOG = "the log of the flight has it"
STATES = {"zero_fuel": "zero fuel", "ramp": "ramp", "take_off": "take-off", "landing": "landing"}
MARKS = {"door": "drop", "failure": "failure"}


@dataclass(frozen=True)
class Logged:
    """The weight and the fuel of a moment where the inputs or the log of the flight have them."""

    mass: Ref | None = None
    fuel: Ref | None = None


def logged(moment: Condition, log: Navigation, weights: Weights) -> Logged:
    """Return what the inputs or the log of the flight have of a moment."""
    if moment.key == "zero_fuel":
        return Logged(Weights.zero_fuel.of(weights))
    if moment.key == "ramp":
        return Logged(RampWeight.ramp.of(log.weight), RampFuel.ramp.of(log.fuel))
    flown = next((one for one in log.phases if one.phase.ident == moment.logged_at), None)
    if flown is None:
        return Logged()
    mass = (PhaseFigures.mass_after if moment.load_left else PhaseFigures.mass).of(flown)
    return Logged(mass if moment.mass_logged else None, PhaseFigures.fuel_remaining.of(flown))


class MomentFigures(Record):
    """One moment of the flight at which she has to be in balance."""

    def __init__(
        self, mission: Mission, moment: Condition, state: Weighed, sheet: Sheet, chord: Chord, logged: Logged
    ) -> None:
        self.at, self.title, self.moment_of, self.state = f"balance.{moment.key}", moment.title, moment, state
        self.envelope, self._chord, self._logged = moment.envelope, chord, logged
        self._density = mission.fuel.density_kg_per_m3
        self.aboard = [row for row in sheet.rows if position(mission.aircraft, row.piece, moment) is not None]

    @property
    def mass_ref(self) -> Ref:
        """Its weight, where that is entered."""
        return self._logged.mass or MomentFigures.mass.of(self)

    @property
    def fuel_ref(self) -> Ref | None:
        """Its fuel, where that is entered; None where there is none aboard."""
        if not any(self.moment_of.tanks_m3.values()):
            return None
        return self._logged.fuel or MomentFigures.fuel.of(self)

    def _fuel(self) -> list[Ref]:
        return [self.fuel_ref] if self.fuel_ref is not None else []

    @figure("Moment of the flight", how="in flight order")
    def moment_name(self) -> str:
        rest_on_groups(SPEEDS)
        return self.title

    @figure("%(title)s: fuel", "lb", how="contents of the tanks times density")
    def fuel(self) -> float:
        if self.fuel_ref is None:
            raise Absent("there is no fuel aboard")
        if self._logged.fuel is not None:
            raise Absent(IN_THE_LOG)
        note(RampFuel.ramp.key)
        note("fuel.density")
        rest_on_groups(BALANCE, SPEEDS)  # from which tanks a phase is fed stands with the phase
        return self.state.fuel_kg

    @total("%(title)s: weight", "lb", how="sum of what is aboard and the fuel")
    def mass(self) -> Sum:
        if self._logged.mass is not None:
            raise Absent(IN_THE_LOG)
        return Sum([*(row.mass for row in self.aboard), *self._fuel()])

    def _moments_of(self, figures: Sequence[float]) -> None:
        rests_on(figures, *(ref.value for ref in self._fuel()))
        rest_on_groups(BALANCE, SPEEDS)

    @figure(
        "%(title)s: moment", "lb in", source=LEVER,
        how="moments of what is aboard, of the load where it then stands, and of the fuel in each tank",
    )  # fmt: skip
    def moment(self) -> float:
        self._moments_of([row.moment for row in self.aboard])
        return self.state.moment_kg_m

    @figure(
        "%(title)s: lateral moment", "lb in", source=LEVER,
        how="weight times lateral arm of what is aboard, of the load where it then stands and of the fuel in each tank",
    )  # fmt: skip
    def lateral_moment(self) -> float:
        self._moments_of([float(row.mass.value) * row.lateral for row in self.aboard])
        return self.state.lateral_moment_kg_m

    @figure("%(title)s: centre of gravity", "in", decimals=1, how="moment over weight", source=LEVER)
    def cg(self) -> float:
        return self.moment / float(self.mass_ref.value)

    @figure(
        "%(title)s: centre of gravity", "% MAC", decimals=1, how="arm less leading edge, over the chord",
        source="FAA-H-8083-1A, chapter 3",
    )  # fmt: skip
    def cg_mac(self) -> float:
        return chord_ratio(self.cg, self._chord.leading_edge, self._chord.chord)

    @figure(
        "%(title)s: lateral centre of gravity",
        "in",
        decimals=1,
        how="lateral moment over weight, right positive",
        source=LEVER,
    )
    def lateral(self) -> float:
        return self.lateral_moment / float(self.mass_ref.value)

    @property
    def margins(self) -> EnvelopeMargins:
        """The distances to the limits of the envelope that holds."""
        if self.state.margins is None:
            raise Absent("no envelope holds before the flight")
        return self.state.margins

    @figure("%(title)s: nearest limit", how="envelope")
    def nearest(self) -> str:
        margins = self.margins
        rests_on(self.cg, self.mass_ref.value)
        rest_on_groups(BALANCE)
        return margins.nearest

    def _limit(self, distance_m: float | None, sign: float) -> float:
        if distance_m is None:
            raise Absent("the weight is outside the envelope")
        rests_on(self.mass_ref.value)
        rest_on_groups(BALANCE)
        return self.state.arm_m + sign * distance_m

    @figure("%(title)s: forward limit", "in", decimals=1, how="envelope '%(envelope)s' at this weight")
    def forward_limit(self) -> float:
        return self._limit(self.margins.forward_m, -1.0)

    @spare("%(title)s: distance to the forward limit", "in", decimals=1, how="centre of gravity against the limit")
    def forward_margin(self) -> Sum:
        return Sum([MomentFigures.cg.of(self)], [MomentFigures.forward_limit.of(self)])

    @figure("%(title)s: aft limit", "in", decimals=1, how="envelope '%(envelope)s' at this weight")
    def aft_limit(self) -> float:
        return self._limit(self.margins.aft_m, 1.0)

    @spare("%(title)s: distance to the aft limit", "in", decimals=1, how="centre of gravity against the limit")
    def aft_margin(self) -> Sum:
        return Sum([MomentFigures.aft_limit.of(self)], [MomentFigures.cg.of(self)])


class ZeroFuelFigures(MomentFigures):
    """Loaded, without fuel: the sum of the loading sheet."""

    @total("%(title)s: moment", "lb in", how="sum of the stations' moments")
    def moment(self) -> Sum:
        return Sum([PieceFigures.moment.of(row) for row in self.aboard])


class FlownWeights(Record):
    """The weights that everybody asks for by name."""

    at = "mass"

    def __init__(self, moments: Mapping[str, MomentFigures]) -> None:
        self._moments = moments

    @total("Take-off weight", "lb", how="log of the flight")
    def take_off(self) -> Sum:
        return Sum([self._moments["take_off"].mass_ref])

    @total("Landing weight", "lb", how="log of the flight")
    def landing(self) -> Sum:
        return Sum([self._moments["landing"].mass_ref])


MASS, FUEL = ColumnOf("mass", "Weight", "lb"), ColumnOf("fuel", "Fuel", "lb")
MOMENTS = TableOf(
    "balance.states",
    "Balance through the flight",
    (
        column(MomentFigures.moment_name, "Moment", name="moment"),
        MASS,
        FUEL,
        column(MomentFigures.cg, "CG"),
        column(MomentFigures.cg_mac, "CG"),
        column(MomentFigures.lateral, "Lateral CG"),
        column(MomentFigures.forward_margin, "To fwd limit"),
        column(MomentFigures.aft_margin, "To aft limit"),
        column(MomentFigures.nearest, "Nearest"),
    ),
    "Limits of the envelope that holds at the moment: take-off and landing at ramp, take-off and every landing, "
    "flight elsewhere. A load going aft to its door is between the moments before and at the door.",
)


def write_moments(moments: Sequence[MomentFigures], adverse: MomentFigures, writer: LedgerWriter) -> None:
    """Enter every moment, and the table of them."""
    for one in moments:
        writer.adopt(one)
    writer.adopt(FlownWeights({one.moment_of.key: one for one in moments}))
    writer.tabulate(MOMENTS.filled([_row(one, adverse) for one in moments]))


def _row(one: MomentFigures, adverse: MomentFigures) -> Row:
    mark = "adverse" if one is adverse else MARKS.get(one.moment_of.kind, "")
    others = {MASS: one.mass_ref} | ({FUEL: one.fuel_ref} if one.fuel_ref is not None else {})
    return MOMENTS.row(one.moment_of.key, one, mark, others)
