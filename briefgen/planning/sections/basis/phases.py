"""The figures of one phase: when it begins and ends, how far and how high, its fuel, weight, wind and headings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.aircraft.instruments import compass_deviation
from briefgen.frozen import dataclass
from briefgen.kernel.magnetism import decimal_year, magnetic_to_compass, magnetic_variation_deg, true_to_magnetic
from briefgen.kernel.sun import light_condition
from briefgen.kernel.wind import Wind, WindTriangle, triangle_from_course, wind_towards
from briefgen.model.mission import Leg, Mission
from briefgen.model.performance import PowerSetting
from briefgen.model.plan import Phase, PhaseKind
from briefgen.model.record import Absent, Record, Ref, Sum, figure, is_declared, note, rests_on, total, working
from briefgen.planning.flight.route import item_keys
from briefgen.planning.ledger.keys import phase_key, place_key
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import (
    BALANCE,
    FIELD,
    FLOWN_BY,
    GROUND_FLOWS,
    INSTRUMENTS,
    PLACES,
    POWERPLANT,
    WEATHER,
)
from briefgen.planning.sections.basis.written_route import written_keys

MAGNETIC_MODEL = "World Magnetic Model 2025 (NOAA NCEI)"
GEODESIC = "geodesic on the WGS 84 ellipsoid, C. Karney, J. Geodesy 87 (2013)"
INTEGRATED = "integrated through the phase: middle-of-step weight, place, time and air"
IN_FORECAST = "forecast, interpolated as a vector in space, height and time; mean over the phase"
TRIANGLE = "wind triangle"


@dataclass(frozen=True)
class Chain:
    """The figures in which a chain of phases begins: its first instant, distance, fuel and weight."""

    instant: Ref
    distance: Ref
    fuel: Ref
    mass: Ref


@dataclass(frozen=True)
class Roots:
    """The written entries a phase rests on: what chose its speed and height, where it leads, what leaves on it, what shapes it.

    ``shape`` is all that moves where and when the phase begins and ends: the items of the route beside it, the allowances, the
    speeds of climb and descent, and the groups of the aircraft file.
    """

    speed: tuple[str, ...]
    height: tuple[str, ...]
    places: tuple[str, ...]
    load: tuple[str, ...]
    shape: tuple[str, ...]


SPEED_OF_KIND: dict[PhaseKind, str] = {"climb": "climb", "descent": "descent", "approach": "approach"}
CARD_SPEEDS = ("speed.climb", "speed.descent", "speed.approach")
ALLOWANCES: dict[PhaseKind, tuple[str, ...]] = {
    "start": ("times.start",), "taxi": ("times.taxi_out",), "run-up": ("times.run_up",),
    "take-off": ("times.take_off", "times.first_reduction_height"), "approach": ("times.approach",),
    "taxi-in": ("times.taxi_in",), "shutdown": ("times.shutdown",),
}  # fmt: skip


def roots_of(mission: Mission, phase: Phase, writer: LedgerWriter) -> Roots:
    """Return the written entries a phase rests on."""
    head, to = "", phase.place
    if phase.ident.startswith("alternate."):
        head = ".".join(phase.ident.split(".")[:2])
        to = head.split(".")[1]
    elif phase.item is not None:
        item = mission.route.items[phase.item]
        head = item_keys(mission.route.items)[phase.item]
        to = item.to.ident if isinstance(item, Leg) else item.at.ident
    named = SPEED_OF_KIND.get(phase.kind)
    chosen = f"{head}.pace" if f"{head}.pace" in writer else f"{head}.cruise"
    speed = f"speed.{named}" if named else f"{head}.ias" if phase.kind == "run" else chosen
    heights = (f"{head}.height",) if named != "approach" else ()
    load = tuple(
        f"load.{number:02d}.mass"
        for number, item in enumerate(mission.items, start=1)
        if phase.released and item.leaves == phase.released
    )

    def there(keys: tuple[str, ...]) -> tuple[str, ...]:
        unknown = [key for key in keys if key not in writer and not is_declared(key)]
        if unknown:
            raise LookupError(f"no record declares what a phase is said to rest on: {', '.join(unknown)}")
        return tuple(key for key in keys if key in writer)

    place = place_key(to)
    places = there((f"{place}.latitude", f"{place}.longitude"))
    shape = there((*_shape_of(mission, phase), chosen, *heights, *places))
    return Roots(there((speed,)), there(heights), places, load, shape)


def _shape_of(mission: Mission, phase: Phase) -> tuple[str, ...]:
    """Return the keys of all that moves where and when a phase begins and ends, whether they are written or not."""
    allowed = ALLOWANCES.get(phase.kind, ())
    if not phase.settings:
        return (*allowed, GROUND_FLOWS, POWERPLANT, PLACES, WEATHER)
    flown = (*allowed, *CARD_SPEEDS, *FLOWN_BY, PLACES, FIELD)
    if phase.item is None:
        return flown
    beside = written_keys(mission, max(phase.item - 1, 0), phase.item + 1)
    paces = tuple(f"{key}.{name}" for key in item_keys(mission.route.items) for name in ("pace", "time_lost"))
    return (*flown, *beside, *paces)


def _note(*keys: str) -> None:
    for key in keys:
        note(key)


def rest_on_flight(phases: Sequence[Phase]) -> None:
    """Note that the figure being worked out rests on a chain of phases flown: its end rests on all that went before."""
    last = phase_key(phases[-1].ident)
    _note(f"{last}.end", f"{last}.altitude", f"{last}.fuel_remaining", f"{last}.mass")


class PhaseFigures(Record):
    """One phase of the flight as it is printed."""

    def __init__(self, mission: Mission, phase: Phase, roots: Roots, before: Chain) -> None:
        self.at, self.title, self.phase = phase_key(phase.ident), phase.title, phase
        self._mission, self._roots, self._before = mission, roots, before
        self.weather, self.aircraft = mission.weather.name, mission.aircraft.name

    def fuel_density(self) -> float:
        note("fuel.density")
        return self._mission.fuel.density_kg_per_m3

    @property
    def chain(self) -> Chain:
        """What the next phase begins in."""
        mass = PhaseFigures.mass_after if self.phase.released_kg else PhaseFigures.mass
        return Chain(
            PhaseFigures.end.of(self),
            PhaseFigures.cumulative.of(self),
            PhaseFigures.fuel_remaining.of(self),
            mass.of(self),
        )

    @property
    def origin(self) -> str:
        """Where the setting comes from."""
        return self._setting.source if self.phase.settings else ""

    @property
    def _setting(self) -> PowerSetting:
        if not self.phase.settings:
            raise Absent("no power is set in this phase")
        middle = (
            0 if self.phase.kind == "approach" else len(self.phase.settings) // 2
        )  # the pattern, not the short final
        return self.phase.settings[middle][1]

    # --- time and place -----------------------------------------------------------------------------------------------

    @figure("%(title)s: from", "UTC", how="end of the phase before")
    def begin(self) -> datetime:
        rests_on(self._before.instant.value)
        return self.phase.start.instant

    @figure("%(title)s: from", "local", how="the same in the mission's zone")
    def begin_local(self) -> datetime:
        return self.begin

    @figure("Phase", how="from the route as written")
    def to(self) -> str:
        return self.title

    @figure("To", how="where the phase ends")
    def reaching(self) -> str:
        return _reached(self._mission, self.phase)

    @figure(
        "%(title)s: as written",
        how="what the author wrote that shapes the phase, and the parts of the files it is flown by",
    )
    def written(self) -> str:
        _note(*self._roots.shape)
        return "the route, the allowances and the files named here"

    @working
    def _drivers(self) -> None:
        """Read what drives the time over the ground."""
        rests_on(self.written)
        if self.phase.settings:
            rests_on(self.ias, self.temperature, self.tas, self.fuel_flow)
            if self.phase.course_deg is not None:
                rests_on(self.course, self.wind_direction, self.wind_speed, self.ground_speed)

    @figure("%(title)s: until", "UTC", how=INTEGRATED)
    def end(self) -> datetime:
        rests_on(self.begin, self._drivers)
        return self.phase.end.instant

    @total("%(title)s: time", "min", how="end less beginning")
    def duration(self) -> Sum:
        return Sum([PhaseFigures.end.of(self)], [PhaseFigures.begin.of(self)])

    @figure("%(title)s: distance run", "NM", how=INTEGRATED, source=GEODESIC)
    def cumulative(self) -> float:
        rests_on(self._before.distance.value, self._drivers)
        return self.phase.end.distance_m

    @total("%(title)s: distance", "NM", how="distance run, end less beginning")
    def distance(self) -> Sum:
        return Sum([PhaseFigures.cumulative.of(self)], [self._before.distance])

    @figure("%(title)s: altitude at end", "ft", how="on the altimeter setting in force")
    def altitude(self) -> float:
        rests_on(self.end, self.written)
        _note(*self._roots.height)
        return self.phase.end.altitude_m

    @figure(
        "%(title)s: pressure altitude at end", "ft", how="altitude corrected for the altimeter setting",
        source="ICAO Doc 7488, Manual of the Standard Atmosphere",
    )  # fmt: skip
    def pressure_altitude(self) -> float:
        rests_on(self.altitude)
        _note(WEATHER)
        return self.phase.end.pressure_altitude_m

    @figure("%(title)s: light at end", how="sun's altitude at that place and time; night below -6 degrees")
    def light(self) -> str:
        end = self.phase.end
        return light_condition(self.end, end.lat_deg, end.lon_deg)

    # --- fuel and weight ----------------------------------------------------------------------------------------------

    @figure("%(title)s: fuel remaining", "lb", how="fuel at the beginning less fuel flow over the phase", volume=True)
    def fuel_remaining(self) -> float:
        rests_on(self._before.fuel.value, self.duration, self._drivers, PhaseFigures.fuel_flow.or_none(self))
        return self.phase.end.fuel_kg

    @total("%(title)s: fuel burnt", "lb", how="fuel at the beginning less fuel remaining", volume=True)
    def fuel_burn(self) -> Sum:
        return Sum([self._before.fuel], [PhaseFigures.fuel_remaining.of(self)])

    @total("%(title)s: weight at end", "lb", how="weight before less fuel burnt")
    def mass(self) -> Sum:
        return Sum([self._before.mass], [PhaseFigures.fuel_burn.of(self)])

    @figure("%(title)s: load released", "lb", how="load that leaves with this pass")
    def released(self) -> float:
        if not self.phase.released_kg:
            raise Absent("nothing is released in this phase")
        _note(*self._roots.load)
        return self.phase.released_kg

    @total("%(title)s: weight afterwards", "lb", how="weight at end less load released")
    def mass_after(self) -> Sum:
        return Sum([PhaseFigures.mass.of(self)], [PhaseFigures.released.of(self)])

    # --- speed and air ------------------------------------------------------------------------------------------------

    @figure(
        "%(title)s: indicated airspeed", AIRSPEED, source="%(origin)s",
        how="as chosen for the phase; a best speed is worked out at the weight and altitude half way",
    )  # fmt: skip
    def ias(self) -> float:
        _note(*self._roots.speed, *self._roots.height)
        rests_on(self.written, self._before.mass.value)
        _note(BALANCE)  # a speed that goes with the weight is told for the greatest
        return self._setting.ias_m_per_s

    @working
    def _air(self) -> None:
        """Read what the air of the phase is looked up by."""
        rests_on(self._setting)
        _note(WEATHER, *self._roots.height)
        rests_on(self.written, self.begin)

    @figure(
        "%(title)s: air temperature", "degC", source="%(weather)s",
        how="forecast, interpolated in space, height and time; mean over the phase",
    )  # fmt: skip
    def temperature(self) -> float:
        rests_on(self._air)
        return self.phase.temperature_k

    @figure(
        "%(title)s: true airspeed", "kt", source="%(origin)s",
        how="indicated corrected for position error, compressibility, pressure and temperature; mean over the phase",
    )  # fmt: skip
    def tas(self) -> float:
        rests_on(self.ias, self.temperature)
        return self.phase.tas_m_per_s

    @figure(
        "%(title)s: mean fuel flow",
        "lb/h",
        source="%(origin)s",
        how="power settings through the phase, weighted by time",
    )
    def fuel_flow(self) -> float:
        rests_on(self.ias, self.temperature, self._before.mass.value, self.written)
        note("fuel.grade")
        phase = self.phase
        return phase.fuel_burn_kg / phase.duration_s if phase.duration_s else self._setting.fuel_flow_kg_per_s

    # --- wind and headings --------------------------------------------------------------------------------------------

    @working
    def _course_deg(self) -> float:
        if not self.phase.settings or self.phase.course_deg is None:
            raise Absent("no one track is flown in this phase")
        return self.phase.course_deg

    @working
    def _wind(self) -> Wind:
        return wind_towards(self.phase.wind_north_m_per_s, self.phase.wind_east_m_per_s)

    @working
    def _triangle(self) -> WindTriangle:
        rests_on(self.course, self.tas, self.wind_direction, self.wind_speed)
        return triangle_from_course(self._course_deg, self.phase.tas_m_per_s, self._wind)

    @figure("%(title)s: track", "degT", how="true course half way along", source=GEODESIC)
    def course(self) -> float:
        _note(*self._roots.places)
        rests_on(self.written)
        return self._course_deg

    @figure("%(title)s: wind from", "degT", how=IN_FORECAST, source="%(weather)s")
    def wind_direction(self) -> float:
        rests_on(self._course_deg, self._air)
        return self._wind.from_deg

    @figure("%(title)s: wind speed", "kt", how=IN_FORECAST, source="%(weather)s")
    def wind_speed(self) -> float:
        rests_on(self._course_deg, self._air)
        return self._wind.speed_m_per_s

    @figure(
        "%(title)s: variation",
        "deg",
        decimals=1,
        how="east positive, half way along, on the day",
        source=MAGNETIC_MODEL,
    )
    def variation(self) -> float:
        rests_on(self._course_deg, self.begin)
        _note(*self._roots.places)
        rests_on(self.written)
        middle = self.phase.nodes[len(self.phase.nodes) // 2]
        year = decimal_year(middle.instant.date())
        return magnetic_variation_deg(middle.lat_deg, middle.lon_deg, middle.pressure_altitude_m, year)

    @figure("%(title)s: drift", "deg", how=f"{TRIANGLE}; right positive")
    def drift(self) -> float:
        return self._triangle.drift_deg

    @figure("%(title)s: true heading", "degT", how=TRIANGLE)
    def heading_true(self) -> float:
        return self._triangle.heading_deg

    @figure("%(title)s: magnetic track", "degM", how="true less easterly variation")
    def course_magnetic(self) -> float:
        return true_to_magnetic(self.course, self.variation)

    @figure("%(title)s: magnetic heading", "degM", how="true less easterly variation")
    def heading_magnetic(self) -> float:
        return true_to_magnetic(self.heading_true, self.variation)

    @figure("%(title)s: compass heading", "deg", how="magnetic with the deviation card", source="%(aircraft)s")
    def heading_compass(self) -> float:
        magnetic = self.heading_magnetic
        note(INSTRUMENTS)
        return magnetic_to_compass(magnetic, compass_deviation(self._mission.aircraft, magnetic))

    @figure("%(title)s: ground speed", "kt", how=f"{TRIANGLE} through the phase: distance over time")
    def ground_speed(self) -> float:
        rests_on(self._triangle)
        phase = self.phase
        return phase.distance_m / phase.duration_s if phase.duration_s else 0.0


def _reached(mission: Mission, phase: Phase) -> str:
    """Return the point at which a phase ends, as a navigator names it."""
    names = {place.ident: place.name for place in mission.places}
    if phase.kind == "climb":
        return f"Top of climb, {names[phase.place]}" if phase.place else "Top of climb"
    if phase.point:
        return phase.point
    if phase.of("run", "hold", "approach", "take-off") or not phase.place:
        return phase.title
    return names.get(phase.place, phase.place)
