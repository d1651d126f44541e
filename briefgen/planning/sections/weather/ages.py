"""How old the weather is when it is used, and how far outside the points it was given for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from briefgen.kernel.constants import NMI_M
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, Ref, figure, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.field_uses import FieldUse
from briefgen.planning.sections.basis.groups import WEATHER, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.weather.points import PointSet

LEAST_M = 0.5 * NMI_M  # less is printed as nothing
BETWEEN = "the whole flight lies between the points"


class WeatherAge(Record):
    """One forecast or report, and its age when it is used."""

    def __init__(self, name: str, title: str, issued: datetime, used: Ref, source: str) -> None:
        self.at, self.title, self._issued, self._used, self.source = f"weather.age.{name}", title, issued, used, source

    @figure(
        "Weather used", how="each use of a field, and the last landing for the file as a whole", source="%(source)s"
    )
    def what(self) -> str:
        rest_on_groups(WEATHER)
        return self.title

    @figure("%(title)s: issued", "UTC", how="given in the weather file", source="%(source)s")
    def issued(self) -> datetime:
        rest_on_groups(WEATHER)
        return self._issued

    @figure("%(title)s: used", "UTC", how="the time of that use")
    def used(self) -> datetime:
        found: datetime = self._used.value
        return found

    @figure("%(title)s: age when used", "h:min", how="used less issued")
    def age(self) -> float:
        return (self.used - self.issued).total_seconds()


class WeatherArea(Record):
    """How far the flight leaves the figure that the points of the winds aloft span: what is used there was given elsewhere."""

    at = "weather.area"

    def __init__(self, mission: Mission, phases: Sequence[PhaseFigures]) -> None:
        self._phases, self._weather = phases, mission.weather
        places = {one.ident: (one.lat_deg, one.lon_deg) for one in mission.weather.soundings}
        points = PointSet(tuple((name, lat, lon) for name, (lat, lon) in places.items()), mission.weather.reach_m)
        far = [max(points.outside_m(node.lat_deg, node.lon_deg) for node in one.phase.nodes) for one in phases]
        self._far_m = max(far, default=0.0)
        self._where = phases[far.index(self._far_m)] if self._far_m >= LEAST_M else None

    @figure(
        "Farthest outside the area between the points of the winds aloft",
        "NM",
        how="distance from the figure they span, over all nodes of the flight",
    )
    def outside(self) -> float:
        if self._where is None:
            raise Absent(BETWEEN)
        rests_on(self._where.end)
        rest_on_groups(WEATHER)
        return self._far_m

    @figure("Farthest outside: where", how="the phase of that node")
    def where(self) -> str:
        if self._where is None:
            raise Absent(BETWEEN)
        rests_on(self._where.end)
        rest_on_groups(WEATHER)
        return self._where.phase.title

    @figure("How far outside the weather file lets its values be used", "NM", how="given in the weather file")
    def reach(self) -> float:
        rest_on_groups(WEATHER)
        return self._weather.reach_m


AGES = TableOf(
    "weather.ages",
    "Age of the weather when it is used",
    (
        column(WeatherAge.what, "Weather"),
        column(WeatherAge.issued, "Issued"),
        column(WeatherAge.used, "Used"),
        column(WeatherAge.age, "Age"),
    ),
)


def write_ages(
    mission: Mission, phases: Sequence[PhaseFigures], uses: Sequence[FieldUse], writer: LedgerWriter
) -> None:
    """Enter the age of every forecast and report at each use of its field, and how far outside its points the flight goes."""
    last = max(uses, key=lambda use: use.instant)
    file = WeatherAge("file", mission.weather.name, mission.weather.issued, last.time, mission.weather.file)
    ages = [file, *_of_fields(mission, uses)]
    for one in (*ages, WeatherArea(mission, phases)):
        writer.adopt(one)
    writer.tabulate(AGES.filled([AGES.row(one.at.removeprefix("weather.age."), one) for one in ages]))


def _of_fields(mission: Mission, uses: Sequence[FieldUse]) -> Iterator[WeatherAge]:
    weather = mission.weather
    for use in uses:
        for forecast in weather.forecasts:
            if forecast.ident == use.place.ident:
                yield WeatherAge(
                    f"{use.name}.forecast", f"Forecast, {use.title}", forecast.issued, use.time, forecast.source
                )
        seen = [
            one
            for one in weather.surface
            if one.observed and one.ident == use.place.ident and one.instant <= use.instant
        ]
        if seen:
            newest = max(seen, key=lambda one: one.instant)
            yield WeatherAge(f"{use.name}.report", f"Report, {use.title}", newest.instant, use.time, newest.source)
