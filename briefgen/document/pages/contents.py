"""What is on each page of the site. A page is a title and an ordered list of blocks; a block without data is left out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from briefgen.document.drawings import charts
from briefgen.document.drawings.day import crew_timeline
from briefgen.document.drawings.route_map import route_map
from briefgen.document.parts.assemble import (
    Source,
    checklists,
    findings,
    findings_in_two_lines,
    key_figures,
    table,
    verdict,
)
from briefgen.document.parts.blocks import (
    BlanksBlock,
    Block,
    Cell,
    ChartBlock,
    Head,
    NoteBlock,
    Page,
    TableBlock,
    TableRow,
)
from briefgen.document.parts.moments import decisions as decision_table
from briefgen.document.parts.moments import timeline
from briefgen.document.parts.prose import prose
from briefgen.document.parts.svg import Frame
from briefgen.frozen import dataclass

Maker = Callable[[Source], Iterable[Block | None]]

WIDE, TYPE_SIZE = 960.0, 15.0
FRONT_MAP, HALF = (760.0, 15.0, 0.86), (600.0, 14.0, 0.55)
CHARTS: dict[str, tuple[charts.DrawChart, float]] = {
    "map": (route_map, 0.62),
    "timeline": (crew_timeline, 0.36),
    "profile": (charts.profile, 0.38),
    "fuel": (charts.fuel, 0.5),
}

# The one-minute picture, in the order in which it is asked: when, how far, with what, and what is left.
FRONT = (
    ("time.take_off", "Take-off"),
    ("time.over_target", "Over target"),
    ("time.landing", "Landing"),
    ("duration.air", "In the air"),
    ("duration.duty", "Duty"),
    ("fuel.ramp", "Fuel at ramp"),
    ("fuel.ramp_volume", "Fuel at ramp"),
    ("fuel.required.total", "Fuel required"),
    ("fuel.margin", "Over required"),
    ("fuel.at_landing", "Fuel at landing"),
    ("mass.take_off", "Take-off weight"),
    ("mass.landing", "Landing weight"),
    ("balance.take_off.cg_mac", "CG at take-off"),
)
# What the plan takes as given and safety hangs on: keys of entries that somebody wrote.
ASSUMED = (
    r"fuel\.(?!tank)[a-z_]+(\.limit)?", r"mass\.[a-z_]+", r"weather\.file", r"(leg|alternate)\..*\.safe_height",
    r"hold\..*\.(height|time|bank)", r"timing\..*\.window",
)  # fmt: skip
NO_CHANGES = "No approved revision is at hand to compare this one with."
SIGNATURES = ("Planned by", "Date and time", "Checked by", "Date and time", "Approved by, commander", "Date and time")
SCHEDULE = (
    ("clock.briefing", "Briefing"),
    ("clock.stations", "Stations"),
    ("time.start", "Start engines"),
    *FRONT[:3],
    ("time.shutdown", "Engines stopped"),
)


@dataclass(frozen=True)
class PageSpec:
    """The plan of one page; tables whose name begins with one of ``takes`` and that no page places land here."""

    name: str
    title: str
    makers: tuple[Maker, ...]
    takes: tuple[str, ...] = ()


# --- the words a page is written in -----------------------------------------------------------------------------------


def tables(*names: str) -> Maker:
    """Place tables by name."""
    return lambda source: [table(source, name) for name in names]


def chart(name: str, size: tuple[float, float, float] = (WIDE, TYPE_SIZE, 0.0)) -> Maker:
    """Place a chart by name, in the size asked for: width, type size and ratio of height to width."""
    width, type_size, ratio = size
    return lambda source: [chart_block(source, name, width, type_size, ratio)]


def figures(title: str, wanted: Sequence[tuple[str, str]]) -> Maker:
    """Place key figures."""
    return lambda source: [key_figures(source, title, wanted, local="unit")]


def authored(title: str, *names: str) -> Maker:
    """Place the author's own words on a subject."""

    def make(source: Source) -> list[Block]:
        words = source.plan.mission.briefing
        return [prose(title or name.capitalize(), source.printed.text(words[name])) for name in names if name in words]

    return make


def purpose(source: Source) -> list[Block]:
    """Place what the mission is for."""
    words = source.plan.mission.purpose
    return [replace(prose("Purpose", source.printed.text(words)), name="purpose")] if words else []


def every_other_word(source: Source) -> list[Block]:
    """Place the author's words on subjects that no page asks for by name."""
    named = {"situation", "execution", "weather", "communications", "emergencies", "load", "fuel"}
    words = source.plan.mission.briefing
    return [prose(name.capitalize(), source.printed.text(text)) for name, text in words.items() if name not in named]


def page_findings(*names: str) -> Maker:
    """Place what the review says about a page, unless all is well."""
    return lambda source: [findings(source, "Review notes for this page", outcomes=("fail", "caution"), pages=names)]


def review_title(source: Source) -> str:
    """Return the verdict as a heading."""
    sentence = verdict(source.plan)[2]
    return f"Review: {sentence[:1].lower()}{sentence[1:]}"


def assumptions(source: Source) -> TableBlock | None:
    """Return what the plan takes as given and safety hangs on, each with the line it is written on."""
    rows = []
    for key, entry in source.plan.ledger.entries.items():
        taken = any(re.fullmatch(pattern, key) for pattern in ASSUMED)
        if entry.given is None or not taken:
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


def decisions(source: Source) -> list[Block | None]:
    """Place the moments at which something is decided."""
    return [timeline(source, "Decision times", kinds=("decision",)), table(source, "decisions")]


def tables_under(prefix: str) -> Maker:
    """Place every table whose name begins so."""
    return lambda source: [table(source, name) for name in source.plan.tables if name.startswith(prefix)]


def chart_block(source: Source, name: str, width: float, type_size: float, ratio: float = 0.0) -> ChartBlock | None:
    """Return a chart of the plan in the size asked for; None where the plan has no data for it."""
    draw, own_ratio = CHARTS.get(name, (charts.generic(name), 0.55))
    ident = f"chart-{name.replace('.', '-')}"
    drawing = draw(source.plan, source.printed, Frame(width, width * (ratio or own_ratio), type_size, ident))
    return ChartBlock(drawing.title, drawing, name) if drawing else None


# --- the pages --------------------------------------------------------------------------------------------------------

SITE = (
    PageSpec(
        "index",
        "Mission",
        (
            figures("Key figures", FRONT),
            chart("map", FRONT_MAP),
            lambda s: [decision_table(s, "Decision times")],
            lambda s: [findings_in_two_lines(s, review_title(s))],
            purpose,
            chart("profile", HALF),
            chart("fuel", HALF),
            tables("decisions"),
            authored("", "situation", "execution"),
            every_other_word,
            tables("crew"),
        ),
        ("mission", "summary", "decisions"),
    ),
    PageSpec(
        "timeline",
        "Timeline",
        (
            page_findings("timeline"),
            figures("Times", SCHEDULE),
            chart("timeline"),
            lambda s: [timeline(s, "Phase by phase")],
            tables("timing", "timing.legs", "timing.delays", "phases"),
        ),
        ("schedule", "timeline", "time", "timing", "phases", "phase"),
    ),
    PageSpec(
        "route",
        "Route and navigation log",
        (page_findings("route"), chart("map"), tables("legs", "altitudes"), chart("profile")),
        ("legs", "leg", "route", "altitudes", "navigation", "turns"),
    ),
    PageSpec(
        "power",
        "Power table",
        (page_findings("power"), tables("power", "climb", "descent", "speeds"), chart("power"), checklists),
        ("power", "climb", "descent", "speeds", "engine", "carburettor", "fluids"),
    ),
    PageSpec(
        "fuel",
        "Fuel",
        (
            page_findings("fuel"),
            tables("fuel.required"),
            chart("fuel"),
            tables("fuel.points", "way_home.points", "fuel.tank_order", "fuel.tanks"),
            authored("", "fuel"),
        ),
        ("fuel",),
    ),
    PageSpec(
        "weather",
        "Weather and daylight",
        (
            page_findings("weather"),
            tables(
                "weather.fields",
                "weather.field_air",
                "weather.runways",
                "daylight",
                "weather.legs",
                "weather.clouds",
                "weather.issued",
            ),
            authored("", "weather"),
        ),
        ("weather", "daylight", "light", "moon", "icing"),
    ),
    PageSpec(
        "balance",
        "Load and balance",
        (
            page_findings("balance", "load"),
            tables("balance.load"),
            chart("envelope"),
            tables("balance.states"),
            chart("balance_time"),
            tables("balance.trim", "balance.stations", "balance.moves"),
            authored("", "load"),
        ),
        ("balance", "balance_time", "load", "mass"),
    ),
    PageSpec(
        "fields",
        "Take-off and landing",
        (
            page_findings("fields"),
            tables("fields.take_off"),
            chart("runway"),
            tables("fields.landing", "fields.runways", "speeds"),
            tables_under("fields."),
        ),
        ("fields", "field", "runway", "take_off", "landing"),
    ),
    PageSpec(
        "diversions",
        "Diversions and engine-out",
        (
            page_findings("diversions"),
            decisions,
            tables_under("way_home"),
            chart("way_home"),
            tables_under("alternate"),
            tables("engines_out"),
            tables_under("engines_out."),
            chart("drift_down"),
            tables("oxygen", "contingencies"),
            authored("", "emergencies"),
        ),
        (
            "way_home",
            "alternate",
            "alternates",
            "engines_out",
            "engine_out",
            "oxygen",
            "contingencies",
            "hold",
            "drift_down",
        ),
    ),
    PageSpec(
        "communications",
        "Communications and crew",
        (page_findings("communications", "crew"), tables("communications", "crew"), authored("", "communications")),
        ("communications", "crew", "duty"),
    ),
    PageSpec(
        "review",
        "Review",
        (
            lambda s: [NoteBlock("Verdict", "{1} {2}".format(*verdict(s.plan)))],
            lambda s: [
                findings(s, "Not met", outcomes=("fail",)),
                findings(s, "Met with caution", outcomes=("caution",)),
            ],
            tables("risks", "contingencies"),
            lambda s: [table(s, "assumptions") or assumptions(s)],
            lambda s: [table(s, "changes") or NoteBlock("Changes since the last approved revision", NO_CHANGES)],
            approval,
            tables("review"),
            lambda s: [findings(s, "Met", outcomes=("pass",))],
            tables("review_not_applicable"),
        ),
        ("risks", "review", "changes", "assumptions"),
    ),
)


def site_pages(source: Source) -> tuple[Page, ...]:
    """Return every page of the site that has something to show, each table of the plan on one of them at least."""
    made: list[tuple[PageSpec, list[Block]]] = []
    for spec in SITE:
        blocks: list[Block] = []
        for block in (block for maker in spec.makers for block in maker(source)):
            if block is not None and block not in blocks:
                blocks.append(block)
        made.append((spec, blocks))
    every = [block for _, blocks in made for block in blocks]
    placed = {block.name for block in every if isinstance(block, TableBlock)}
    drawn = {block.name for block in every if isinstance(block, ChartBlock)}
    for name in source.plan.tables:
        if name not in placed:
            _home(made, name).append(table(source, name) or NoteBlock(name, "This table has no rows."))
    for name in source.plan.charts:
        if name not in drawn and (block := chart_block(source, name, WIDE, TYPE_SIZE)):
            _home(made, name).append(block)
    return tuple(Page(spec.name, spec.title, tuple(blocks), spec.name == "index") for spec, blocks in made if blocks)


def _home(made: Sequence[tuple[PageSpec, list[Block]]], name: str) -> list[Block]:
    """Return the blocks of the page that takes a table or chart by the first part, or at least the first word, of its name."""
    part = name.split(".", 1)[0]
    for first in (part, part.split("_", 1)[0]):
        for spec, blocks in made:
            if first in spec.takes:
                return blocks
    return next(blocks for spec, blocks in made if spec.name == "review")
