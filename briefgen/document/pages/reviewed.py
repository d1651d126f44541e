"""What the page of the review says of what is met, by margin, and how it is headed."""

from __future__ import annotations

from briefgen.document.parts.assemble import FIGURES, Source, findings, verdict
from briefgen.document.parts.blocks import Cell, Head, TableBlock, TableRow
from briefgen.planning.review.finding_figures import REVIEW


def met(source: Source) -> TableBlock | None:
    """Return what is met, the thinnest margin first, a line each: planned, limit, in hand, and the rule with its source."""
    block = findings(source, "", outcomes=("pass",))
    rows = []
    for item in block.items if block else ():
        facts, keys = dict(item.facts), item.linked
        told = Cell(item.title, keys["title"])
        figures = [Cell(facts.get(name, ""), keys.get(name, "")) for name in FIGURES]
        rule = Cell(item.text.partition(" The rule: ")[2] or item.text)
        rows.append(TableRow((told, *figures, rule, Cell(facts.get("source", "")))))
    heads = (
        Head("Requirement"), Head("Planned", align="right"), Head("Limit", align="right"), Head("In hand", align="right"),
        Head("The rule"), Head("Source"),
    )  # fmt: skip
    return TableBlock("Met, the thinnest margin first", heads, tuple(rows), name=REVIEW.name) if rows else None


def review_title(source: Source) -> str:
    """Return the verdict as a heading."""
    sentence = verdict(source.plan)[2]
    return f"Review: {sentence[:1].lower()}{sentence[1:]}"
