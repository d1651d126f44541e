"""The front: may we go, when, and with what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from briefgen.document.cards.blocks import Block, Cell, Col, Face, Grid, Line, Row
from briefgen.document.cards.events import BRACKETS, events_of, minutes
from briefgen.document.cards.fitting import fitted
from briefgen.document.cards.layout import GAP, HEIGHT, MEASURES, head_lines, height
from briefgen.document.cards.reading import big_row, entry_line, rows_of
from briefgen.document.parts.approval import STALE, not_accepted
from briefgen.document.parts.assemble import ACCEPTED, Source, findings, verdict
from briefgen.document.parts.blocks import FindingLine
from briefgen.document.parts.moments import brief
from briefgen.model.record import VOLUME
from briefgen.planning.review.aside import SET_ASIDE
from briefgen.planning.sections.balance.moments import FlownWeights
from briefgen.planning.sections.basis.clock import Durations, Milestones
from briefgen.planning.sections.basis.fuel import FuelMargin, FuelRequired
from briefgen.planning.sections.basis.written_load import RampFuel

MOST_DECISIONS = 6
STALE_BAND = "Approval stale: changed since"
NOT_APPROVED = "not approved"
FEWEST = 2  # of cautions and of decisions before failures give way


def front_face(source: Source) -> Face:
    """Return the front card."""
    room = room_of(source)
    blocks: list[Block] = []
    for told in _fewer(source):
        made = (
            _verdict(source, told.fails),
            _times(source),
            _fuel_and_weight(source),
            _decisions(source, told.decided),
            _cautions(source, told.cautions),
            _aside(source, told.aside),
            _signature(source),
        )
        blocks = [one for one in made if one is not None]
        if sum(height(fitted(one)) for one in blocks if isinstance(one, Grid)) - GAP <= room:
            break
    return Face("Front: go or not, times, fuel", tuple(blocks), ident="front")


Aside = Literal["why", "by whom", "names"]


@dataclass(frozen=True)
class _Told:
    """How much the front tells: of failures, cautions and decisions how many, of what is set aside why."""

    fails: int
    cautions: int
    decided: int
    aside: Aside = "by whom"


def _fewer(source: Source) -> Iterator[_Told]:
    """Yield how much is told: all, then no reasons for what is set aside, fewer cautions, decisions and failures in turn."""
    told = _Told(len(_items(source, "fail")), len(_items(source, "caution")), MOST_DECISIONS, aside="why")
    yield told
    told = replace(told, aside="by whom")
    yield told
    for least in (FEWEST, 1):
        while told.cautions > least or told.decided > least or told.fails > 1:
            if told.cautions > least:
                told = replace(told, cautions=told.cautions - 1)
            elif told.decided > least:
                told = replace(told, decided=told.decided - 1)
            else:
                told = replace(told, fails=told.fails - 1)
            yield told
    yield replace(told, cautions=0, decided=0)
    yield replace(told, cautions=0, decided=0, aside="names")


def room_of(source: Source) -> float:
    """Return the room between head and foot of an upright card of a mission [pt]."""
    head = (head_lines(source.identity) - 1) * MEASURES["identity"]
    return HEIGHT - head - (MEASURES["band-room"] if band_of(source) else 0.0)


def band_of(source: Source) -> str:
    """Return what every card is headed with of a mission that does not pass or whose approval is stale; empty for others."""
    outcome, sign, _ = verdict(source.plan)
    if source.identity.approval == STALE:
        return f"{sign} {STALE_BAND}"
    if outcome != "fail":
        return ""
    count = sum(finding.outcome == "fail" for finding in source.plan.findings)
    if not not_accepted(source.plan):
        return f"{sign} {count} {'requirement' if count == 1 else 'requirements'} not met, accepted"
    return f"{sign} Does not pass: {count} {'requirement' if count == 1 else 'requirements'} not met"


def approval_tag(source: Source) -> str:
    """Return what stands on every card of a plan that nobody has approved; none where a band or the headline says more."""
    return "" if band_of(source) or source.identity.approval else NOT_APPROVED


def _verdict(source: Source, most: int) -> Grid:
    outcome, sign, sentence = verdict(source.plan)
    met = sum(finding.outcome == "pass" for finding in source.plan.findings)
    lines = [Line(f"{sign} {sentence}", "head", bold=True)]
    aside = len(rows_of(source, SET_ASIDE))
    lines.append(
        Line(f"{met} {'requirement' if met == 1 else 'requirements'} met, {aside or 'none'} set aside", "small")
    )
    if source.identity.approval_told:
        lines.append(Line(f"{source.identity.approval_told}.", "small"))
    if outcome == "fail":
        items = _items(source, "fail")
        for item in items[:most]:
            lines.append(Line(_measured(item), lead=f"{item.title}:"))
            if (accepted := dict(item.facts).get(ACCEPTED)) and source.identity.approval != STALE:
                lines.append(Line(accepted, lead="Accepted:"))
            if item.cure:
                lines.append(Line(item.cure, lead="To pass:"))
        if len(items) > most:
            lines.append(Line(f"and {len(items) - most} more, see the review page"))
    return Grid("", "", (Col(wide=True),), (Row((Cell(tuple(lines)),), "none"),), frame=True, name="verdict", pad=0.0)


def _items(source: Source, *outcomes: str) -> tuple[FindingLine, ...]:
    block = findings(source, "", outcomes=outcomes)
    return block.items if block else ()


def _measured(item: FindingLine) -> str:
    """Return what was found of a requirement, its limit and what is in hand."""
    facts = dict(item.facts)
    words = [facts.get("measured", ""), f"limit {facts['limit']}" if "limit" in facts else ""]
    return ", ".join(filter(None, words)) or item.text


def _times(source: Source) -> Grid | None:
    printed = source.printed

    def item(name: str, key: str) -> tuple[str, Line | None, str]:
        under = [f"{printed[f'{key}.local']} local"] if f"{key}.local" in printed else []
        if key == Milestones.landing.key and Durations.air.key in printed:
            under.append(f"{printed[Durations.air.key]} aloft")
        return name, entry_line(source, key, "big", bold=True, quoted=False), " · ".join(under)

    over = source.printed.label(Milestones.over_target.key) if Milestones.over_target.key in printed else ""
    return big_row(
        item("Take-off, UTC", Milestones.take_off.key),
        item(over, Milestones.over_target.key),
        item("Landing", Milestones.landing.key),
    )


def _fuel_and_weight(source: Source) -> Grid | None:
    wanted = (
        ("Fuel at the ramp", RampFuel.ramp, False), ("Fuel required", FuelRequired.total, False), ("Over what is required", FuelMargin.margin, True),
        ("Weight at take-off", FlownWeights.take_off, False), ("Weight at landing", FlownWeights.landing, False),
    )  # fmt: skip
    rows = []
    for words, figure, bold in wanted:
        key = figure.key
        if key not in source.printed:
            continue
        volume = f"{key}{VOLUME}"
        volumes = (Line(source.printed[volume], bold=True, key=volume),) if volume in source.printed else ()
        mass = (Line(source.printed[key], bold=not volumes or bold, key=key),)
        rows.append(Row((Cell((Line(words, bold=bold),)), Cell(volumes), Cell(mass)), header=True))
    cols = (Col(wide=True), Col(("US gal",), "right", part=0.2), Col(("lb",), "right", part=0.2))
    return Grid("", "", cols, tuple(rows), pad=0.6, name="fuel and weight") if rows else None


def _decisions(source: Source, most: int) -> Grid | None:
    told = [one for one in events_of(source, ("captain",)) if one.event.kind == "decision"]
    rows = [
        Row(
            (
                Cell((Line(moment[0].utc, bold=True, key=moment[0].event.time_key),)),
                Cell(tuple(Line(brief(BRACKETS.sub("", source.printed.text(one.event.text)))) for one in moment)),
            ),
            "none",
            header=True,
        )
        for moment in minutes(told)
    ]
    return (
        Grid("Decide", "UTC", (Col(), Col(wide=True)), tuple(rows[:most]), pad=0.8, name="decide")
        if rows and most
        else None
    )


def _cautions(source: Source, most: int) -> Grid | None:
    items = _items(source, "caution")
    rows = [Row((Cell((Line(_measured(item), lead=f"⚠ {item.title}:"),)),), "none") for item in items[:most]]
    if len(items) > most:
        rows.append(
            Row(
                (
                    Cell(
                        (
                            Line(
                                f"{'and ' if most else ''}{len(items) - most} {'more' if most else 'cautions'}, see the review page"
                            ),
                        )
                    ),
                ),
                "none",
            )
        )
    return Grid("Cautions", "", (Col(wide=True),), tuple(rows), pad=0.6, name="cautions") if rows else None


def _aside(source: Source, told: Aside) -> Grid | None:
    """Return the rules that were set aside, each with its reason and who says so; without, or the names alone, where room is short."""
    columns = {column.name: column for column in SET_ASIDE.columns}
    found = rows_of(source, SET_ASIDE)
    rows = []
    for row in found if told != "names" else ():
        by, why = row.text(columns["by"]), told == "why"
        words = f"{row.text(columns['reason'])} ({by})" if why else f"by {by}"
        line = Line(words, lead=f"{row.figure(columns['rule'])}:", key=row.key(columns["reason" if why else "by"]))
        rows.append(Row((Cell((line,)),), "none"))
    if found and told == "names":
        names = "; ".join(f"{row.figure(columns['rule'])}" for row in found)
        rows.append(Row((Cell((Line(f"{names}: see the review page"),)),), "none"))
    return Grid("Set aside", "", (Col(wide=True),), tuple(rows), pad=0.6, name="aside") if rows else None


def _signature(source: Source) -> Grid | None:
    """Return the line the captain signs on; a mission that does not pass has none."""
    outcome, _, _ = verdict(source.plan)
    if outcome == "fail":
        row = Row((Cell((Line("No signature line: cure it and build again.", bold=True),)),), "none")
        return Grid("", "", (Col(wide=True),), (row,), name="signature")
    cells = tuple(Cell((Line(words, "small"),), write=True) for words in ("Accepted, captain", "Date", "UTC"))
    return Grid("", "", (Col(part=0.5), Col(part=0.25), Col(part=0.25)), (Row(cells, "none"),), name="signature")
