"""The weather of the plan: along the way, at the fields, and as it was issued."""

from __future__ import annotations

from briefgen.model.ledger import Column, Row
from briefgen.model.mission import Mission
from briefgen.model.plan import ChartData, Event, Finding, Phase
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.weather import fields as weather_fields
from briefgen.planning.sections.weather import legs as weather_legs

ISSUED_COLUMNS = (Column("text", "As issued"),)


def write_weather(
    mission: Mission, phases: tuple[Phase, ...], writer: LedgerWriter
) -> tuple[tuple[Event, ...], tuple[Finding, ...], dict[str, ChartData]]:
    """Enter the weather along the way and at the fields; return events, and the cloud behind the vertical profile.

    Raises:
        OutOfRangeError: The weather file does not cover a place, height or time of the flight.
    """
    _write_issue(mission, writer)
    events = weather_legs.write_legs(mission, phases, writer)
    weather_fields.write_fields(mission, writer)
    return events, (), {"profile": weather_legs.profile_chart(mission, phases)}


def _write_issue(mission: Mission, writer: LedgerWriter) -> None:
    """Enter when the weather was issued, how long it is valid, and every coded text whole, remarks included."""
    weather = mission.weather
    put, given = writer.put, "given in the weather file"
    put("weather.name", "Weather", weather.name, method=given, source=weather.file)
    put("weather.issued", "Weather issued", weather.issued, "UTC", method=given, source=weather.file)
    put("weather.valid_from", "Weather valid from", weather.valid_from, "UTC", method=given, source=weather.file)
    put("weather.valid_to", "Weather valid to", weather.valid_to, "UTC", method=given, source=weather.file)
    if weather.remarks:
        put("weather.remarks", "Situation", weather.remarks, method=given, source=weather.file)
    texts = [(point.raw, point.source) for point in weather.surface if point.raw]
    texts += [(forecast.raw, forecast.source) for forecast in weather.forecasts]
    rows = []
    for number, (text, source) in enumerate(texts, 1):
        key = put(f"weather.issue.{number:02d}", "As issued", text, method=given, source=source)
        rows.append(Row(text.split()[0], {"text": key}))
    if rows:
        writer.table("weather.issued", "Reports and forecasts as issued", ISSUED_COLUMNS, rows)
