"""The weather along the way, phase by phase: wind, temperature, freezing level, cloud and ice; and the sheets of cloud."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.kernel.wind import Wind, wind_towards
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Absent, Record, Sum, figure, rests_on, total, working
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.model.weather import CEILING_COVERS, CloudSheet
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import WEATHER, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.weather.met import Met, met_by
from briefgen.weather.air import AirAloft, Sky, deviation_from_standard
from briefgen.weather.cloud import CloudCover
from briefgen.weather.hazards import (
    AIRFRAME_SOURCE,
    CARBURETTOR_SOURCE,
    NOT_USUAL_ABOVE_M,
    AirframeIce,
    CarburettorIce,
    CloudRelation,
)

ABOVE_DATA = "above the forecast"
CLEAR = "clear"
HALF_WAY = "forecast, interpolated in space, height and time; half way"
IN_THE_FILE = "given in the weather file"


class WindHalfWay(Record):
    """The wind of a phase on no one track: that half way through it."""

    def __init__(self, flown: PhaseFigures, air: AirAloft, source: str) -> None:
        self.at, self.title, self.source = flown.at, flown.title, source
        self._flown = flown
        self._wind: Wind = wind_towards(air.wind_north_m_per_s, air.wind_east_m_per_s)

    @figure("%(title)s: wind from", "degT", how=HALF_WAY, source="%(source)s")
    def wind_direction(self) -> float:
        rests_on(self._flown.end)
        rest_on_groups(WEATHER)
        return self._wind.from_deg

    @figure("%(title)s: wind", "kt", how=HALF_WAY, source="%(source)s")
    def wind_speed(self) -> float:
        rests_on(self._flown.end)
        rest_on_groups(WEATHER)
        return self._wind.speed_m_per_s


class LegWeather(Record):
    """What one phase meets: air against the standard, freezing level, cloud, ice."""

    def __init__(self, mission: Mission, cloud: CloudCover, sky: Sky, flown: PhaseFigures) -> None:
        self.at, self.title, self.flown, self.source = flown.at, flown.title, flown, mission.weather.name
        self.met: Met = met_by(cloud, sky, flown.phase)
        middle = flown.phase.nodes[len(flown.phase.nodes) // 2]
        air = sky.air_at(middle.lat_deg, middle.lon_deg, middle.pressure_altitude_m, middle.instant)
        self._deviation_k = deviation_from_standard(air.temperature_k, middle.pressure_altitude_m)
        self._freezing_m = sky.freezing_level_at(middle.lat_deg, middle.lon_deg, middle.instant)
        on_track = PhaseFigures.wind_speed.of(flown).there
        self.wind = None if on_track else WindHalfWay(flown, air, self.source)

    def parts(self) -> Sequence[Record]:
        return [self.wind] if self.wind else []

    @working
    def _forecast(self) -> None:
        """Read what the forecast is asked with."""
        rests_on(self.flown.end)
        rest_on_groups(WEATHER)

    @figure(
        "%(title)s: warmer than standard by", "degC diff", source="U.S. Standard Atmosphere, 1976",
        how="forecast temperature half way less that of the standard atmosphere",
    )  # fmt: skip
    def deviation(self) -> float:
        rests_on(self.flown.temperature, self.flown.end)
        return self._deviation_k

    @figure(
        "%(title)s: freezing level, pressure altitude", "ft", source="%(source)s",
        how="as given, else where the forecast temperature is 0 °C, half way",
    )  # fmt: skip
    def freezing_level(self) -> float | str:
        rests_on(self._forecast)
        return ABOVE_DATA if self._freezing_m is None else self._freezing_m

    @figure("%(title)s: highest pressure altitude", "ft", how="highest of the phase")
    def highest(self) -> float:
        rests_on(self.flown.pressure_altitude)
        if self._freezing_m is None:
            raise Absent("the freezing level is above the forecast")
        return self.met.highest_m

    @total(
        "%(title)s: below the freezing level by", "ft",
        how="freezing level less the highest pressure altitude of the phase",
    )  # fmt: skip
    def below_freezing_level(self) -> Sum:
        rests_on(self.highest)
        return Sum([LegWeather.freezing_level.of(self)], [LegWeather.highest.of(self)])

    @figure(
        "%(title)s: cloud",
        how="the phase's altitudes against the cloud sheets over it at the time",
        source="%(source)s",
    )
    def cloud(self) -> str:
        rests_on(self._forecast)
        words = [f"{_relation(relations)} {name}" for name, relations in self.met.clouds.items()]
        return "; ".join(words) or CLEAR

    @figure(
        "%(title)s: carburettor icing", source=CARBURETTOR_SOURCE,
        how="worst along the phase: temperature against the bands, cloud as saturated air, humidity elsewhere unknown",
    )  # fmt: skip
    def carburettor_ice(self) -> str:
        rests_on(self.flown.temperature, self._forecast, self.cloud)
        inside = self.met.carburettor is not CarburettorIce.OUTSIDE
        rare = " (not usual this high)" if self.met.highest_m > NOT_USUAL_ABOVE_M and inside else ""
        return f"{self.met.carburettor}{rare}"

    @figure("%(title)s: in cloud from", "UTC", how="first moment between a base and a top")
    def cloud_from(self) -> datetime:
        rests_on(self.cloud)
        return _known(self.met.cloud_from)

    @figure("%(title)s: carburettor ice to be met from", "UTC", how="as she enters the cloud in which it is likely")
    def carburettor_ice_from(self) -> datetime:
        rests_on(self.carburettor_ice)
        return _known(self.met.cloud_from if self.met.carburettor is CarburettorIce.LIKELY else None)

    @figure("%(title)s: airframe ice possible from", "UTC", how="first moment in cloud that is cold enough")
    def airframe_ice_from(self) -> datetime:
        rests_on(self.airframe_ice)
        return _known(self.met.airframe_from if self.met.airframe is AirframeIce.EXPOSED else None)

    @figure("%(title)s: airframe icing", how="worst along the phase: cloud and temperature", source=AIRFRAME_SOURCE)
    def airframe_ice(self) -> str:
        rests_on(self.flown.temperature, self._forecast, self.cloud)
        return str(self.met.airframe)


def _known(instant: datetime | None) -> datetime:
    if instant is None:
        raise Absent("it is not met in this phase")
    return instant


def _relation(relations: set[CloudRelation]) -> str:
    return "through" if len(relations) > 1 else next(iter(relations)).value


WIND_FROM = ColumnOf("wind_direction", "Wind from", "degT")  # of the track where there is one, else half way
WIND = ColumnOf("wind_speed", "Wind", "kt")
LEGS = TableOf(
    "weather.legs",
    "Weather along the way",
    (
        column(PhaseFigures.to, "Phase", through="flown"),
        WIND_FROM,
        WIND,
        column(PhaseFigures.temperature, "Temperature", through="flown"),
        column(LegWeather.deviation, "From standard"),
        column(LegWeather.freezing_level, "Freezing level"),
        column(LegWeather.below_freezing_level, "Below it by"),
        column(LegWeather.cloud, "Cloud"),
        column(LegWeather.carburettor_ice, "Carburettor ice"),
        column(LegWeather.airframe_ice, "Airframe ice"),
    ),
)


def _row(leg: LegWeather) -> Row:
    one, flown = PhaseFigures, leg.flown
    if leg.wind is None:
        winds = {WIND_FROM: one.wind_direction.of(flown), WIND: one.wind_speed.of(flown)}
    else:
        winds = {WIND_FROM: WindHalfWay.wind_direction.of(leg.wind), WIND: WindHalfWay.wind_speed.of(leg.wind)}
    return LEGS.row(leg.title, leg, flown.phase.kind, winds)


class SheetFigures(Record):
    """One sheet of cloud of the weather file."""

    def __init__(self, number: int, sheet: CloudSheet) -> None:
        self.at, self.title, self.sheet, self.source = f"weather.cloud.{number:02d}", sheet.name, sheet, sheet.source

    @figure("Cloud", how=IN_THE_FILE, source="%(source)s")
    def name(self) -> str:
        rest_on_groups(WEATHER)
        return self.sheet.name

    @figure("%(title)s: cover", how=IN_THE_FILE, source="%(source)s")
    def cover(self) -> str:
        rest_on_groups(WEATHER)
        return self.sheet.cover

    @figure("%(title)s: base above sea level", "ft", how=IN_THE_FILE, source="%(source)s")
    def base(self) -> float:
        rest_on_groups(WEATHER)
        return self.sheet.base_m

    @figure("%(title)s: top above sea level", "ft", how=IN_THE_FILE, source="%(source)s")
    def top(self) -> float:
        rest_on_groups(WEATHER)
        return self.sheet.top_m

    @figure("%(title)s: from", "UTC", how=IN_THE_FILE, source="%(source)s", name="from")
    def begins(self) -> datetime:
        rest_on_groups(WEATHER)
        return self.sheet.use_from

    @figure("%(title)s: to", "UTC", how=IN_THE_FILE, source="%(source)s", name="to")
    def ends(self) -> datetime:
        rest_on_groups(WEATHER)
        return self.sheet.use_to


SHEETS = TableOf(
    "weather.clouds",
    "Sheets of cloud",
    (
        column(SheetFigures.name, "Cloud"),
        column(SheetFigures.cover, "Cover"),
        column(SheetFigures.base, "Base"),
        column(SheetFigures.top, "Top"),
        column(SheetFigures.begins, "From"),
        column(SheetFigures.ends, "To"),
    ),
    note="Altitudes above mean sea level.",
)


def write_legs(mission: Mission, phases: Sequence[PhaseFigures], writer: LedgerWriter) -> tuple[LegWeather, ...]:
    """Enter the weather of every phase in the air and its table."""
    sky = Sky(mission.weather)
    cloud = CloudCover(mission.weather, mission.places)
    legs = [LegWeather(mission, cloud, sky, flown) for flown in phases]
    for leg in legs:
        writer.adopt(leg)
    writer.tabulate(LEGS.filled([_row(leg) for leg in legs]))
    sheets = [SheetFigures(number, sheet) for number, sheet in enumerate(mission.weather.sheets, 1)]
    for one in sheets:
        writer.adopt(one)
    if sheets:
        rows = [SHEETS.row(one.title, one, "ceiling" if one.sheet.cover in CEILING_COVERS else "") for one in sheets]
        writer.tabulate(SHEETS.filled(rows))
    return tuple(legs)
