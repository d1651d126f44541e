"""Where she can go: the runway and the wind as the compass shows them, what is forecast, and what the field has."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.kernel.geodesy import geodesic_distance
from briefgen.kernel.magnetism import decimal_year, magnetic_variation_deg, true_to_magnetic
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.places import Place, Runway
from briefgen.model.plan import Node
from briefgen.model.record import Record, Ref, figure, rests_on
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import PLACES, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import MAGNETIC_MODEL, PhaseFigures
from briefgen.planning.sections.crew import ContactFigures
from briefgen.planning.sections.weather.air import AirFigures
from briefgen.planning.sections.weather.field_winds import FieldWind, UseLabels
from briefgen.planning.sections.weather.fields import FieldWeatherFigures, MinimaFigures
from briefgen.planning.sections.weather.section import WeatherSection

REACH_M = 185_200.0  # a field passed within 100 NM is worth a line
MOST_PASSED = 3
GIVEN = "given with the place"


class FieldCard(Record):
    """One field of the plan at its time of use."""

    def __init__(self, field: FieldWeatherFigures) -> None:
        use = field.weather.use
        self.at, self.title, self.name, self.use = f"briefing.field.{use.name}", use.title, use.place.name, use
        self.labels, self.wind, self.minima, self.air = field.labels, field.wind, field.minima, field.air

    @figure("%(title)s: name", how=GIVEN)
    def place(self) -> str:
        return self.name

    @figure("%(title)s: variation", "deg", decimals=1, how="east positive, on the day", source=MAGNETIC_MODEL)
    def variation(self) -> float:
        rest_on_groups(PLACES)
        place = self.use.place
        year = decimal_year(self.use.instant.date())
        return magnetic_variation_deg(place.lat_deg, place.lon_deg, place.elevation_m or 0.0, year)

    @figure("%(title)s: runway heading", "degM", how="true less easterly variation")
    def runway_heading(self) -> float:
        return true_to_magnetic(self.use.runway.heading_true_deg, self.variation)

    @figure("%(title)s: wind from", "degM", how="true less easterly variation")
    def wind_from(self) -> float:
        return true_to_magnetic(self.wind.wind_from, self.variation)

    @figure("%(title)s: runway", how=GIVEN)
    def runway(self) -> str:
        rest_on_groups(PLACES)
        return self.use.runway.name

    @figure("%(title)s: length of the runway", "ft", how=GIVEN)
    def length(self) -> float:
        rest_on_groups(PLACES)
        return self.use.runway.length_m

    @figure("%(title)s: what the field has", how=GIVEN)
    def has(self) -> str:
        return has_words(self.use.place, self.use.runway)

    @figure("%(title)s: forecast in words", how="lowest ceiling and visibility about the time of use")
    def forecast(self) -> str:
        ceiling = MinimaFigures.ceiling.or_none(self.minima)
        visibility = MinimaFigures.visibility.or_none(self.minima)
        known = [one for one in (ceiling, visibility) if one is not None and one != "not forecast"]
        if not known:
            return "no forecast"
        lowest = "no ceiling" if ceiling == "none" else f"ceiling {MinimaFigures.ceiling.of(self.minima)}"
        return f"{lowest}, {MinimaFigures.visibility.of(self.minima)}"

    @figure("%(title)s: minima in words", how=GIVEN)
    def needs(self) -> str:
        rests_on(self.minima.minimum_ceiling, self.minima.minimum_visibility)
        one = MinimaFigures
        return f"needs {one.minimum_ceiling.of(self.minima)} and {one.minimum_visibility.of(self.minima)}"


class PassedField(Record):
    """A field passed on the way of which the plan asks nothing: where it lies and what it has."""

    def __init__(self, mission: Mission, place: Place, flown: PhaseFigures, nearest: Node, away_m: float) -> None:
        self.at, self._place, self.name = f"briefing.passed.{place.ident.lower()}", place, place.name
        self._flown, self._nearest, self._away_m, self._mission = flown, nearest, away_m, mission
        self.longest: Runway = max(place.runways, key=lambda one: one.length_m)

    @figure("%(name)s: name", how=GIVEN)
    def place(self) -> str:
        return self.name

    @figure("%(name)s: nearest at", "UTC", how="point of the flight nearest to it")
    def time(self) -> datetime:
        rests_on(self._flown.begin, self._flown.end)
        rest_on_groups(PLACES)
        return self._nearest.instant

    @figure("%(name)s: off the route", "NM", how="from the nearest point of the flight")
    def away(self) -> float:
        rests_on(self._flown.end)
        rest_on_groups(PLACES)
        return self._away_m

    @figure("%(name)s: runway", how=GIVEN)
    def runway(self) -> str:
        rest_on_groups(PLACES)
        return self.longest.name

    @figure("%(name)s: length of the runway", "ft", how=GIVEN)
    def length(self) -> float:
        rest_on_groups(PLACES)
        return self.longest.length_m

    @figure("%(name)s: what the field has", how=GIVEN)
    def has(self) -> str:
        return has_words(self._place, self.longest)

    @figure("%(name)s: forecast in words", how="aerodrome forecasts of the weather file")
    def forecast(self) -> str:
        known = any(one.ident == self._place.ident for one in self._mission.weather.forecasts)
        return "see the forecast" if known else "no forecast"


def has_words(place: Place, runway: Runway) -> str:
    """Return surface, lights and fuel of a field in words, noted as read."""
    rest_on_groups(PLACES)
    lights = "no lights" if runway.lights == "none" else f"lights: {runway.lights}"
    return f"{runway.surface}; {lights}; fuel: {', '.join(place.fuel_grades) or 'none'}"


NAME, ROLE = column(FieldCard.place, "Field", name="field"), column(UseLabels.role, "For", through="labels")
RUNWAY, HEADING = column(FieldCard.runway, "Runway"), column(FieldCard.runway_heading, "Runway", "degM")
WIND_FROM, WIND = column(FieldCard.wind_from, "Wind"), column(FieldWind.wind_speed, "Wind", through="wind")
SETTING = column(AirFigures.altimeter_setting, "Altimeter", through="air")
TEMPERATURE = column(AirFigures.temperature, "Air", through="air")
CEILING, VISIBILITY = column(MinimaFigures.ceiling, "Ceiling", through="minima"), column(MinimaFigures.visibility, "Visibility", through="minima")  # fmt: skip
LEAST_CEILING = column(MinimaFigures.minimum_ceiling, "least", through="minima")
LEAST_VISIBILITY = column(MinimaFigures.minimum_visibility, "least", through="minima")
MINIMA = column(MinimaFigures.minima, "Minima", through="minima")
LENGTH, HAS = column(FieldCard.length, "Length"), column(FieldCard.has, "Has")
FORECAST, NEEDS = column(FieldCard.forecast, "Forecast"), column(FieldCard.needs, "Needs")
TIME, CALL = ColumnOf("time", "At", "UTC"), ColumnOf("call", "Call", "MHz")
FIELD_CARDS = TableOf(
    "briefing.fields", "Fields of the plan",
    (NAME, ROLE, TIME, CALL, RUNWAY, HEADING, WIND_FROM, WIND, SETTING, TEMPERATURE, CEILING, LEAST_CEILING, VISIBILITY,
     LEAST_VISIBILITY, MINIMA, LENGTH, HAS, FORECAST, NEEDS),
)  # fmt: skip
PASSED = TableOf(
    "briefing.passed", "Fields passed",
    (column(PassedField.place, "Field", name="field"), column(PassedField.time, "Nearest at"),
     column(PassedField.away, "Off the route"), column(PassedField.runway, "Runway"), column(PassedField.length, "Length"),
     column(PassedField.has, "Has"), column(PassedField.forecast, "Forecast")),
)  # fmt: skip


def write_fields(mission: Mission, log: Navigation, weather: WeatherSection, writer: LedgerWriter) -> list[FieldCard]:
    """Enter the fields of the plan and those passed."""
    cards = [FieldCard(one) for one in weather.fields.fields]
    rows: list[Row] = []
    for card in cards:
        writer.adopt(card)
        others: dict[ColumnOf, Ref] = {TIME: card.use.time}
        if (call := _call(mission, card.use.place)) is not None:
            others[CALL] = call
        rows.append(FIELD_CARDS.row(card.use.name, card, card.use.role, others))
    if rows:
        writer.tabulate(FIELD_CARDS.filled(rows))
    passed = _passed(mission, log, {card.use.place.ident for card in cards})
    for one in passed:
        writer.adopt(one)
    if passed:
        writer.tabulate(PASSED.filled([PASSED.row(one.at, one) for one in passed]))
    return cards


def _call(mission: Mission, place: Place) -> Ref | None:
    """Return the frequency on which a field is called."""
    for number, contact in enumerate(mission.frequencies, start=1):
        if contact.where == place.ident:
            return ContactFigures.frequency.of(ContactFigures(number, contact))
    return None


def _passed(mission: Mission, log: Navigation, planned: set[str]) -> Sequence[PassedField]:
    nodes = [(one, node) for one in log.phases_in_air for node in one.phase.nodes]
    found = []
    for place in mission.places:
        if place.ident in planned or not place.runways or not nodes:
            continue
        away = [geodesic_distance(place.lat_deg, place.lon_deg, node.lat_deg, node.lon_deg) for _, node in nodes]
        flown, nearest = nodes[away.index(min(away))]
        if min(away) <= REACH_M:
            found.append(PassedField(mission, place, flown, nearest, min(away)))
    found.sort(key=lambda one: one._away_m)
    return sorted(found[:MOST_PASSED], key=lambda one: one._nearest.instant)
