"""Which cards each position carries, in the order in which they are used, and what is on them.

A card holds what its reader needs in flight; what was weighed up beforehand (heights compared, moves of the load, the whole
review) stands on the site.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import get_args

from briefgen.document.cards.choosing import binding_legs, changes, defining, every_few, noted, on_one_card, said_once
from briefgen.document.cards.columns import in_halves, with_blanks
from briefgen.document.cards.dealing import Section, dealt
from briefgen.document.cards.layout import WIDTH
from briefgen.document.pages.contents import chart_block
from briefgen.document.parts.assemble import Source, aboard, checklists, findings_in_brief, key_figures, table, verdict
from briefgen.document.parts.blocks import BlanksBlock, Block, Card, Cell, NoteBlock, ProseBlock, TableBlock, TableRow
from briefgen.document.parts.moments import decisions, timeline
from briefgen.document.parts.prose import prose
from briefgen.model.ledger import Row
from briefgen.model.plan import POSITIONS
from briefgen.model.procedures import ChecklistPhase

CHART_TYPE_SIZE = 9.0
READ_ON_FOOT = (
    "outside inspection",
    "before entering",
    "leaving",
)  # lists that stand on the site's page, not on a card
# Who carries a section of a position that nobody fills, if not the co-pilot: the captain, what is decided by and answered for.
KEEPERS = {"Load": "captain", "Balance": "captain", "Way home": "captain"}
# Of a position that nobody fills: what each has its own of, what the timeline has too, what is weighed up on the ground.
STAYS_BEHIND = (
    "Summary",
    "Timeline",
    "Checklists",
    "Air, flaps and pumps",
    "Fuel graph",
    "Envelope",
    "Engine book",
    "Reports",
)
# Heads that cost a wide column on a card, in the words of the trade.
SHORT_HEADS = {"Indicated airspeed": "Speed", "Governing limit": "Limit", "At": "ETA"}

SUMMARY = (
    ("time.take_off", "Take-off"),
    ("time.over_target", "Target"),
    ("time.landing", "Landing"),
    ("duration.air", "In the air"),
    ("fuel.ramp", "Fuel at ramp"),
    ("fuel.required.total", "Fuel required"),
    ("fuel.margin", "Over required"),
    ("mass.take_off", "Take-off weight"),
    ("mass.landing", "Landing weight"),
)
LOAD_SUMMARY = (
    ("mass.ramp", "At ramp"),
    ("mass.take_off", "Take-off"),
    ("mass.landing", "Landing"),
    ("mass.zero_fuel", "Zero fuel"),
    ("balance.take_off.cg_mac", "CG take-off"),
    ("balance.landing.cg_mac", "CG landing"),
)
POWER = ("from", "phase", "mass", "rpm", "manifold_pressure", "mixture", "ias", "flow", "limit")
AIR_AND_PUMPS = (
    "phase",
    "cowl_flaps",
    "intercooler",
    "filters",
    "boost_pumps",
    "time_limit",
)  # what changes, where it does
NAVIGATION = (
    "reaching", "course_magnetic", "heading_compass", "altitude", "ground_speed", "distance", "duration", "end",
    "fuel_remaining_volume",
)  # fmt: skip
CO_PILOT_LOG = ("reaching", "altitude", "heading_compass", "ground_speed", "distance", "end", "fuel_remaining_volume")
FUEL_LOG = ("reaching", "end", "fuel_burn_volume", "fuel_remaining_volume")
WINDS = ("reaching", "wind_direction", "wind_speed", "temperature", "drift")
FIELD_WEATHER = ("field", "role", "time", "wind_from", "wind_speed", "ceiling", "visibility", "altimeter_setting")
KEY_STATES = ("moment", "mass", "cg_mac", "forward_margin", "aft_margin")
LOADS = ("item", "mass", "bay", "leaves")
LASHING = ("item", "straps_forward", "straps_aft", "straps_side", "straps_up")
TIME_RANGE = ("opens", "planned", "closes", "earliest", "latest", "fastest", "slowest")
DELAYS = ("lost", "bank", "radius", "out_45", "back_45", "out_60", "back_60")
DIVERSION = ("reaching", "altitude", "heading_compass", "distance", "duration", "end", "fuel_remaining_volume")
TAKE_OFF = ("what", "distance", "factored", "available", "margin")
LANDING = ("place", "runway", "mass", "threshold_ias", "factored", "available", "margin")
CEILINGS = ("leg", "mass", "safe_height", "service_one", "climb_ias_one", "service_two", "climb_ias_two")
DRIFT_DOWN = ("leg", "running", "ias", "from", "level_off", "outcome", "must_leave")
ENGINE_OUT_SETTING = ("leg", "running", "ias", "rpm", "manifold_pressure", "mixture", "flow_engine", "endurance")
WAITING = ("engines", "rpm", "manifold_pressure", "mixture", "flow", "endurance")
TANKS = ("order", "tank", "feeds", "start", "unusable")
SUPPLIES = ("supply", "capacity", "unit", "lasts", "remarks")
LIGHT = ("place", "time", "light", "dawn", "sunrise", "sunset", "dusk", "moon")
# The items of a position report in the order in which they are passed: ICAO Doc 4444, 4.11.2 (from memory).
POSITION_REPORT = ("Aircraft", "Position", "Time over", "Altitude", "Next position", "Time over next", "Position after")
# Common practice, no published source.
ENGINE_BOOK = ("Oil in, US gal", "Oil out, US gal", "Dilution, min", "Time of dilution", "Defects", "Signature")
FIELD_NOTES = ("Information letter", "Altimeter setting", "Wind", "Runway", "Visibility", "Cloud base")


def all_cards(source: Source) -> tuple[Card, ...]:
    """Return the cards of every position aboard, position by position.

    What the cards of a position that nobody fills would hold goes to the co-pilot, the load and the way home to the captain,
    unless they carry it already; its items of the checklists go to the captain, as its events do. What is only looked at before take-off stays
    on the site then.
    """
    makers = {
        "captain": _captain,
        "co-pilot": _co_pilot,
        "flight engineer": _flight_engineer,
        "navigator": _navigator,
        "radio operator": _radio_operator,
        "loadmaster": _loadmaster,
    }
    decks = {position: list(makers[position](source)) for position in POSITIONS}
    crew = aboard(source.plan)
    for other in (position for position in POSITIONS if position not in crew):
        for section in decks[other]:
            wanted = KEEPERS.get(section.title, "co-pilot")
            keeper = wanted if wanted in crew else crew[0]
            carried = {known.title for name in (keeper, "captain") if name in crew for known in decks[name]}
            if "navigator" in crew:
                carried.add("Fuel log")  # the navigator's log has room for time and fuel
            if section.title not in (*STAYS_BEHIND, *carried):
                decks[keeper].append(replace(section, alone=False))
    if "co-pilot" in crew:  # whose own cards end with the one held sideways
        decks["co-pilot"].sort(key=lambda section: section.sideways)
    cards: list[Card] = []
    for position in crew:
        cards += dealt(position, [section for section in decks[position] if section.blocks])
    return tuple(cards)


# --- the decks --------------------------------------------------------------------------------------------------------


def _captain(source: Source) -> Iterable[Section]:
    return [
        _summary(source),
        _timeline(source, "captain"),
        *_fields(source),
        _power(source),
        _engine_out(source),
        *_diversion(source),
        _checklists(source, "captain"),
        _section(
            "Situation and execution",
            *_purpose_apart(source),
            *_words(source, "situation", "execution"),
            table(source, "crew"),
        ),
    ]


def _co_pilot(source: Source) -> Iterable[Section]:
    log = _short(source, table(source, "legs", CO_PILOT_LOG, title=""))
    return [
        _summary(source),
        _timeline(source, "co-pilot"),
        *_fields(source),
        _section("Navigation log", log if "navigator" in aboard(source.plan) else with_blanks(log, "Actual time")),
        _section("Communications", table(source, "communications")),
        *_diversion(source),
        _checklists(source, "co-pilot"),
        _engine_out(source),
    ]


def _flight_engineer(source: Source) -> Iterable[Section]:
    tanks = table(source, "fuel.tank_order", TANKS, rows=lambda row: source.printed[row.cells["start"]] != "0")
    return [
        _power(source),
        _engine_out_setting(source),
        _timeline(source, "flight engineer"),
        _section("Fuel and supplies", _plain(table(source, "fuel.required")), tanks, _plain(table(source, "fluids", SUPPLIES)), alone=True),
        _section("Fuel log", with_blanks(_short(source, table(source, "legs", FUEL_LOG, title="")), "Actual time", "Actual fuel")),
        _section("Engine book", BlanksBlock("Engine book", ENGINE_BOOK)),
        _section("Fuel graph", _chart(source, "fuel", 0.66)),
        _section("Air, flaps and pumps", changes(_short(source, table(source, "power", AIR_AND_PUMPS, title="Air, flaps and pumps, where they change")))),
        _checklists(source, "flight engineer"),
    ]  # fmt: skip


def _navigator(source: Source) -> Iterable[Section]:
    return [
        _navigation_log(source),
        _section("Way home", every_few(defining(table(source, "way_home.points"))), *_equal_times(source), sideways=True),
        _section("Map and profile", _chart(source, "map", 0.78), _chart(source, "profile", 0.44)),
        _timeline(source, "navigator"),
        _section("Winds", changes(_short(source, table(source, "legs", WINDS, title="Winds used, where they change", rows=_has_wind)))),
        _section("Daylight", table(source, "daylight", LIGHT)),
        _section("Time control", table(source, "timing", TIME_RANGE), table(source, "timing.legs"),
                 table(source, "timing.delays", DELAYS)),
        _checklists(source, "navigator"),
    ]  # fmt: skip


def _has_wind(row: Row) -> bool:
    return bool(row.cells.get("wind_direction"))


def _radio_operator(source: Source) -> Iterable[Section]:
    return [
        _section("Communications", table(source, "communications"), *_words(source, "communications")),
        _section("Field weather", table(source, "weather.fields", FIELD_WEATHER)),
        _timeline(source, "radio operator"),
        _section(
            "Reports",
            BlanksBlock("Position report, first", POSITION_REPORT),
            BlanksBlock("Position report, second", POSITION_REPORT),
            BlanksBlock("Position report, third", POSITION_REPORT),
            BlanksBlock("Field information", FIELD_NOTES),
            alone=True,
        ),
        _checklists(source, "radio operator"),
    ]


def _loadmaster(source: Source) -> Iterable[Section]:
    moments = table(
        source, "balance.states", KEY_STATES, rows=lambda row: not row.name[:2].isdigit() and "zero" not in row.name
    )
    return [
        _section("Load", key_figures(source, "", LOAD_SUMMARY), table(source, "balance.load", LOADS),
                 table(source, "balance.load", LASHING, title="Straps"), *_words(source, "load")),
        _section("Balance", moments, table(source, "balance.trim")),
        _section("Envelope", _chart(source, "envelope", 1.1)),
        _timeline(source, "loadmaster"),
        _checklists(source, "loadmaster"),
    ]  # fmt: skip


# --- sections that several positions share ----------------------------------------------------------------------------


def _section(title: str, *blocks: Block | None, alone: bool = False, sideways: bool = False) -> Section:
    return Section(title, tuple(block for block in blocks if block is not None), alone, sideways)


def _plain(block: TableBlock | None) -> TableBlock | None:
    """Return a table without its note, which says where the figures are from."""
    return replace(block, note="") if block else None


def _short(source: Source, block: TableBlock | None) -> TableBlock | None:
    """Return a table whose rows are named without the places that the rows before and after make plain, heads in short."""
    if block is None:
        return None
    mission = source.plan.mission
    names = {mission.route.origin.name, mission.route.destination.name, *(place.name for place in mission.places)}
    tail = re.compile(rf" (?:from|over|at) (?:{'|'.join(re.escape(name) for name in sorted(names))})(?: runway \w+)?$")
    rows = tuple(
        replace(row, cells=tuple(replace(c, text=tail.sub("", c.text)) for c in row.cells)) for row in block.rows
    )
    heads = tuple(replace(head, text=SHORT_HEADS.get(head.text, head.text)) for head in block.heads)
    return replace(block, heads=heads, rows=rows)


def _common_end(block: TableBlock, index: int) -> TableBlock:
    """Return a table whose note says once what every cell of a column ends with, such as the fuel all limits are for."""
    texts = {row.cells[index].text for row in block.rows if row.cells[index].text}
    ends = {text.rpartition(" on ")[2] for text in texts if " on " in text}
    if len(ends) != 1 or not all(" on " in text for text in texts):
        return block
    end = ends.pop()
    rows = tuple(
        replace(
            row,
            cells=tuple(
                replace(c, text=c.text.removesuffix(f" on {end}")) if i == index else c for i, c in enumerate(row.cells)
            ),
        )
        for row in block.rows
    )
    return replace(block, rows=rows, note=" ".join(filter(None, (f"Limits: on {end}.", block.note))))


def _chart(source: Source, name: str, ratio: float) -> Block | None:
    return chart_block(source, name, WIDTH, CHART_TYPE_SIZE, ratio)


def _words(source: Source, *names: str) -> list[Block]:
    words = source.plan.mission.briefing
    return [prose(name.capitalize(), source.printed.text(words[name])) for name in names if name in words]


def _summary(source: Source) -> Section:
    _, _, sentence = verdict(source.plan)
    blocks = (
        key_figures(source, "", SUMMARY, local="label"),
        findings_in_brief(source, f"Review: {sentence[:1].lower()}{sentence[1:]}") or NoteBlock("Review", sentence),
        decisions(source, "Decision times"),
    )
    return _section("Summary", *on_one_card([block for block in blocks if block is not None], _purpose(source)))


def _purpose(source: Source) -> ProseBlock | None:
    purpose = source.plan.mission.purpose
    return prose("Purpose", source.printed.text(purpose)) if purpose else None


def _purpose_apart(source: Source) -> list[Block]:
    """Return the purpose where the summary has no room for it."""
    purpose = _purpose(source)
    return [purpose] if purpose is not None and purpose not in _summary(source).blocks else []


def _timeline(source: Source, position: str) -> Section:
    return _section("Timeline", timeline(source, "", position), alone=True)


def _checklists(source: Source, position: str) -> Section:
    crew = aboard(source.plan)
    answers_for = [other for other in POSITIONS if other not in crew] if position == "captain" else []
    phases = [one for one in get_args(ChecklistPhase) if one not in READ_ON_FOOT]
    if not any(phase.kind == "run" for phase in source.plan.phases):
        phases.remove("drop")
    return _section("Checklists", *checklists(source, phases, (position, *answers_for)))


def _fields(source: Source) -> list[Section]:
    return [
        _section("Speeds", in_halves(table(source, "speeds", ("what", "ias"), title="Speeds"))),
        _section(
            "Take-off and landing", table(source, "fields.take_off", TAKE_OFF), table(source, "fields.landing", LANDING)
        ),
    ]


def _power(source: Source) -> Section:
    """Return the power table on a card held sideways, so that every setting stands on one line."""
    block = _short(source, table(source, "power", POWER, title=""))
    if "flight engineer" not in aboard(source.plan):
        block = noted(changes(block, "Speed"), "Where the height or the speed changes; the timeline has each leg.")
    block = _common_end(block, len(block.heads) - 1) if block else None
    return _section("Power table", block, alone=True, sideways=True)


def _diversion(source: Source) -> list[Section]:
    ways = [table(source, name, DIVERSION) for name in source.plan.tables if name.startswith("alternate.")]
    wrong = [table(source, "contingencies"), *_words(source, "emergencies")]
    return [_section("Diversion", *ways), _section("If it goes wrong", *wrong)]


def _engine_out(source: Source) -> Section:
    kept, words = binding_legs(source)
    ceilings = table(source, "engines_out", CEILINGS, rows=kept)
    drift = table(source, "engines_out.drift_down", DRIFT_DOWN, rows=kept)
    return _section("Engine out", noted(_compact(ceilings), words), _compact(drift), sideways=True)


def _engine_out_setting(source: Source) -> Section:
    kept, words = binding_legs(source)
    setting = table(source, "engines_out.setting", ENGINE_OUT_SETTING, rows=kept)
    waiting = defining(table(source, "engines_out.waiting", WAITING))
    return _section("Engine out", noted(_compact(setting), words), waiting, sideways=True)


def _compact(block: TableBlock | None) -> TableBlock | None:
    return said_once(defining(block))


def _equal_times(source: Source) -> Sequence[Block | None]:
    return [
        defining(table(source, name))
        for name in source.plan.tables
        if name.startswith("way_home.") and name != "way_home.points"
    ]


def _navigation_log(source: Source) -> Section:
    """Return the navigation log with its totals and room to write, on a card held sideways."""
    block = with_blanks(_short(source, table(source, "legs", NAVIGATION, title="")), "Actual time", "Actual fuel")
    if block is None:
        return _section("Navigation log")
    total = _total(source, block, source.plan.tables["legs"].rows[-1])
    return _section("Navigation log", replace(block, rows=(*block.rows, total)), alone=True, sideways=True)


def _total(source: Source, block: TableBlock, last: Row) -> TableRow:
    """Return the row of totals of the navigation log: miles, hours and fuel from take-off to landing."""
    trip = "fuel.required.trip_volume"
    cells = [Cell(f"Total, {source.printed.quoted(trip)} burnt" if trip in source.printed else "Total")]
    for head in block.heads[1:]:
        key = {"Distance": last.cells.get("cumulative", ""), "Time": "duration.air"}.get(head.text, "")
        cells.append(Cell(source.printed[key], key) if key in source.printed else Cell(""))
    return TableRow(tuple(cells), "total")
