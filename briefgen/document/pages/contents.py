"""What is on each page of the site. A page is a title and an ordered list of blocks; a block without data is left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Literal, get_args

from briefgen.document.drawings import charts
from briefgen.document.drawings.day import crew_timeline
from briefgen.document.drawings.power import power_chart
from briefgen.document.drawings.route_map import route_map
from briefgen.document.pages.approvals import accepted, approval, changes
from briefgen.document.pages.chosen import FRONT, SCHEDULE, Wanted, assumptions
from briefgen.document.pages.commander import TITLE as COMMANDER_TITLE
from briefgen.document.pages.commander import commander_blocks
from briefgen.document.pages.reviewed import met, review_title
from briefgen.document.pages.variations import variations
from briefgen.document.parts.assemble import (
    Source,
    checklists,
    findings,
    findings_in_two_lines,
    key_figures,
    table,
    tables_of,
    verdict,
)
from briefgen.document.parts.blocks import (
    Block,
    ChartBlock,
    NoteBlock,
    Page,
    TableBlock,
)
from briefgen.document.parts.moments import decisions as decision_table
from briefgen.document.parts.moments import timeline
from briefgen.document.parts.prose import prose
from briefgen.document.parts.svg import Frame
from briefgen.frozen import dataclass
from briefgen.model.plan import ChartName, FindingPage
from briefgen.model.tables import TableOf, View
from briefgen.planning.review.aside import SET_ASIDE
from briefgen.planning.review.edges import EDGES
from briefgen.planning.review.finding_figures import NOT_APPLICABLE
from briefgen.planning.review.margins import MARGINS
from briefgen.planning.review.rests import RESTS
from briefgen.planning.search.sensitivities import SENSITIVITIES
from briefgen.planning.sections.altitudes import ALTITUDES
from briefgen.planning.sections.balance.fluids import FLUIDS
from briefgen.planning.sections.balance.items import LOAD
from briefgen.planning.sections.balance.moments import MOMENTS
from briefgen.planning.sections.balance.moves import MOVES
from briefgen.planning.sections.balance.sheet import STATIONS
from briefgen.planning.sections.balance.states import TRIM
from briefgen.planning.sections.balance.tanks import CONTENTS, TANK_ORDER
from briefgen.planning.sections.balance.transfers import FAILED
from briefgen.planning.sections.basis.fuel import FUEL_SHEET
from briefgen.planning.sections.basis.navigation import ALTERNATE_LOG, LOG, PHASES
from briefgen.planning.sections.crew import COMMUNICATIONS, CONTINGENCIES, CREW
from briefgen.planning.sections.daylight import DAYLIGHT
from briefgen.planning.sections.engines_out.ceilings import CEILINGS
from briefgen.planning.sections.engines_out.drift import DRIFT_DOWN
from briefgen.planning.sections.engines_out.setting import SETTING
from briefgen.planning.sections.engines_out.waiting import WAITING
from briefgen.planning.sections.fields.landing import LANDING
from briefgen.planning.sections.fields.runway_figures import RUNWAYS
from briefgen.planning.sections.fields.speeds import SPEEDS
from briefgen.planning.sections.fields.take_off import BINDING
from briefgen.planning.sections.fields.take_off_advice import ATTITUDES, CHANGES
from briefgen.planning.sections.fields.take_off_rows import OBSTACLES, TAKE_OFF
from briefgen.planning.sections.go_around import GO_AROUND as GO_AROUND
from briefgen.planning.sections.oxygen import OXYGEN
from briefgen.planning.sections.power import POWER
from briefgen.planning.sections.power_advice import ADVICE
from briefgen.planning.sections.risks import RISKS
from briefgen.planning.sections.timing.delays import DELAYS
from briefgen.planning.sections.timing.points import LEGS as TIMED_LEGS
from briefgen.planning.sections.timing.points import TIMES
from briefgen.planning.sections.way_home.equal_time import EQUAL_TIMES
from briefgen.planning.sections.way_home.moments import MOMENTS as LAST_MOMENTS
from briefgen.planning.sections.way_home.places import POINTS
from briefgen.planning.sections.weather.ages import AGES
from briefgen.planning.sections.weather.field_winds import RUNWAY_WINDS
from briefgen.planning.sections.weather.fields import AIR as FIELD_AIR
from briefgen.planning.sections.weather.fields import FIELDS
from briefgen.planning.sections.weather.legs import LEGS as WEATHER_LEGS
from briefgen.planning.sections.weather.legs import SHEETS as CLOUD_SHEETS
from briefgen.planning.sections.weather.section import ISSUED

Maker = Callable[[Source], Iterable[Block | None]]

WIDE, TYPE_SIZE = 960.0, 15.0
FRONT_MAP, HALF = (760.0, 15.0, 0.86), (600.0, 14.0, 0.55)
Drawn = ChartName | Literal["map", "timeline", "fuel", "power"]
CHARTS: dict[Drawn, tuple[charts.DrawChart, float]] = {
    **{name: (charts.generic(name), 0.55) for name in get_args(ChartName)},
    "map": (route_map, 0.62),
    "timeline": (crew_timeline, 0.36),
    "profile": (charts.profile, 0.38),
    "fuel": (charts.fuel, 0.5),
    "runway": (charts.to_scale("runway"), 0.5),
    "power": (power_chart, 0.5),
}
NARROW, NARROW_TYPE, TALLER = (
    480.0,
    16.5,
    1.75,
)  # of the twin of a chart for a telephone: its type is over 11 pixels there

Shown = TableOf | View
Authored = Literal["situation", "execution", "weather", "communications", "emergencies", "load", "fuel"]


CARDS_OWN = "briefing."  # tables arranged for the cards alone: what they show stands on the pages in its own order


@dataclass(frozen=True)
class PageSpec:
    """The plan of one page; tables whose name begins with one of ``takes`` and that no page places land here."""

    name: str
    title: str
    makers: tuple[Maker, ...]
    takes: tuple[str, ...] = ()


# --- the words a page is written in -----------------------------------------------------------------------------------


def tables(*wanted: Shown) -> Maker:
    """Place declared tables."""
    return lambda source: [table(source, one, reasons=True) for one in wanted]


def families(*wanted: Shown) -> Maker:
    """Place every table of some families."""
    return lambda source: [block for one in wanted for block in tables_of(source, one)]


def chart(name: Drawn, size: tuple[float, float, float] = (WIDE, TYPE_SIZE, 0.0)) -> Maker:
    """Place a chart by name, in the size asked for: width, type size and ratio of height to width."""
    width, type_size, ratio = size
    return lambda source: [with_twin(source, name, chart_block(source, name, width, type_size, ratio))]


def with_twin(source: Source, name: Drawn, block: ChartBlock | None) -> ChartBlock | None:
    """Return a chart with its twin for a narrow screen."""
    if block is None:
        return None
    ratio = min(block.drawing.height / block.drawing.width * TALLER, 1.3)
    twin = chart_block(source, name, NARROW, NARROW_TYPE, ratio, ident="narrow")
    return replace(block, narrow=twin.drawing if twin else None)


def figures(title: str, wanted: Wanted) -> Maker:
    """Place key figures."""
    return lambda source: [key_figures(source, title, wanted, local="unit")]


def authored(title: str, *names: Authored) -> Maker:
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
    named = get_args(Authored)
    words = source.plan.mission.briefing
    return [prose(name.capitalize(), source.printed.text(text)) for name, text in words.items() if name not in named]


def page_findings(*names: FindingPage) -> Maker:
    """Place what the review says about a page, unless all is well."""
    return lambda source: [findings(source, "Review notes for this page", outcomes=("fail", "caution"), pages=names)]


def decisions(source: Source) -> list[Block | None]:
    """Place the moments at which something is decided."""
    return [timeline(source, "Decision times", kinds=("decision",))]


def chart_block(
    source: Source, name: Drawn, width: float, type_size: float, ratio: float = 0.0, ident: str = "chart"
) -> ChartBlock | None:
    """Return a chart of the plan in the size asked for; None where the plan has no data for it."""
    draw, own_ratio = CHARTS[name]
    whole = f"{ident}-{name.replace('.', '-')}"
    drawing = draw(source.plan, source.printed, Frame(width, width * (ratio or own_ratio), type_size, whole))
    return ChartBlock(drawing.title, drawing, name) if drawing else None


# --- the pages --------------------------------------------------------------------------------------------------------

SITE = (
    PageSpec("commander", COMMANDER_TITLE, (commander_blocks,)),
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
            authored("", "situation", "execution"),
            every_other_word,
            tables(CREW),
        ),
    ),
    PageSpec(
        "timeline",
        "Timeline",
        (
            page_findings("timeline"),
            figures("Times", SCHEDULE),
            chart("timeline"),
            lambda s: [timeline(s, "Phase by phase")],
        ),
    ),
    PageSpec(
        "phases", "Phases and times to be met", (tables(TIMES, TIMED_LEGS, DELAYS, PHASES),), ("timing", "phases")
    ),
    PageSpec(
        "route",
        "Route and navigation log",
        (page_findings("route"), chart("map"), tables(LOG, ALTITUDES), chart("profile")),
        ("legs", "altitudes"),
    ),
    PageSpec(
        "power",
        "Power table",
        (page_findings("power"), tables(POWER, GO_AROUND, ADVICE, SPEEDS), tables(FLUIDS)),
        ("power", "speeds", "fluids"),
    ),
    PageSpec("checklists", "Checklists", (checklists,)),
    PageSpec(
        "fuel",
        "Fuel",
        (
            page_findings("fuel"),
            tables(FUEL_SHEET),
            chart("fuel"),
            tables(POINTS, TANK_ORDER, CONTENTS, FAILED),
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
                FIELDS,
                FIELD_AIR,
                RUNWAY_WINDS,
                DAYLIGHT,
                WEATHER_LEGS,
                CLOUD_SHEETS,
                ISSUED,
            ),
            authored("", "weather"),
        ),
        ("weather", "daylight"),
    ),
    PageSpec(
        "balance",
        "Load and balance",
        (
            page_findings("balance", "load"),
            tables(LOAD),
            chart("envelope"),
            tables(MOMENTS),
            chart("balance_time"),
            tables(TRIM, STATIONS, MOVES),
            authored("", "load"),
        ),
        ("balance",),
    ),
    PageSpec(
        "fields",
        "Take-off and landing",
        (
            page_findings("fields"),
            tables(TAKE_OFF),
            chart("runway"),
            tables(LANDING, RUNWAYS, SPEEDS, OBSTACLES, BINDING, CHANGES, ATTITUDES),
        ),
        ("fields",),
    ),
    PageSpec(
        "diversions",
        "Diversions",
        (
            page_findings("diversions"),
            decisions,
            tables(POINTS, LAST_MOMENTS, EQUAL_TIMES),
            chart("way_home"),
            families(ALTERNATE_LOG),
            tables(OXYGEN, CONTINGENCIES),
            authored("", "emergencies"),
        ),
        ("way_home", "alternate", "oxygen", "contingencies"),
    ),
    PageSpec(
        "engines_out",
        "Engines stopped",
        (tables(CEILINGS, DRIFT_DOWN, SETTING, WAITING), chart("drift_down")),
        ("engines_out",),
    ),
    PageSpec("variations", "What if", (variations,)),
    PageSpec(
        "communications",
        "Communications and crew",
        (page_findings("communications", "crew"), tables(COMMUNICATIONS, CREW), authored("", "communications")),
        ("communications", "crew"),
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
            changes,
            accepted,
            tables(MARGINS, SENSITIVITIES, RISKS, CONTINGENCIES),
            tables(RESTS, EDGES, AGES),
            lambda s: [assumptions(s)],
            approval,
            lambda s: [met(s)],
            tables(SET_ASIDE, NOT_APPLICABLE),
        ),
        ("risks", "review"),
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
        if name not in placed and not name.startswith(CARDS_OWN):
            _home(made, name).append(
                table(source, source.plan.tables[name]) or NoteBlock(name, "This table has no rows.")
            )
    for name in source.plan.charts:
        if name not in drawn and (block := chart_block(source, name, WIDE, TYPE_SIZE)):
            _home(made, name).append(with_twin(source, name, block) or block)
    return tuple(Page(spec.name, spec.title, tuple(blocks), spec.name == "index") for spec, blocks in made if blocks)


def _home(made: Sequence[tuple[PageSpec, list[Block]]], name: str) -> list[Block]:
    """Return the blocks of the page that takes a table or chart by the first part, or at least the first word, of its name."""
    part = name.split(".", 1)[0]
    for first in (part, part.split("_", 1)[0]):
        for spec, blocks in made:
            if first in spec.takes:
                return blocks
    return next(blocks for spec, blocks in made if spec.name == "review")
