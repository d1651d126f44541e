"""What is said of one use of a runway before any distance is worked out: the runway, its surface, the wind on it."""

from __future__ import annotations

from briefgen.aircraft.fields import FieldPerformance
from briefgen.kernel.wheels import creditable_headwind
from briefgen.model.ledger import Row
from briefgen.model.record import Absent, Record, figure, rests_on, working
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.sections.basis.groups import FIELD, FLOWN_BY, PLACES, WEATHER, rest_on_groups
from briefgen.planning.sections.fields.runway_use import HEADWIND_SHARE, TAILWIND_SHARE, WIND_SOURCE, RunwayUse
from briefgen.planning.sections.weather.air import AirFigures
from briefgen.planning.sections.weather.field_winds import FieldWind

AS_WRITTEN, ROUTE_AS_WRITTEN = "runway as written", "route as written"


class RunwayFigures(Record):
    """A runway as it is used, in the air and wind of that time."""

    def __init__(self, use: RunwayUse, fields: FieldPerformance, air: AirFigures, wind: FieldWind) -> None:
        self.at, self.use, self.air, self.wind = use.key, use, air, wind
        self._surface, self.surface_source = fields.surface_words(use.strip)

    @figure("Field", how=ROUTE_AS_WRITTEN)
    def place(self) -> str:
        return f"{self.use.place.ident} {self.use.place.name}"

    @figure("Runway", how=ROUTE_AS_WRITTEN)
    def runway(self) -> str:
        return self.use.runway.name

    @figure("Surface", how="runway as written, wet or dry by the weather", source="%(surface_source)s")
    def surface(self) -> str:
        rest_on_groups(PLACES, WEATHER)
        return self._surface

    @figure("Slope, uphill positive", "%", how=AS_WRITTEN, decimals=1)
    def slope(self) -> float:
        rest_on_groups(PLACES)
        return self.use.runway.slope_ratio

    @figure("Length available", "ft", how=AS_WRITTEN)
    def available(self) -> float:
        rest_on_groups(PLACES)
        return self.use.runway.length_m

    @figure("Standing water or slush", "in", how=AS_WRITTEN, decimals=1)
    def water_depth(self) -> float:
        if self.use.runway.depth_m <= 0.0:
            raise Absent("no standing water or slush is written for the runway")
        rest_on_groups(PLACES)
        return self.use.runway.depth_m

    @figure("Least head wind, tail wind negative", "kt", how="strongest tail wind with the other sign")
    def headwind(self) -> float:
        return -self.wind.tailwind

    @figure(
        "Head wind counted on", "kt", how="half of a head wind, one and a half times a tail wind", source=WIND_SOURCE
    )
    def headwind_used(self) -> float:
        return creditable_headwind(self.headwind, HEADWIND_SHARE, TAILWIND_SHARE)

    @working
    def air_and_ground(self) -> None:
        """Read what every distance on this runway follows from, but the weight."""
        rests_on(self.air.pressure_altitude, self.air.temperature, AirFigures.dew_point.or_none(self.air))
        rests_on(self.headwind_used, self.surface, self.slope, self.available, RunwayFigures.water_depth.or_none(self))
        rest_on_groups(*FLOWN_BY, FIELD)

    @working
    def conditions(self) -> None:
        """Read what every figure of this runway follows from."""
        rests_on(self.use.mass_kg, self.air_and_ground)


MASS = ColumnOf("mass", "Weight", "lb")  # the weight is the flight's: the figure of the phase before
RUNWAYS = TableOf(
    "fields.runways",
    "Runways and the air on them",
    (
        column(RunwayFigures.place, "Field"),
        column(RunwayFigures.runway, "Runway"),
        column(RunwayFigures.surface, "Surface"),
        column(RunwayFigures.slope, "Slope"),
        column(RunwayFigures.available, "Length"),
        column(AirFigures.pressure_altitude, "Pressure altitude", through="air"),
        column(AirFigures.temperature, "Temperature", through="air"),
        column(AirFigures.density_altitude, "Density altitude", through="air"),
        column(RunwayFigures.headwind, "Head wind"),
        column(RunwayFigures.headwind_used, "Counted on"),
        column(FieldWind.crosswind, "Crosswind", through="wind"),
    ),
)


def runway_row(runway: RunwayFigures) -> Row:
    """Return the row of a runway."""
    return RUNWAYS.row(runway.use.name, runway)
