"""The load held against floors, bays, doors, company and straps; what is not known of an item does not pass."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from briefgen.frozen import dataclass
from briefgen.model.aircraft import Bay
from briefgen.model.mission import LoadItem, Mission
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import Record, figure, rests_on
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.load.pieces import bay_area_m2, bay_named, conflicts, footprint_m2, why_not
from briefgen.planning.sections.balance.held import Held, Measure
from briefgen.planning.sections.balance.items import ItemFigures
from briefgen.planning.sections.balance.sheet import PieceFigures, Sheet
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups

PAGE: FindingPage = "balance"
SOURCE = "aircraft file, bays"


@dataclass(frozen=True)
class _Kind:
    """One thing that is measured of every bay in use."""

    name: str
    title: str
    unit: str
    decimals: int
    measured: Callable[[Bay, Sequence[ItemFigures]], float]
    limit: Callable[[Bay], float]
    cure: str


def load_findings(mission: Mission, items: Sequence[ItemFigures], writer: LedgerWriter) -> list[Finding]:
    """Return the findings on the load; a limit that is kept everywhere is shown where it is tightest."""
    if not items:
        return []
    used = [bay for bay in mission.aircraft.balance.bays if any(item.stands_at == bay.name for item in items)]
    findings = [_tightest(used, items, kind, writer) for kind in KINDS] if used else []
    findings += _floor_findings(mission, writer)
    return findings + _word_findings(mission, items, writer)


def _mass_kg(_: Bay, inside: Sequence[ItemFigures]) -> float:
    return math.fsum(item.written.mass for item in inside)


def _running_kg_per_m(bay: Bay, inside: Sequence[ItemFigures]) -> float:
    rest_on_groups(BALANCE)
    return _mass_kg(bay, inside) / (bay.to_arm_m - bay.from_arm_m)


def _covered_m2(_: Bay, inside: Sequence[ItemFigures]) -> float:
    rests_on(*(ItemFigures.size.or_none(item) for item in inside))
    return math.fsum(footprint_m2(item.item) for item in inside)


KINDS = (
    _Kind("bay_mass", "Weight in a bay", "lb", 0, _mass_kg, lambda bay: bay.mass_limit_kg,
          "move some of it to another bay"),
    _Kind("bay_running", "Running load of a bay", "lb/ft", 0, _running_kg_per_m,
          lambda bay: bay.running_limit_kg_per_m, "move some of it to another bay"),
    _Kind("bay_area", "Floor covered in a bay", "sq ft", 1, _covered_m2, bay_area_m2, "move an item to another bay"),
)  # fmt: skip


def _tightest(used: Sequence[Bay], items: Sequence[ItemFigures], kind: _Kind, writer: LedgerWriter) -> Finding:
    def inside(bay: Bay) -> list[ItemFigures]:
        return [item for item in items if item.stands_at == bay.name]

    bay = max(used, key=lambda bay: kind.measured(bay, inside(bay)) / kind.limit(bay))

    def measured() -> float:
        rests_on(*(item.bay for item in inside(bay)))
        return kind.measured(bay, inside(bay))

    def limit() -> float:
        rest_on_groups(BALANCE)
        return kind.limit(bay)

    label = f"{kind.title.replace(' a bay', ' bay')} {bay.name}"
    held = Held(
        f"load.{kind.name}", Measure(label, kind.unit, measured, limit, "what stands in the bay", "", kind.decimals)
    )
    writer.adopt(held)
    text = f"Tightest in bay {bay.name}: {{measured}}; at most {{limit}} allowed."
    return held.finding(kind.title, text, SOURCE, kind.cure, PAGE)


def station_findings(mission: Mission, sheet: Sheet, writer: LedgerWriter) -> list[Finding]:
    """Hold what sits or stands at each station, in flight and at take-off, against its mass limit."""
    limits = {s.name: s.mass_limit_kg for s in mission.aircraft.balance.stations if s.mass_limit_kg is not None}
    there = {
        (when, name): [row for row in sheet.rows if _sits_at(row, at_take_off=at_take_off) == name]
        for when, at_take_off in (("at take-off", True), ("in flight", False))
        for name in limits
    }
    loads = {pair: math.fsum(row.piece.mass_kg for row in rows) for pair, rows in there.items()}
    if not any(loads.values()):
        return []
    when, name = max(loads, key=lambda pair: loads[pair] / limits[pair[1]])

    def measured() -> float:
        rest_on_groups(BALANCE)
        return math.fsum(float(row.mass.value) for row in there[when, name])

    def limit() -> float:
        rest_on_groups(BALANCE)
        return limits[name]

    held = Held("load.station_mass", Measure(f"Weight at {name} {when}", "lb", measured, limit, "who sits there"))
    writer.adopt(held)
    text = f"Tightest at {name}, {when}: {{measured}}; at most {{limit}} allowed."
    return [held.finding("Weight at a station", text, "aircraft file, stations", "seat somebody elsewhere", PAGE)]


def _sits_at(row: PieceFigures, *, at_take_off: bool) -> str:
    piece = row.piece
    return piece.take_off[0] if at_take_off and piece.take_off else piece.place


class Judged(Record):
    """A judgement in words."""

    def __init__(self, at: str, found: str, required: str, to_spare: str, items: Sequence[ItemFigures]) -> None:
        self.at, self._words, self._items = at, (found, required, to_spare), items

    @figure("Found", how="the load as it stands")
    def measured(self) -> str:
        rests_on(*((item.bay, item.leaves, item.written.mass, ItemFigures.size.or_none(item)) for item in self._items))
        rest_on_groups(BALANCE)
        return self._words[0]

    @figure("Required", how="aircraft file and house rule")
    def limit(self) -> str:
        return self._words[1]

    @figure("To spare", how="yes or no")
    def margin(self) -> str:
        rests_on(self.measured)
        return self._words[2]

    def finding(self, outcome: str, title: str, text: str, source: str, cure: str) -> Finding:
        """Return the finding on it."""
        keys = (Judged.measured.of(self).key, Judged.limit.of(self).key, Judged.margin.of(self).key)
        return Finding(self.at, outcome, title, text, *keys, source, cure, PAGE)


def _floor_findings(mission: Mission, writer: LedgerWriter) -> list[Finding]:
    """Say of which items the size is missing: their floor loading cannot be judged, so it is not passed."""
    unknown = [item.name for item in mission.items if None in (item.length_m, item.width_m, item.height_m)]
    if not unknown:
        return []
    judged = Judged("load.size", "not given", "length, width and height of every item", "not known", ())
    writer.adopt(judged)
    names = ", ".join(unknown)
    text = f"Not known: length, width or height of {names}. Floor loading, bays and doors are not judged without them."
    cure = f"give length, width and height of {names}"
    return [judged.finding("fail", "Size of the load", text, SOURCE, cure)]


def _word_findings(mission: Mission, items: Sequence[ItemFigures], writer: LedgerWriter) -> list[Finding]:
    bays = {item.title: item.stands_at for item in items}
    misplaced = [(i, fault) for i in mission.items if (fault := _misplaced(mission, i, bays))]
    elsewhere = "; ".join(_elsewhere(mission, item) for item, _ in misplaced)
    company = [f"{one} and {other}: {reason}" for one, other, reason in conflicts(mission, bays)]
    title, faults = "Every item in a bay that takes it", [fault for _, fault in misplaced]
    found = [_judged("load.bays", title, faults, elsewhere, items, writer)]
    if company or any(item.dangerous or item.leaves != "landing" for item in mission.items):
        title = "Order of leaving and dangerous goods"
        found.append(_judged("load.company", title, company, "exchange their bays", items, writer))
    return found


def _misplaced(mission: Mission, item: LoadItem, bays: Mapping[str, str]) -> str:
    bay = bay_named(mission.aircraft, bays[item.name])
    reason = why_not(mission.aircraft, item, bay) if bay else ""
    return f"{item.name} in bay {bay.name}: {reason}" if bay and reason else ""


def _elsewhere(mission: Mission, item: LoadItem) -> str:
    """Say which bays take an item by itself."""
    names = [bay.name for bay in mission.aircraft.balance.bays if not why_not(mission.aircraft, item, bay)]
    return f"move {item.name} to bay {' or '.join(names)}" if names else f"divide {item.name}: no bay takes it"


def _judged(
    key: str, title: str, faults: Sequence[str], cure: str, items: Sequence[ItemFigures], writer: LedgerWriter
) -> Finding:
    words = (
        ("; ".join(faults), "none of these", "no") if faults else ("nothing against it", "nothing against it", "yes")
    )
    judged = Judged(key, *words, items)
    writer.adopt(judged)
    text = f"{words[0][:1].upper() if not faults else words[0][:1]}{words[0][1:]}."
    return judged.finding("fail" if faults else "pass", title, text, f"{SOURCE}; house rule", cure if faults else "")
