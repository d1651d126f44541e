"""How near the flight comes to where charts and forecasts end: beyond their last line there is no answer, and near it the least proof."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from briefgen.frozen import dataclass
from briefgen.kernel.atmosphere import altitude_at_pressure, standard_temperature
from briefgen.model.chart_names import LEVEL_PHASES, level_flight_in
from briefgen.model.mission import Mission
from briefgen.model.plan import PhaseKind
from briefgen.model.record import Record, Sum, figure, rests_on, spare
from briefgen.model.tables import TableOf, column
from briefgen.model.weather import WindLevel
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import POWERPLANT, WEATHER, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures

MASS, ALTITUDE, DEVIATION = "mass", "pressure altitude", "isa deviation"
TAKE_OFF, LANDING = "take-off", "landing"
PRINTED = {MASS: "lb", ALTITUDE: "ft", DEVIATION: "degC diff"}
# The charts that each kind of phase may be read from; those a file does not have are passed over.
READ_IN: Mapping[PhaseKind, tuple[str, ...]] = {
    "take-off": ("take-off power", TAKE_OFF),
    "climb": ("climb", "rate of climb", "climb on instruments"),
    "cruise": ("cruise",),
    "run": (level_flight_in("drop"), "cruise"),
    "hold": (level_flight_in("hold"), "cruise"),
    "descent": ("descent",),
    "approach": (level_flight_in("pattern"), "descent in final", LANDING),
}
assert all(level_flight_in(phase) in {name for names in READ_IN.values() for name in names} for phase in LEVEL_PHASES)


FEWEST_LINES = 3  # of two lines the only interval is the last one, wherever the flight lies


@dataclass(frozen=True)
class Flown:
    """A value at which a chart or a forecast is read, and the phase it belongs to."""

    value: float
    phase: PhaseFigures


@dataclass(frozen=True)
class Lines:
    """The lines of one axis [SI], lowest first, and what they are lines of."""

    title: str
    axis: str
    values: tuple[float, ...]
    group: str  # of the written values

    def near_end(self, flown: Iterable[Flown]) -> Iterator[tuple[Flown, float]]:
        """Return the value nearest to each end with that end, where it lies in the last interval there or beyond."""
        found = tuple(flown)
        if not found or len(self.values) < FEWEST_LINES:
            return
        low, high = min(found, key=lambda one: one.value), max(found, key=lambda one: one.value)
        if low.value < self.values[1] and self.axis != ALTITUDE:  # down there the ground is the end
            yield low, self.values[0]
        if high.value > self.values[-2]:
            yield high, self.values[-1]


class Edge(Record):
    """One end of a chart or a forecast that the flight comes near to."""

    def __init__(self, name: str, lines: Lines, flown: Flown, end: float) -> None:
        self.at, self.title = f"edge.{name}", f"{lines.title}, {lines.axis}"
        self.unit, self._group, self._flown, self._end = PRINTED[lines.axis], lines.group, flown, end
        self._upper = end == lines.values[-1]

    @figure(
        "Near the end of",
        how="charts of the aircraft file and levels of the weather file, against every node of the flight",
    )
    def what(self) -> str:
        rest_on_groups(self._group)
        return f"{self.title}, {'upper' if self._upper else 'lower'} end"

    @figure("%(title)s: read at", "%(unit)s", how="over all nodes of the phases read there, the one nearest to the end")
    def read_at(self) -> float:
        rests_on(self._flown.phase.end)
        rest_on_groups(self._group)
        return self._flown.value

    @figure("%(title)s: ends at", "%(unit)s", how="its last line")
    def ends_at(self) -> float:
        rest_on_groups(self._group)
        return self._end

    @spare(
        "%(title)s: left to the end",
        "%(unit)s",
        how="what lies between; below zero the end value is held, as the file allows",
    )
    def left(self) -> Sum:
        read, end = Edge.read_at.of(self), Edge.ends_at.of(self)
        return Sum([end], [read]) if self._upper else Sum([read], [end])

    @figure("%(title)s: where", how="the phase of that node")
    def where(self) -> str:
        rests_on(self._flown.phase.end)
        return self._flown.phase.title


EDGES = TableOf(
    "review.edges",
    "Read near the end of a chart or forecast",
    (
        column(Edge.what, "What"), column(Edge.read_at, "Read at"), column(Edge.ends_at, "Ends at"),
        column(Edge.left, "Left"), column(Edge.where, "Where"),
    ),
    note="Between the last two lines there is nothing beyond to check against; past the end the plan refuses, but where the weather file says to hold.",
)  # fmt: skip


def write_edges(mission: Mission, phases: Sequence[PhaseFigures], writer: LedgerWriter) -> None:
    """Enter every end of a chart or of the winds aloft in whose last interval some part of the flight lies."""
    rows = []
    for lines, flown in (*_charts(mission, phases), *_levels(mission, phases)):
        for one, end in lines.near_end(flown):
            slug = "-".join(f"{lines.title} {lines.axis} {'to' if end == lines.values[-1] else 'from'}".lower().split())
            record = Edge(slug.replace("'", ""), lines, one, end)
            writer.adopt(record)
            rows.append(EDGES.row(record.at.removeprefix("edge."), record))
    if rows:
        writer.tabulate(EDGES.filled(rows))


def _charts(mission: Mission, phases: Sequence[PhaseFigures]) -> Iterator[tuple[Lines, list[Flown]]]:
    """Return each number axis of each chart with what is read there."""
    charts = mission.aircraft.charts.charts if mission.aircraft.charts else {}
    for name, chart in charts.items():
        read = [one for one in phases if name in READ_IN.get(one.phase.kind, ())]
        for axis in chart.axes:
            if axis.name in PRINTED:
                values = tuple(float(value) for value in axis.values)
                flown = [Flown(value, one) for one in read for value in _values(one, axis.name, name)]
                yield Lines(f"Chart '{name}'", axis.name, values, POWERPLANT), flown


def _values(one: PhaseFigures, axis: str, chart: str) -> Iterator[float]:
    """Return what a phase is read at along one axis; its temperature is known half way, a landing is read where it ends."""
    nodes = one.phase.nodes[-1:] if chart == LANDING else one.phase.nodes
    if axis == DEVIATION:
        middle = one.phase.nodes[len(one.phase.nodes) // 2].pressure_altitude_m
        yield one.phase.temperature_k - standard_temperature(middle)
        return
    for node in nodes:
        yield node.mass_kg if axis == MASS else node.pressure_altitude_m


def _levels(mission: Mission, phases: Sequence[PhaseFigures]) -> Iterator[tuple[Lines, list[Flown]]]:
    """Return the levels common to all soundings of the winds aloft, with the altitudes flown."""
    soundings = [tuple(map(_height, one.winds)) for one in mission.weather.soundings if one.winds]
    if not soundings:
        return
    lowest, highest = max(one[0] for one in soundings), min(one[-1] for one in soundings)
    levels = sorted({height for one in soundings for height in one if lowest <= height <= highest})
    flown = [Flown(node.pressure_altitude_m, one) for one in phases for node in one.phase.nodes]
    yield Lines("Winds aloft", ALTITUDE, tuple(levels), WEATHER), flown


def _height(level: WindLevel) -> float:
    if level.pressure_altitude_m is not None:
        return level.pressure_altitude_m
    assert level.pressure_pa is not None  # the spec demands one of the two
    return altitude_at_pressure(level.pressure_pa)
