"""The rest of a flight for the terminal: read aboard and in a hurry, so it loads nothing that only pages and cards need."""

from __future__ import annotations

from briefgen.document.flown.replan_page import stamp, wind_words
from briefgen.document.parts.assemble import source_of, table
from briefgen.document.plain_tables import table_text, with_findings
from briefgen.model.plan import Plan
from briefgen.planning.after.rest_figures import EQUALS, FIELDS, LEAVES, LINES


def replan_text(plan: Plan) -> str:
    """Return the rest of a flight as plain text tables for the terminal."""
    source = source_of(plan)
    who = source.identity
    parts = [f"{who.number} {who.mission}, revision {who.revision}: {stamp(source)}\n{who.caution}"]
    parts += [table_text(block) for one in (LINES, FIELDS, LEAVES, EQUALS) if (block := table(source, one))]
    return with_findings(source, [*parts, wind_words(source)])
