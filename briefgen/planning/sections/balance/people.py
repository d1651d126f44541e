"""People aboard held against seats, oxygen points, life jackets and rafts of the aircraft file."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from briefgen.model.aircraft import PeopleProvision, SeatRow
from briefgen.model.mission import Mission
from briefgen.model.plan import Finding, FindingPage
from briefgen.model.record import rests_on
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.balance.held import Held, Measure
from briefgen.planning.sections.balance.sheet import PieceFigures, Sheet
from briefgen.planning.sections.basis.groups import BALANCE, rest_on_groups

PAGE: FindingPage = "balance"
SOURCE = "aircraft file, people"
RAFTS = "14 CFR 91.509(b): rafts for everybody aboard, where the route asks for them"


@dataclass(frozen=True)
class _Kind:
    """One thing of which there is so much at each row of seats."""

    name: str
    title: str
    has: Callable[[SeatRow], int]
    outcome: str  # when it is short
    cure: str


KINDS = (
    _Kind("seats", "Seats", lambda row: row.seats, "fail", "seat somebody elsewhere, or leave them behind"),
    _Kind("oxygen_points", "Oxygen points", lambda row: row.oxygen_points, "caution",
          "seat somebody elsewhere, or stay where no oxygen is needed"),
    _Kind("life_jackets", "Life jackets", lambda row: row.life_jackets, "caution", "carry a life jacket for each of them"),
)  # fmt: skip


def people_findings(mission: Mission, sheet: Sheet, writer: LedgerWriter) -> list[Finding]:
    """Return what is short for the people carried; crew who sit in the same row count with them."""
    provision = mission.aircraft.people
    if not mission.people or provision is None:
        return []
    aboard = [row for row in sheet.rows if row.piece.kind in ("crew", "people")]
    counts = {row.piece.key: 1 for row in aboard} | {
        f"people.{number:02}": one.number for number, one in enumerate(mission.people, 1)
    }
    findings = [_at_seats(kind, provision, aboard, counts, writer) for kind in KINDS]
    return [*findings, _rafts(provision, aboard, counts, writer)]


def _at_seats(
    kind: _Kind,
    provision: PeopleProvision,
    aboard: Sequence[PieceFigures],
    counts: Mapping[str, int],
    writer: LedgerWriter,
) -> Finding:
    """Hold who sits at a station against what is there, where it is tightest, at take-off and in flight."""
    has = {row.station: kind.has(row) for row in provision.seats}
    there: dict[tuple[str, str], list[PieceFigures]] = {}
    for row in aboard:
        there.setdefault((row.piece.place, "in flight"), []).append(row)
        there.setdefault((row.piece.take_off[0] if row.piece.take_off else row.piece.place, "at take-off"), []).append(
            row
        )
    taken = {at: sum(counts[row.piece.key] for row in rows) for at, rows in there.items()}
    station, when = max(taken, key=lambda at: taken[at] - has.get(at[0], 0))
    held = _held(
        f"people.{kind.name}", f"{kind.title} at {station} {when}", there[station, when], taken[station, when],
        has.get(station, 0),
    )  # fmt: skip
    writer.adopt(held)
    text = f"Tightest at {station}, {when}: {{measured}} people; {{limit}} there."
    found = held.finding(f"{kind.title} for everybody", text, SOURCE, kind.cure, PAGE)
    return found if found.outcome == "pass" else replace(found, outcome=kind.outcome)


def _rafts(
    provision: PeopleProvision, aboard: Sequence[PieceFigures], counts: Mapping[str, int], writer: LedgerWriter
) -> Finding:
    places = sum(raft.places for raft in provision.rafts)
    held = _held("people.rafts", "People aboard", aboard, sum(counts.values()), places)
    writer.adopt(held)
    text = "{measured} people are aboard; the rafts hold {limit}."
    cure = "carry another raft, or stay within reach of the shore"
    found = held.finding("Rafts for everybody", text, f"{SOURCE}; {RAFTS}", cure, PAGE)
    return found if found.outcome == "pass" else replace(found, outcome="caution")


def _held(at: str, label: str, rows: Sequence[PieceFigures], taken: int, places: int) -> Held:
    def measured() -> float:
        rests_on(*(row.mass.value for row in rows), *(row.place for row in rows))
        rest_on_groups(BALANCE)
        return float(taken)

    def limit() -> float:
        rest_on_groups(BALANCE)
        return float(places)

    return Held(at, Measure(label, "", measured, limit, "crew list and people carried, counted"))
