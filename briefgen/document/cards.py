"""Which cards each position carries, in the order in which they are used, and what is on them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from briefgen.document.assemble import Source, checklists, findings, key_figures, table, timeline, verdict
from briefgen.document.blocks import BlanksBlock, Block, Card, NoteBlock
from briefgen.document.layout import WIDTH, Section, dealt, with_blanks
from briefgen.document.pages import chart_block
from briefgen.document.prose import prose
from briefgen.model.plan import POSITIONS

CHART_TYPE_SIZE = 9.0

SUMMARY = (
    ("time.take_off", "Take-off"),
    ("time.over_target", "Over target"),
    ("time.landing", "Landing"),
    ("route.distance", "Distance"),
    ("route.time", "Time in the air"),
    ("fuel.ramp", "Fuel at ramp"),
    ("fuel.required.total", "Fuel required"),
    ("fuel.margin", "Fuel over required"),
    ("mass.take_off", "Take-off weight"),
)
LOAD_SUMMARY = (
    ("mass.ramp", "At ramp"),
    ("mass.take_off", "Take-off"),
    ("mass.landing", "Landing"),
    ("mass.zero_fuel", "Zero fuel"),
    ("balance.take_off.cg", "CG take-off"),
    ("balance.landing.cg", "CG landing"),
)
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


def _chart(source: Source, name: str, ratio: float) -> Block | None:
    return chart_block(source, name, WIDTH, CHART_TYPE_SIZE, ratio)


def _words(source: Source, *names: str) -> list[Block]:
    words = source.plan.mission.briefing
    return [prose(name.capitalize(), source.printed.text(words[name])) for name in names if name in words]


def _summary(source: Source) -> Section:
    outcome, sign, sentence = verdict(source.plan)
    return _section(
        "Summary",
        key_figures(source, "", SUMMARY),
        NoteBlock("Review", f"{sign} {sentence}"),
        table(source, "decisions"),
        *([prose("Purpose", source.printed.text(source.plan.mission.purpose))] if source.plan.mission.purpose else []),
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
    )


def _diversion(source: Source) -> Section:
    return _section(
        "Diversion and engine-out",
        table(source, "way_home"),
        table(source, "decisions"),
        table(source, "engines_out"),
        table(source, "contingencies"),
        *_words(source, "emergencies"),
    )


def _power(source: Source) -> Section:
    return _section("Power table", table(source, "power"), table(source, "climb"))


def _captain(source: Source) -> Iterable[Section]:
    return [
        _summary(source),
        _section("Situation and execution", *_words(source, "situation", "execution"),
                 findings(source, "Review notes", outcomes=("fail", "caution"))),
        _timeline(source, "captain"),
        _fields(source),
        _power(source),
        _diversion(source),
        _section("Risks", table(source, "risks")),
        _checklist_section(source, "captain"),
    ]  # fmt: skip


def _co_pilot(source: Source) -> Iterable[Section]:
    return [
        _summary(source),
        _timeline(source, "co-pilot"),
        _fields(source),
        _section("Navigation log", table(source, "legs", _columns_of(source, "legs", TIMES))),
        _diversion(source),
        _checklist_section(source, "co-pilot"),
    ]


def _flight_engineer(source: Source) -> Iterable[Section]:
    return [
        _power(source),
        _timeline(source, "flight engineer"),
        _section("Fuel", table(source, "fuel.required"), table(source, "fuel.tanks")),
        _section("Fuel log", with_blanks(table(source, "fuel.points"), "Actual"), _chart(source, "fuel", 0.72)),
        _section("Engine out", table(source, "engines_out"), table(source, "speeds")),
        _section("Book", BlanksBlock("Engine book", ENGINE_BOOK)),
        _checklist_section(source, "flight engineer"),
    ]


# The navigation log is dealt over narrow tables, each of what is looked at together.
COURSES = (
    "to",
    "track",
    "track_true",
    "variation",
    "drift",
    "heading",
    "heading_magnetic",
    "compass",
    "altitude",
    "ias",
)
TIMES = ("to", "distance", "ground_speed", "time", "eta", "eto", "arrival")


def _columns_of(source: Source, name: str, wanted: Sequence[str]) -> tuple[str, ...]:
    found = source.plan.tables.get(name)
    have = {column.name for column in found.columns} if found else set()
    return tuple(column for column in wanted if column in have)


def _navigator(source: Source) -> Iterable[Section]:
    times = table(source, "legs", _columns_of(source, "legs", TIMES), title="Times")
    return [
        _section("Navigation log", table(source, "legs"), with_blanks(times, "Actual", "Wind found")),
        _section("Map and profile", _chart(source, "map", 0.73), _chart(source, "profile", 0.42)),
        _timeline(source, "navigator"),
        _section("Way home", table(source, "way_home"), table(source, "way_home.points"), table(source, "decisions")),
        _section(
            "Weather and daylight", table(source, "weather.legs"), table(source, "daylight"), table(source, "altitudes")
        ),
    ]


def _radio_operator(source: Source) -> Iterable[Section]:
    return [
        _section("Communications", table(source, "communications"), *_words(source, "communications")),
        _section(
            "Position reports",
            BlanksBlock("Position report, first", POSITION_REPORT),
            BlanksBlock("Position report, second", POSITION_REPORT),
            BlanksBlock("Field information", FIELD_NOTES),
        ),
        _timeline(source, "radio operator"),
        _section("Field weather", table(source, "weather.fields")),
        _checklist_section(source, "radio operator"),
    ]


def _loadmaster(source: Source) -> Iterable[Section]:
    return [
        _section(
            "Load", key_figures(source, "Weights", LOAD_SUMMARY), table(source, "balance.load"), *_words(source, "load")
        ),
        _section("Balance", table(source, "balance.states"), _chart(source, "envelope", 0.7)),
        _section("Stations", table(source, "balance.stations")),
        _timeline(source, "loadmaster"),
        _checklist_section(source, "loadmaster"),
    ]
