"""The lines a crew fills in: those of the fuel log as it stands on the card, counted from one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import cast

from briefgen.model.flight_log import GROUND_EVENTS, Blank, Blanks
from briefgen.model.ledger import Row
from briefgen.model.plan import Phase, Plan
from briefgen.planning.sections.briefing.fuel_log import FUEL_LOG, TIME, WHERE, numbered_rows


def blanks_of(plan: Plan) -> Blanks:
    """Return the lines of a plan's fuel log and the planned time of each event on the ground."""
    table = plan.tables.get(FUEL_LOG.name)
    lines = [_blank(plan, number, row) for number, row in numbered_rows(table.rows if table else ())]
    return Blanks(tuple(lines), events_of(plan.phases))


def events_of(phases: Sequence[Phase]) -> dict[str, datetime]:
    """Return the planned time of each event on the ground: she rolls for take-off as the brakes are released."""
    take_off = next(phase for phase in phases if phase.kind == "take-off")
    landing = [phase for phase in phases if phase.kind == "approach"][-1]
    times = (phases[0].start, take_off.start, landing.end, phases[-1].end)
    return {name: node.instant for name, node in zip(GROUND_EVENTS, times, strict=True)}


def _blank(plan: Plan, number: int, row: Row) -> Blank:
    where = row.cells.get(WHERE.name, "")
    instant = cast(datetime, plan.ledger[row.cells[TIME.name]].value)
    if where:
        ident = row.name.rpartition(".")[2]
        phase = next(one for one in plan.phases if one.ident == ident)
        return Blank(number, instant, str(plan.ledger[where].value), phase.place, ident, ends_phase=True)
    during = next(one for one in plan.phases if one.start.instant <= instant < one.end.instant)
    return Blank(number, instant, "", "", during.ident, ends_phase=False)
