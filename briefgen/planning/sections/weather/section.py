"""The weather of the plan: along the way, at the fields, and as it was issued."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, ChartName, Event, Finding
from briefgen.model.record import Absent, Record, figure
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.field_uses import FieldUse
from briefgen.planning.sections.basis.groups import WEATHER, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.weather.ages import write_ages
from briefgen.planning.sections.weather.fields import FieldsWeather, write_fields
from briefgen.planning.sections.weather.ice import ice_events, ice_findings
from briefgen.planning.sections.weather.legs import LegWeather, write_legs
from briefgen.planning.sections.weather.profile import profile_chart

IN_THE_FILE = "given in the weather file"


class IssueFigures(Record):
    """When the weather was issued, and how long it is valid."""

    at = "weather"

    def __init__(self, mission: Mission) -> None:
        self._weather, self.file = mission.weather, mission.weather.file

    @figure("Weather issued", "UTC", how=IN_THE_FILE, source="%(file)s")
    def issued(self) -> datetime:
        rest_on_groups(WEATHER)
        return self._weather.issued

    @figure("Weather valid from", "UTC", how=IN_THE_FILE, source="%(file)s")
    def valid_from(self) -> datetime:
        rest_on_groups(WEATHER)
        return self._weather.valid_from

    @figure("Weather valid to", "UTC", how=IN_THE_FILE, source="%(file)s")
    def valid_to(self) -> datetime:
        rest_on_groups(WEATHER)
        return self._weather.valid_to

    @figure("Situation", how=IN_THE_FILE, source="%(file)s")
    def remarks(self) -> str:
        if not self._weather.remarks:
            raise Absent("the weather file has no remarks")
        return self._weather.remarks


class IssuedText(Record):
    """One coded text whole, remarks included."""

    def __init__(self, number: int, text: str, source: str) -> None:
        self.at, self.source, self._text = f"weather.issue.{number:02d}", source, text

    @figure("As issued", how=IN_THE_FILE, source="%(source)s")
    def text(self) -> str:
        rest_on_groups(WEATHER)
        return self._text


ISSUED = TableOf("weather.issued", "Reports and forecasts as issued", (column(IssuedText.text, "As issued"),))


class WeatherSection(Record):
    """The weather of the plan, with what the crew is to be told of it."""

    def __init__(self, mission: Mission, fields: FieldsWeather, legs: Sequence[LegWeather], profile: ChartData) -> None:
        self.fields, self.legs = fields, tuple(legs)
        self.charts: dict[ChartName, ChartData] = {"profile": profile}
        self.events: tuple[Event, ...] = tuple(ice_events(mission, legs))
        self.findings: tuple[Finding, ...] = tuple(ice_findings(mission, legs))


def write_weather(
    mission: Mission, phases: Sequence[PhaseFigures], uses: Sequence[FieldUse], writer: LedgerWriter
) -> WeatherSection:
    """Enter the weather along the way and at the fields; with its events, and the cloud behind the vertical profile.

    Raises:
        OutOfRangeError: The weather file does not cover a place, height or time of the flight.
    """
    _write_issue(mission, writer)
    in_air = [one for one in phases if one.phase.settings]
    legs = write_legs(mission, in_air, writer)
    write_ages(mission, in_air, uses, writer)
    fields = write_fields(mission, uses, writer)
    return WeatherSection(mission, fields, legs, profile_chart(mission, [one.phase for one in in_air]))


def _write_issue(mission: Mission, writer: LedgerWriter) -> None:
    weather = mission.weather
    writer.adopt(IssueFigures(mission))
    texts = [(point.raw, point.source) for point in weather.surface if point.raw]
    texts += [(forecast.raw, forecast.source) for forecast in weather.forecasts]
    issued = [IssuedText(number, text, source) for number, (text, source) in enumerate(texts, 1)]
    for one in issued:
        writer.adopt(one)
    if issued:
        writer.tabulate(ISSUED.filled([ISSUED.row(one.text.split()[0], one) for one in issued]))
