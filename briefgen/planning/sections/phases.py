"""The entries of one phase: when it begins and ends, how far and how high, its fuel, weight, wind and headings."""

from __future__ import annotations

from dataclasses import dataclass

from briefgen.aircraft.instruments import compass_deviation
from briefgen.kernel.magnetism import decimal_year, magnetic_to_compass, magnetic_variation_deg, true_to_magnetic
from briefgen.kernel.sun import light_condition
from briefgen.kernel.wind import WindTriangle, triangle_from_course, wind_towards
from briefgen.model.mission import Leg, Mission
from briefgen.model.plan import Phase
from briefgen.planning.flight.idents import item_keys
from briefgen.planning.ledger.keys import phase_key, place_key
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter

MAGNETIC_MODEL = "World Magnetic Model 2025 (NOAA NCEI)"
GEODESIC = "geodesic on the WGS 84 ellipsoid, C. Karney, J. Geodesy 87 (2013)"


@dataclass(frozen=True)
class Chain:
    """Where a chain of phases begins in the ledger: the keys that stand for its first instant, distance and weights."""

    instant: str
    distance: str
    fuel: str
    fuel_volume: str
    mass: str


@dataclass(frozen=True)
class Roots:
    """The written entries a phase rests on: what chose its speed and height, where it leads, what leaves on it."""

    speed: tuple[str, ...]
    height: tuple[str, ...]
    places: tuple[str, ...]
    load: tuple[str, ...]


SPEED_OF_KIND = {"climb": "climb", "descent": "descent", "approach": "approach"}


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
        return tuple(key for key in keys if key in writer)

    place = place_key(to)
    return Roots(there((speed,)), there(heights), there((f"{place}.latitude", f"{place}.longitude")), load)


def write_phase(mission: Mission, phase: Phase, writer: LedgerWriter, chain: Chain) -> Chain:
    """Enter everything about one phase and return the state the next one begins in."""
    key, roots = phase_key(phase.ident), roots_of(mission, phase, writer)
    end, density = phase.end, mission.fuel.density_kg_per_m3
    settings = "integrated through the phase: middle-of-step weight, place, time and air"
    writer.put(
        f"{key}.begin",
        f"{phase.title}: from",
        phase.start.instant,
        "UTC",
        method="end of the phase before",
        inputs=(chain.instant,),
    )
    writer.put(
        f"{key}.begin_local",
        f"{phase.title}: from",
        phase.start.instant,
        "local",
        method="the same in the mission's zone",
        inputs=(f"{key}.begin",),
    )
    writer.put(f"{key}.to", "Phase", phase.title, method="from the route as written")
    writer.put(f"{key}.reaching", "To", _reached(mission, phase), method="where the phase ends")
    speeds = _write_speeds(mission, phase, writer, key, roots, chain)
    writer.put(
        f"{key}.end", f"{phase.title}: until", end.instant, "UTC", method=settings, inputs=(f"{key}.begin", *speeds)
    )
    writer.put(
        f"{key}.duration",
        f"{phase.title}: time",
        phase.duration_s,
        "min",
        method="end less beginning",
        inputs=(f"{key}.begin", f"{key}.end"),
    )
    writer.foot(f"{key}.duration", (f"{key}.end",), (f"{key}.begin",))
    writer.put(
        f"{key}.cumulative",
        f"{phase.title}: distance run",
        end.distance_m,
        "NM",
        method=settings,
        inputs=(chain.distance, *speeds),
        source=GEODESIC,
    )
    writer.put(
        f"{key}.distance",
        f"{phase.title}: distance",
        phase.distance_m,
        "NM",
        method="distance run, end less beginning",
        inputs=(chain.distance, f"{key}.cumulative"),
    )
    writer.foot(f"{key}.distance", (f"{key}.cumulative",), (chain.distance,))
    mass = _write_fuel(phase, writer, key, chain, density, roots)
    writer.put(
        f"{key}.altitude",
        f"{phase.title}: height at end",
        end.altitude_m,
        "ft",
        method="on the altimeter setting in force",
        inputs=(*roots.height, f"{key}.end"),
    )
    writer.put(
        f"{key}.pressure_altitude",
        f"{phase.title}: pressure altitude at end",
        end.pressure_altitude_m,
        "ft",
        method="altitude corrected for the altimeter setting",
        inputs=(f"{key}.altitude",),
        source="ICAO Doc 7488, Manual of the Standard Atmosphere",
    )
    writer.put(
        f"{key}.light",
        f"{phase.title}: light at end",
        light_condition(end.instant, end.lat_deg, end.lon_deg),
        method="sun's altitude at that place and time; night below -6 degrees",
        inputs=(f"{key}.end",),
    )
    return Chain(f"{key}.end", f"{key}.cumulative", f"{key}.fuel_remaining", f"{key}.fuel_remaining_volume", mass)


def _reached(mission: Mission, phase: Phase) -> str:
    """Return the point at which a phase ends, as a navigator names it."""
    names = {place.ident: place.name for place in mission.places}
    if phase.kind == "climb":
        return f"Top of climb, {names[phase.place]}" if phase.place else "Top of climb"
    if phase.point:
        return phase.point
    if phase.kind in ("run", "hold", "approach", "take-off") or not phase.place:
        return phase.title
    return names.get(phase.place, phase.place)


def _write_fuel(phase: Phase, writer: LedgerWriter, key: str, chain: Chain, density: float, roots: Roots) -> str:
    """Enter fuel and weight; return the key of the weight the next phase begins with."""
    end, burn = phase.end, phase.fuel_burn_kg
    flow = (f"{key}.fuel_flow",) if f"{key}.fuel_flow" in writer else ()
    inputs = (chain.fuel, f"{key}.duration", *flow)
    for unit, suffix, factor, before in (
        ("lb", "", 1.0, chain.fuel),
        ("US gal", "_volume", density, chain.fuel_volume),
    ):
        by = () if not suffix else ("fuel.density",)
        writer.put(
            f"{key}.fuel_remaining{suffix}",
            f"{phase.title}: fuel left",
            end.fuel_kg / factor,
            unit,
            method="fuel at the beginning less fuel flow over the phase",
            inputs=inputs + by,
        )
        writer.put(
            f"{key}.fuel_burn{suffix}",
            f"{phase.title}: fuel burnt",
            burn / factor,
            unit,
            method="fuel at the beginning less fuel left",
            inputs=(before, f"{key}.fuel_remaining{suffix}"),
        )
        writer.foot(f"{key}.fuel_burn{suffix}", (before,), (f"{key}.fuel_remaining{suffix}",))
    writer.put(
        f"{key}.mass",
        f"{phase.title}: weight at end",
        end.mass_kg,
        "lb",
        method="weight before less fuel burnt",
        inputs=(chain.mass, f"{key}.fuel_burn"),
    )
    writer.foot(f"{key}.mass", (chain.mass,), (f"{key}.fuel_burn",))
    if not phase.released_kg:
        return f"{key}.mass"
    released = writer.put(
        f"{key}.released",
        f"{phase.title}: load released",
        phase.released_kg,
        "lb",
        method="load that leaves with this pass",
        inputs=roots.load,
    )
    writer.put(
        f"{key}.mass_after",
        f"{phase.title}: weight afterwards",
        end.mass_kg - phase.released_kg,
        "lb",
        method="weight at end less load released",
        inputs=(f"{key}.mass", released),
    )
    writer.foot(f"{key}.mass_after", (f"{key}.mass",), (released,))
    return f"{key}.mass_after"


def _write_speeds(
    mission: Mission, phase: Phase, writer: LedgerWriter, key: str, roots: Roots, chain: Chain
) -> tuple[str, ...]:
    """Enter airspeed, fuel flow, wind and headings of a phase in the air; return the keys that drive its time."""
    if not phase.settings:
        return ()
    setting = phase.settings[len(phase.settings) // 2][1]
    title, origin = phase.title, setting.source
    burn_flow = phase.fuel_burn_kg / phase.duration_s if phase.duration_s else setting.fuel_flow_kg_per_s
    keys = (
        writer.put(
            f"{key}.ias",
            f"{title}: indicated airspeed",
            setting.ias_m_per_s,
            AIRSPEED,
            method="as chosen for the phase; a best speed is worked out at the weight and height half way",
            inputs=(*roots.speed, *roots.height, chain.mass),
            source=origin,
        ),
        writer.put(
            f"{key}.temperature",
            f"{title}: air temperature",
            phase.temperature_k,
            "degC",
            method="forecast, interpolated in space, height and time; mean over the phase",
            inputs=("weather.file", *roots.height, f"{key}.begin"),
            source=mission.weather.name,
        ),
        writer.put(
            f"{key}.tas",
            f"{title}: true airspeed",
            phase.tas_m_per_s,
            "kt",
            method="indicated corrected for position error, compressibility, pressure and temperature; mean over the phase",
            inputs=(f"{key}.ias", f"{key}.temperature"),
            source=origin,
        ),
        writer.put(
            f"{key}.fuel_flow",
            f"{title}: mean fuel flow",
            burn_flow,
            "lb/h",
            method="power settings through the phase, weighted by time",
            inputs=(f"{key}.ias", f"{key}.temperature", chain.mass, "fuel.grade"),
            source=origin,
        ),
    )
    if phase.course_deg is None:
        return keys
    return (*keys, *_write_headings(mission, phase, writer, key, roots))


def _write_headings(mission: Mission, phase: Phase, writer: LedgerWriter, key: str, roots: Roots) -> tuple[str, ...]:
    """Enter track, wind, drift and headings; return the keys that drive the time over the ground."""
    course = phase.course_deg or 0.0
    wind = wind_towards(phase.wind_north_m_per_s, phase.wind_east_m_per_s)
    triangle = triangle_from_course(course, phase.tas_m_per_s, wind)
    middle = phase.nodes[len(phase.nodes) // 2]
    variation = magnetic_variation_deg(
        middle.lat_deg, middle.lon_deg, middle.pressure_altitude_m, decimal_year(middle.instant.date())
    )
    title, solved = phase.title, "wind triangle"
    weather = mission.weather.name
    where = "forecast, interpolated as a vector in space, height and time; mean over the phase"
    put = writer.put
    course_key = put(
        f"{key}.course",
        f"{title}: track",
        course,
        "degT",
        method="true course half way along",
        inputs=roots.places,
        source=GEODESIC,
    )
    air = ("weather.file", *roots.height, f"{key}.begin")
    winds = (
        put(
            f"{key}.wind_direction",
            f"{title}: wind from",
            wind.from_deg,
            "degT",
            method=where,
            inputs=air,
            source=weather,
        ),
        put(
            f"{key}.wind_speed",
            f"{title}: wind speed",
            wind.speed_m_per_s,
            "kt",
            method=where,
            inputs=air,
            source=weather,
        ),
    )
    sides = (course_key, f"{key}.tas", *winds)
    put(
        f"{key}.variation",
        f"{title}: variation",
        variation,
        "deg",
        decimals=1,
        method="east positive, half way along, on the day",
        inputs=(*roots.places, f"{key}.begin"),
        source=MAGNETIC_MODEL,
    )
    _write_compass(mission, phase, writer, key, triangle, variation, sides)
    speed = put(
        f"{key}.ground_speed",
        f"{title}: ground speed",
        phase.distance_m / phase.duration_s if phase.duration_s else 0.0,
        "kt",
        method=solved + " through the phase: distance over time",
        inputs=sides,
    )
    return course_key, *winds, speed


def _write_compass(
    mission: Mission, phase: Phase, writer: LedgerWriter, key: str, triangle: WindTriangle, variation: float,
    sides: tuple[str, ...],
) -> None:  # fmt: skip
    """Enter drift and the true, magnetic and compass headings."""
    magnetic = true_to_magnetic(triangle.heading_deg, variation)
    compass = magnetic_to_compass(magnetic, compass_deviation(mission.aircraft, magnetic))
    put, title, solved, course = writer.put, phase.title, "wind triangle", phase.course_deg or 0.0
    course_key = f"{key}.course"
    put(f"{key}.drift", f"{title}: drift", triangle.drift_deg, "deg", method=solved + "; right positive", inputs=sides)
    put(f"{key}.heading_true", f"{title}: true heading", triangle.heading_deg, "degT", method=solved, inputs=sides)
    put(
        f"{key}.course_magnetic",
        f"{title}: magnetic track",
        true_to_magnetic(course, variation),
        "degM",
        method="true less easterly variation",
        inputs=(course_key, f"{key}.variation"),
    )
    put(
        f"{key}.heading_magnetic",
        f"{title}: magnetic heading",
        magnetic,
        "degM",
        method="true less easterly variation",
        inputs=(f"{key}.heading_true", f"{key}.variation"),
    )
    put(
        f"{key}.heading_compass",
        f"{title}: compass heading",
        compass,
        "deg",
        method="magnetic with the deviation card",
        inputs=(f"{key}.heading_magnetic",),
        source=mission.aircraft.name,
    )
