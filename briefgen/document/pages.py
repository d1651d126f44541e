"""What is on each page of the site. A page is a title and an ordered list of blocks; a block without data is left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from briefgen.document import charts
from briefgen.document.assemble import Source, checklists, findings, key_figures, table, timeline
from briefgen.document.blocks import Block, ChartBlock, NoteBlock, Page, TableBlock
from briefgen.document.chart_map import route_map
from briefgen.document.chart_time import crew_timeline
from briefgen.document.prose import prose
from briefgen.document.svg import Frame
from briefgen.errors import RenderError

Maker = Callable[[Source], Iterable[Block | None]]

WIDE, TYPE_SIZE = 960.0, 15.0
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
    ("time.on_blocks", "On blocks"),
    ("route.distance", "Distance"),
    ("route.time", "Time in the air"),
    ("fuel.ramp", "Fuel at ramp"),
    ("fuel.required.total", "Fuel required"),
    ("fuel.margin", "Fuel over required"),
    ("fuel.at_landing", "Fuel at landing"),
    ("mass.take_off", "Take-off weight"),
    ("mass.landing", "Landing weight"),
    ("balance.take_off.cg", "CG at take-off"),
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


def chart(name: str) -> Maker:
    """Place a chart by name."""
    return lambda source: [chart_block(source, name, WIDE, TYPE_SIZE)]


def figures(title: str, wanted: Sequence[tuple[str, str]]) -> Maker:
    """Place key figures."""
    return lambda source: [key_figures(source, title, wanted)]


def authored(title: str, *names: str) -> Maker:
    """Place the author's own words on a subject."""

    def make(source: Source) -> list[Block]:
        words = source.plan.mission.briefing
        return [prose(title or name.capitalize(), source.printed.text(words[name])) for name in names if name in words]

    return make


def purpose(source: Source) -> list[Block]:
    """Place what the mission is for."""
    return [prose("Purpose", source.printed.text(source.plan.mission.purpose))] if source.plan.mission.purpose else []


def every_other_word(source: Source) -> list[Block]:
    """Place the author's words on subjects that no page asks for by name."""
    named = {"situation", "execution", "weather", "communications", "emergencies", "load", "fuel"}
    words = source.plan.mission.briefing
    return [prose(name.capitalize(), source.printed.text(text)) for name, text in words.items() if name not in named]


def page_findings(name: str) -> Maker:
    """Place what the review says about a page, unless all is well."""
    return lambda source: [findings(source, "Review notes for this page", outcomes=("fail", "caution"), page=name)]


def chart_block(source: Source, name: str, width: float, type_size: float, ratio: float = 0.0) -> ChartBlock | None:
    """Return a chart of the plan in the size asked for; None where the plan has no data for it."""
    draw, own_ratio = CHARTS.get(name, (charts.generic(name), 0.55))
    ident = f"chart-{name.replace('.', '-')}"
    drawing = draw(source.plan, source.printed, Frame(width, width * (ratio or own_ratio), type_size, ident))
    return ChartBlock(drawing.title, drawing) if drawing else None


# --- the pages --------------------------------------------------------------------------------------------------------

SITE = (
    PageSpec(
        "index",
        "Mission",
        (
            figures("Key figures", FRONT),
            lambda s: [findings(s, "Review: what needs attention", outcomes=("fail", "caution"))],
            tables("decisions"),
            purpose,
            chart("map"),
            authored("", "situation", "execution"),
            every_other_word,
            tables("crew"),
        ),
        ("mission", "summary", "decisions"),
    ),
    PageSpec(
        "timeline",
        "Timeline",
        (page_findings("timeline"), tables("schedule"), chart("timeline"), lambda s: [timeline(s, "Phase by phase")]),
        ("schedule", "timeline", "time"),
    ),
    PageSpec(
        "route",
        "Route and navigation log",
        (page_findings("route"), chart("map"), tables("legs", "altitudes"), chart("profile"), tables("phases")),
        ("legs", "leg", "phases", "phase", "route", "altitudes", "navigation", "turns"),
    ),
    PageSpec(
        "power",
        "Power table",
        (
            page_findings("power"),
            tables("power", "climb", "descent", "speeds"),
            chart("power"),
            lambda s: list(checklists(s)),
        ),
        ("power", "climb", "descent", "speeds", "engine", "carburettor"),
    ),  # fmt: skip
    PageSpec(
        "fuel",
        "Fuel",
        (
            page_findings("fuel"),
            tables("fuel.required"),
            chart("fuel"),
            tables("fuel.points", "fuel.tanks"),
            authored("", "fuel"),
        ),
        ("fuel",),
    ),
    PageSpec(
        "weather",
        "Weather and daylight",
        (page_findings("weather"), tables("weather.legs", "weather.fields", "daylight"), authored("", "weather")),
        ("weather", "daylight", "light", "moon", "icing"),
    ),
    PageSpec(
        "balance",
        "Load and balance",
        (
            page_findings("balance"),
            tables("balance.states"),
            chart("envelope"),
            tables("balance.load", "balance.stations"),
            authored("", "load"),
        ),
        ("balance", "load", "mass"),
    ),  # fmt: skip
    PageSpec(
        "fields",
        "Take-off and landing",
        (page_findings("fields"), tables("fields.take_off", "fields.landing"), chart("runway")),
        ("fields", "field", "runway", "take_off", "landing"),
    ),
    PageSpec(
        "diversions",
        "Diversions and engine-out",
        (
            page_findings("diversions"),
            tables("way_home", "way_home.points", "decisions", "alternates", "engines_out", "oxygen"),
            chart("way_home"),
            tables("contingencies"),
            authored("", "emergencies"),
        ),
        ("way_home", "alternates", "engines_out", "oxygen", "contingencies", "hold", "drift_down"),
    ),  # fmt: skip
    PageSpec(
        "communications",
        "Communications and crew",
        (page_findings("communications"), tables("communications", "crew"), authored("", "communications")),
        ("communications", "crew", "duty"),
    ),
    PageSpec(
        "review",
        "Review",
        (lambda s: [findings(s, "Requirements")], tables("risks", "contingencies", "changes", "assumptions")),
        ("risks", "review", "changes", "assumptions"),
    ),
)


def site_pages(source: Source) -> tuple[Page, ...]:
    """Return every page of the site that has something to show, each table of the plan on one of them at least."""
    placed: set[str] = set()
    made: list[tuple[PageSpec, list[Block]]] = []
    for spec in SITE:
        blocks = [block for maker in spec.makers for block in maker(source) if block is not None]
        placed |= {block.name for block in blocks if isinstance(block, TableBlock)}
        made.append((spec, blocks))
    for name in source.plan.tables:
        if name not in placed:
            _home(made, name).append(_required(table(source, name), name))
    placed_charts = {block.drawing.title for _, blocks in made for block in blocks if isinstance(block, ChartBlock)}
    for name in source.plan.charts:
        block = chart_block(source, name, WIDE, TYPE_SIZE)
        if block and block.drawing.title not in placed_charts:
            _home(made, name).append(block)
    return tuple(Page(spec.name, spec.title, _with_own_ids(blocks)) for spec, blocks in made if blocks)


def _required(block: TableBlock | None, name: str) -> Block:
    return block or NoteBlock(name, "This table has no rows.")


def _home(made: Sequence[tuple[PageSpec, list[Block]]], name: str) -> list[Block]:
    """Return the blocks of the page that takes a table or chart by the first part of its name."""
    first = name.split(".", 1)[0]
    for spec, blocks in made:
        if first in spec.takes:
            return blocks
    return next(blocks for spec, blocks in made if spec.name == "review")


def _with_own_ids(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """Refuse a page on which two drawings share an id."""
    seen: set[str] = set()
    for block in blocks:
        if isinstance(block, ChartBlock):
            ident = block.drawing.markup.split('aria-labelledby="', 1)[1].split(" ", 1)[0]
            if ident in seen:
                raise RenderError(f"the drawing {block.title} stands twice on one page")
            seen.add(ident)
    return tuple(replace(block) for block in blocks)
