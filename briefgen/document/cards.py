"""Which cards each position carries, in the order in which they are used, and what is on them."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.document.assemble import (
    Source,
    checklists,
    findings,
    key_figures,
    table,
    timeline,
    verdict,
    without_empty_tanks,
)
from briefgen.document.blocks import BlanksBlock, Block, Card, NoteBlock
from briefgen.document.layout import WIDTH, Section, dealt, with_blanks
from briefgen.document.pages import chart_block
from briefgen.document.prose import prose
from briefgen.model.plan import POSITIONS

CHART_TYPE_SIZE = 9.0

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
# Wide tables are dealt over narrow ones, each of what is looked at together.
LEVERS = ("phase", "from", "ias", "rpm", "manifold_pressure", "mixture", "flow_engine")
ENGINE_CARE = ("phase", "cowl_flaps", "blower", "intercooler", "filters", "boost_pumps", "time_limit")
POWER_STATE = ("phase", "mass", "mixture_change_mass", "flow", "margin", "limit")
COURSES = (
    "to",
    "course",
    "variation",
    "wind_direction",
    "wind_speed",
    "drift",
    "heading_magnetic",
    "heading_compass",
)
TIMES = ("to", "distance", "ground_speed", "duration", "end")
FUEL_LOG = ("to", "end", "fuel_burn_volume", "fuel_remaining_volume")
LEG_WEATHER = ("to", "wind_direction", "wind_speed", "temperature", "carburettor_ice", "airframe_ice")
STATES = ("moment", "mass", "cg", "cg_mac", "forward_margin", "aft_margin")
TIME_RANGE = ("opens", "planned", "closes", "earliest", "latest", "fastest", "slowest")
DELAYS = ("lost", "bank", "radius", "laps", "leg", "out_45", "back_45", "out_60", "back_60")
DIVERSION = ("to", "altitude", "heading_compass", "distance", "duration", "end", "fuel_remaining_volume")
CEILINGS = ("leg", "mass", "safe_height", "height_held", "service_one", "service_two")
DRIFT_DOWN = ("leg", "running", "ias", "from", "level_off", "outcome", "over_safe", "must_leave")
ENGINE_OUT_SETTING = ("leg", "running", "ias", "rpm", "manifold_pressure", "mixture", "flow_engine", "endurance")
LIGHT = ("place", "time", "light", "dawn", "sunrise", "sunset", "dusk", "moon")
# The items of a position report in the order in which they are passed: ICAO Doc 4444, 4.11.2 (from memory).
POSITION_REPORT = ("Aircraft", "Position", "Time over", "Altitude", "Next position", "Time over next", "Position after")
# Common practice, no published source.
ENGINE_BOOK = ("Oil in, US gal", "Oil out, US gal", "Dilution, min", "Time of dilution", "Defects", "Signature")
FIELD_NOTES = ("Information letter", "Altimeter setting", "Wind", "Runway", "Visibility", "Cloud base")


def all_cards(source: Source) -> tuple[Card, ...]:
    """Return the cards of every position, position by position."""
    cards: list[Card] = []
    for position in POSITIONS:
        cards += dealt(position, _sections(source, position))
    return tuple(cards)


def _sections(source: Source, position: str) -> list[Section]:
    makers = {
        "captain": _captain,
        "co-pilot": _co_pilot,
        "flight engineer": _flight_engineer,
        "navigator": _navigator,
        "radio operator": _radio_operator,
        "loadmaster": _loadmaster,
    }
    return [section for section in makers[position](source) if section.blocks]


def _section(title: str, *blocks: Block | None) -> Section:
    return Section(title, tuple(block for block in blocks if block is not None))


def _tables_under(source: Source, prefix: str) -> list[Block | None]:
    return [table(source, name) for name in source.plan.tables if name.startswith(prefix)]


def _chart(source: Source, name: str, ratio: float) -> Block | None:
    return chart_block(source, name, WIDTH, CHART_TYPE_SIZE, ratio)


def _words(source: Source, *names: str) -> list[Block]:
    words = source.plan.mission.briefing
    return [prose(name.capitalize(), source.printed.text(words[name])) for name in names if name in words]


def _summary(source: Source) -> Section:
    _, sign, sentence = verdict(source.plan)
    purpose = source.plan.mission.purpose
    return _section(
        "Summary",
        key_figures(source, "", SUMMARY, local="label"),
        NoteBlock("Review", f"{sign} {sentence}"),
        timeline(source, "Decision times", kinds=("decision",)),
        prose("Purpose", source.printed.text(purpose)) if purpose else None,
    )


def _timeline(source: Source, position: str) -> Section:
    return _section("Timeline", timeline(source, "", position))


def _checklist_section(source: Source, position: str) -> Section:
    return _section("Checklists", *checklists(source, position=position))


def _fields(source: Source) -> Section:
    return _section(
        "Take-off and landing",
        table(source, "speeds"),
        table(source, "fields.take_off"),
        table(source, "fields.landing"),
        table(source, "fields.runways"),
    )


def _diversion(source: Source) -> Section:
    alternates = [name for name in source.plan.tables if name.startswith("alternate.")]
    return _section(
        "Diversion",
        table(source, "way_home.points"),
        *(table(source, name, DIVERSION) for name in alternates),
        table(source, "contingencies"),
        *_words(source, "emergencies"),
    )


def _engine_out(source: Source) -> Section:
    return _section(
        "Engine out",
        table(source, "engines_out", CEILINGS),
        table(source, "engines_out.drift_down", DRIFT_DOWN),
    )


def _captain(source: Source) -> Iterable[Section]:
    return [
        _summary(source),
        _section("Situation and execution", *_words(source, "situation", "execution"), table(source, "crew")),
        _section("Review notes", findings(source, "", outcomes=("fail", "caution"))),
        _timeline(source, "captain"),
        _fields(source),
        _section("Power table", table(source, "power", LEVERS)),
        _diversion(source),
        _engine_out(source),
        _section("Risks", table(source, "risks", ("what", "level", "mitigation", "level_left", "owner"))),
        _checklist_section(source, "captain"),
    ]


def _co_pilot(source: Source) -> Iterable[Section]:
    return [
        _summary(source),
        _timeline(source, "co-pilot"),
        _fields(source),
        _section("Navigation log", table(source, "legs", ("to", "altitude", "heading_compass", *TIMES[1:]))),
        _section("Communications", table(source, "communications")),
        _diversion(source),
        _engine_out(source),
        _checklist_section(source, "co-pilot"),
    ]


def _flight_engineer(source: Source) -> Iterable[Section]:
    return [
        _section("Power table", table(source, "power", LEVERS), table(source, "power", ENGINE_CARE, title="Flaps, air and pumps"),
                 table(source, "power", POWER_STATE, title="Flow and limits"), table(source, "climb")),
        _timeline(source, "flight engineer"),
        _section("Fuel", table(source, "fuel.required"), table(source, "fuel.tank_order"), table(source, "fluids")),
        _section("Tanks", without_empty_tanks(table(source, "fuel.tanks"))),
        _section("Fuel log", with_blanks(table(source, "legs", FUEL_LOG), "Actual time", "Actual fuel")),
        _section("Fuel graph", _chart(source, "fuel", 1.1)),
        _section("Engine out and speeds", table(source, "engines_out.setting", ENGINE_OUT_SETTING),
                 table(source, "engines_out.waiting"), table(source, "engines_out.drift_down", DRIFT_DOWN),
                 table(source, "speeds")),
        _section("Checklists and book", *checklists(source, position="flight engineer"), BlanksBlock("Engine book", ENGINE_BOOK)),
    ]  # fmt: skip


def _navigator(source: Source) -> Iterable[Section]:
    return [
        _section("Courses", table(source, "legs", COURSES)),
        _section("Navigation log", with_blanks(table(source, "legs", TIMES, title="Times"), "Actual", "Wind found")),
        _section("Map and profile", _chart(source, "map", 0.73), _chart(source, "profile", 0.42)),
        _timeline(source, "navigator"),
        _section("Time control", table(source, "timing", TIME_RANGE), table(source, "timing.legs"),
                 table(source, "timing.delays", DELAYS)),
        _section("Way home", *_tables_under(source, "way_home"),
                 timeline(source, "Decision times", kinds=("decision",)), _chart(source, "way_home", 0.6)),
        _section("Weather and daylight", table(source, "weather.legs", LEG_WEATHER), table(source, "daylight", LIGHT),
                 table(source, "altitudes")),
    ]  # fmt: skip


def _radio_operator(source: Source) -> Iterable[Section]:
    return [
        _section("Communications", table(source, "communications"), *_words(source, "communications")),
        _timeline(source, "radio operator"),
        _section("Field weather", table(source, "weather.fields"), table(source, "weather.issued")),
        _section(
            "Reports",
            BlanksBlock("Position report, first", POSITION_REPORT),
            BlanksBlock("Position report, second", POSITION_REPORT),
            BlanksBlock("Field information", FIELD_NOTES),
        ),
        _checklist_section(source, "radio operator"),
    ]


def _loadmaster(source: Source) -> Iterable[Section]:
    return [
        _section(
            "Load", key_figures(source, "Weights", LOAD_SUMMARY), table(source, "balance.load"), *_words(source, "load")
        ),
        _section("Envelope", _chart(source, "envelope", 0.9)),
        _section("Balance", table(source, "balance.states", STATES), table(source, "balance.trim")),
        _section("Stations", table(source, "balance.stations"), table(source, "balance.moves")),
        _timeline(source, "loadmaster"),
        _checklist_section(source, "loadmaster"),
    ]
