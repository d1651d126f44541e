"""What the page of the review holds: its heading, what is met by margin, what is taken as given, and what is signed."""

from __future__ import annotations

from briefgen.document.pages.chosen import assumed_keys
from briefgen.document.parts.assemble import FIGURES, Source, findings, verdict
from briefgen.document.parts.blocks import BlanksBlock, Block, Cell, Head, NoteBlock, TableBlock, TableRow
from briefgen.planning.review.finding_figures import REVIEW

SIGNATURES = ("Planned by", "Date and time", "Checked by", "Date and time", "Approved by, commander", "Date and time")


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


def assumptions(source: Source) -> TableBlock | None:
    """Return what the plan takes as given and safety hangs on, each with the line it is written on."""
    rows = []
    for key in assumed_keys(source.plan.ledger.entries):
        entry = source.plan.ledger[key]
        if entry.given is None:
            continue
        cells = (
            source.printed.label(key),
            source.printed.quoted(key),
            entry.given.text,
            f"{entry.given.file}, line {entry.given.line}",
        )
        rows.append(TableRow(tuple(Cell(text, key if i == 1 else "") for i, text in enumerate(cells))))
    heads = (Head("What"), Head("Figure"), Head("As written"), Head("Where"))
    return (
        TableBlock(
            "Assumptions", heads, tuple(rows), "Minima of the fields and limits of the rules stand beside each finding."
        )
        if rows
        else None
    )


def approval(source: Source) -> list[Block]:
    """Place what is signed: the digest of this very plan, and lines to sign on."""
    number = source.plan.mission.number
    return [
        NoteBlock("Plan", f"{number}, revision {source.identity.revision}, digest {source.digest}"),
        BlanksBlock("Approval", SIGNATURES),
    ]
