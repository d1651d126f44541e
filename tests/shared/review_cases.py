"""Constructed cases for every rule of the house set, at, just below and just above its limit.

The limits are those of the published rules, copied by hand from the documents each rule names (not read from the rule files);
where a rule is the house's own, the number is the house's. What each case expects follows from the limit alone.

Run as a program it prints the table of all rules and cases.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta

from briefgen.errors import PlanError
from briefgen.model.mission import Height, Leg, Risk
from briefgen.model.performance import Ceiling
from briefgen.model.plan import Phase
from tests.shared.review_scene import (
    DENSITY,
    FLOW,
    FT,
    IN,
    KT,
    LB,
    SM,
    START,
    Change,
    Climber,
    H,
    Scene,
    both,
    cruise,
    demo,
    good,
    mission_with,
    node,
    phases_at,
    put,
    rule,
    without,
)

MINUTE = 60.0
USED = 20.0 + 30.0 + 1080.0  # unusable, taxi, trip [kg]
AWAY = 300.0  # way to the alternate [kg]


@dataclass(frozen=True)
class Case:
    """One rule, what is changed in the flight that keeps every rule, and the outcome; None: the rule does not apply."""

    rule: str
    told: str
    change: Change
    outcome: str | None


def ramp_for(left_s: float, *used_kg: float) -> Change:
    """Return the change that leaves fuel for a time at cruise flow when some is used."""
    return put({"fuel.ramp": USED + sum(used_kg) + left_s * FLOW})


def night(*heads: str) -> Change:
    """Return the change that makes it dark at some moments."""
    return put({f"{head}.light": "night" for head in heads})


def unlit(scene: Scene) -> Scene:
    """Take the lights from the runways of origin and destination."""
    dark = tuple(replace(one, lights="none") for one in scene.mission.route.origin.runways)
    place = replace(scene.mission.route.origin, runways=dark)
    return mission_with(route=replace(scene.mission.route, origin=place, destination=place))(scene)


def no_alternate(scene: Scene) -> Scene:
    """Take the alternates away."""
    return mission_with(alternates=())(scene)


def leg_height(height_m: float, track_deg: float) -> Change:
    """Return the change of the leg's height and magnetic track."""

    def change(scene: Scene) -> Scene:
        leg, *rest = scene.mission.route.items
        assert isinstance(leg, Leg)
        items = (replace(leg, height=Height(height_m, "altitude")), *rest)
        scene = mission_with(route=replace(scene.mission.route, items=items))(scene)
        return put({"phase.05-cruise.course_magnetic": track_deg})(replace(scene, phases=phases_at(height_m)))

    return change


def way_height(height_m: float) -> Change:
    """Return the change of the height on the way to the alternates."""

    def change(scene: Scene) -> Scene:
        ways = tuple(
            replace(one, height=Height(height_m, "altitude"), safe_height_m=6700 * FT)
            for one in scene.mission.alternates
        )
        return mission_with(alternates=ways)(scene)

    return change


def drop_height(height_m: float) -> Change:
    """Return the change of the height over the target, which lies at 10 ft."""

    def change(scene: Scene) -> Scene:
        leg, action = scene.mission.route.items
        action = replace(action, height=Height(height_m, "altitude"))  # type: ignore[arg-type]
        return mission_with(route=replace(scene.mission.route, items=(leg, action)))(scene)

    return change


def at_height(altitude_m: float, seconds: float, have_s: float | None = None, need_s: float = 0.0) -> Change:
    """Return the change to a cruise at a height for a time, with a supply of oxygen."""

    def change(scene: Scene) -> Scene:
        scene = replace(scene, phases=phases_at(altitude_m, seconds))
        return scene if have_s is None else put({"oxygen.available": have_s, "oxygen.required": need_s})(scene)

    return change


def ceilings(**ceilings_m: float) -> Change:
    """Return the change of the heights the aircraft climbs to on fewer engines."""
    return lambda scene: replace(
        scene, performance=Climber({"four": 6000.0, "three": 4000.0, "two": 2500.0} | ceilings_m)
    )


def over_an_open_field(scene: Scene) -> Scene:
    """Fly over the alternate, which has lights and weather above its minima all through."""
    field = scene.mission.alternates[0].place

    def there(phase: Phase) -> Phase:
        nodes = tuple(replace(one, lat_deg=field.lat_deg, lon_deg=field.lon_deg) for one in phase.nodes)
        return replace(phase, nodes=nodes)

    return replace(scene, phases=tuple(there(one) if one.kind == "cruise" else one for one in scene.phases))


def far_from_land(scene: Scene) -> Scene:
    """Fly where the nearest aerodrome is over ten degrees away."""
    return replace(
        scene,
        phases=(
            scene.phases[0],
            cruise(node(0.0, 3580.0, lat=-30.0), node(3 * H, 2500.0, lat=-31.0)),
            *scene.phases[2:],
        ),
    )


def minima_missed_at_origin(speed_hours: float) -> Change:
    """Return the change to a bad ceiling at the origin and an alternate some hours away at one-engine-out speed, 50 m/s."""

    def change(scene: Scene) -> Scene:
        from geographiclib.geodesic import Geodesic

        origin, alternate = scene.mission.route.origin, scene.mission.alternates[0]
        there = Geodesic.WGS84.Direct(origin.lat_deg, origin.lon_deg, 180.0, speed_hours * H * 50.0)
        place = replace(alternate.place, lat_deg=there["lat2"], lon_deg=there["lon2"])
        scene = mission_with(alternates=(replace(alternate, place=place),))(scene)
        phases = tuple(
            replace(p, settings=((p.start, _Setting()),)) if p.kind == "cruise" else p  # type: ignore[arg-type]
            for p in scene.phases
        )
        return put({"weather.field.departure.lx01.ceiling": 599.0 * FT})(replace(scene, phases=phases))

    return change


class Weak(Climber):
    """An aircraft that climbs at no height."""

    def ceiling(
        self,
        mass_kg: float,
        isa_deviation_k: float,
        *,
        engines: str,
        rate_m_per_s: float,
        ias_m_per_s: float = 60.0,
        icing: bool = False,
    ) -> Ceiling:
        raise PlanError("she does not climb")


class _Setting:
    air = None


def risk(severity: str, residual: str) -> Change:
    """Return the change to one risk."""
    return mission_with(risks=(Risk("bird", severity, "frequent", "look out", residual),))


def capacity_kg() -> float:
    """Return what the tanks of the demo aircraft hold at the density of the scene."""
    return sum(tank.capacity_m3 for tank in demo().aircraft.balance.tanks) * DENSITY


def mass_cases(ident: str, state: str, limit_kg: float, near: str) -> tuple[Case, ...]:
    """Return the cases of a mass limit; ``near`` is the outcome on the limit."""
    key = f"mass.{state}"
    return (
        Case(ident, "on the limit", put({key: limit_kg}), near),
        Case(ident, "1 kg over", put({key: limit_kg + 1.0}), "fail"),
        Case(ident, "1 % under", put({key: 0.99 * limit_kg}), "pass"),
        Case(ident, "not known", without(key), "fail"),
    )


LIMITS = demo().aircraft.balance.limits
LATERAL = demo().aircraft.balance.lateral_moment_limit_kg_m or 0.0
WINDOW = demo().times.over_target.window_s  # type: ignore[union-attr]
TARGET = demo().times.over_target.instant  # type: ignore[union-attr]
VALID_FROM, VALID_TO = demo().weather.valid_from, demo().weather.valid_to
WIND = demo().aircraft.limits.wind
CROSSWIND = min(WIND.crosswind_m_per_s, 20.0 * KT)
TAILWIND = min(WIND.tailwind_m_per_s, 10.0 * KT)
LX01, LX04 = "weather.field.lx01", "weather.field.lx04"
DEPARTURE = "weather.field.departure.lx01"

FUEL_CASES = (
    Case("vfr-reserve-day", "30 min left, 10 % is the caution", ramp_for(30 * MINUTE), "caution"),
    Case("vfr-reserve-day", "a second less", ramp_for(30 * MINUTE - 1), "fail"),
    Case("vfr-reserve-day", "33 min left", ramp_for(33 * MINUTE), "pass"),
    Case("vfr-reserve-day", "landing by night", night("phase.07-approach"), None),
    Case("vfr-reserve-night", "45 min left", both(night("phase.07-approach"), ramp_for(45 * MINUTE)), "caution"),
    Case("vfr-reserve-night", "a second less", both(night("phase.07-approach"), ramp_for(45 * MINUTE - 1)), "fail"),
    Case("vfr-reserve-night", "49.5 min left", both(night("phase.04-take-off"), ramp_for(49.5 * MINUTE)), "pass"),
    Case("vfr-reserve-night", "light not known", without("phase.04-take-off.light"), "fail"),
    Case("ifr-reserve", "45 min left after the alternate", ramp_for(45 * MINUTE, AWAY), "caution"),
    Case("ifr-reserve", "a second less", ramp_for(45 * MINUTE - 1, AWAY), "fail"),
    Case("ifr-reserve", "49.5 min left", ramp_for(49.5 * MINUTE, AWAY), "pass"),
    Case("ifr-reserve", "45 min left without an alternate", both(no_alternate, ramp_for(45 * MINUTE)), "caution"),
    # trip 180 min and alternate 50 min at cruise flow: 30 + 0.15 x 230 = 64.5 min
    Case("growing-reserve", "64.5 min left", ramp_for(64.5 * MINUTE, AWAY), "caution"),
    Case("growing-reserve", "a second less", ramp_for(64.5 * MINUTE - 1, AWAY), "fail"),
    Case("growing-reserve", "68 min left", ramp_for(68 * MINUTE, AWAY), "pass"),
    Case("growing-reserve", "no alternate", no_alternate, None),
    Case("three-hours-without-alternate", "3 h left", both(no_alternate, ramp_for(3 * H)), "caution"),
    Case("three-hours-without-alternate", "a second less", both(no_alternate, ramp_for(3 * H - 1)), "fail"),
    Case("three-hours-without-alternate", "3 h 10 min left", both(no_alternate, ramp_for(3 * H + 600)), "pass"),
    Case("three-hours-without-alternate", "alternate listed", both(), None),
    # 3 h of cruise: 45 + 0.15 x 180 = 72 min
    Case("island-reserve", "72 min left", both(no_alternate, ramp_for(72 * MINUTE)), "caution"),
    Case("island-reserve", "a second less", both(no_alternate, ramp_for(72 * MINUTE - 1)), "fail"),
    Case("island-reserve", "76 min left", both(no_alternate, ramp_for(76 * MINUTE)), "pass"),
    Case("fuel-components", "total is the sum", put({"fuel.required.total": 1790.0}), "pass"),
    Case("fuel-components", "total 1 kg short", put({"fuel.required.total": 1789.0}), "fail"),
    Case("fuel-components", "no contingency worked out", without("fuel.required.contingency"), "fail"),
    # 5 % of 1080 kg is 54 kg; 5 min at the final reserve's flow (300 kg in 45 min) is 33.3 kg
    Case("contingency", "54 kg", put({"fuel.required.contingency": 54.0}), "pass"),
    Case("contingency", "53.9 kg", put({"fuel.required.contingency": 53.9}), "fail"),
    Case(
        "contingency",
        "short trip, 33.4 kg",
        put({"fuel.required.trip": 100.0, "fuel.required.contingency": 33.4}),
        "pass",
    ),
    Case(
        "contingency",
        "short trip, 33.3 kg",
        put({"fuel.required.trip": 100.0, "fuel.required.contingency": 33.3}),
        "fail",
    ),
    Case("final-reserve", "policy of 45 min", both(), "pass"),
    Case("final-reserve", "policy of 44 min", lambda scene: policy(scene, 44 * MINUTE), "fail"),
    Case("final-reserve", "policy of 46 min", lambda scene: policy(scene, 46 * MINUTE), "pass"),
    # 15 min at 300 kg in 45 min is 100 kg
    Case("additional-fuel", "100 kg left at the worst moment", put({"engine_out.left": 100.0}), "pass"),
    Case("additional-fuel", "99 kg", put({"engine_out.left": 99.0}), "fail"),
    Case("additional-fuel", "she holds no height", put({"engine_out.left": "no height is held"}), "fail"),
    Case("fuel-on-board", "on the requirement, 1 % is the caution", put({"fuel.ramp": 1790.0}), "caution"),
    Case("fuel-on-board", "1 kg short", put({"fuel.ramp": 1789.0}), "fail"),
    Case("fuel-on-board", "18 kg over", put({"fuel.ramp": 1808.0}), "pass"),
    Case("tank-capacity", "tanks full", put({"fuel.ramp": capacity_kg()}), "pass"),
    Case("tank-capacity", "1 kg more", put({"fuel.ramp": capacity_kg() + 1.0}), "fail"),
    Case("fuel-grade", "grade to be had", both(), "pass"),
    Case("fuel-grade", "grade not to be had", mission_with(fuel_grade="115/145"), "fail"),
    Case("fuel-grade-destination", "grade not to be had", mission_with(fuel_grade="115/145"), "caution"),
    Case("fuel-grade-destination", "grade to be had", both(), "pass"),
    # over the destination: 20 kg unusable, 300 kg away, 300 kg reserve
    Case(
        "reserve-after-hold", "620 kg, 10 % is the caution", put({"phase.05-cruise.fuel_remaining": 620.0}), "caution"
    ),
    Case("reserve-after-hold", "619 kg", put({"phase.05-cruise.fuel_remaining": 619.0}), "fail"),
    Case("reserve-after-hold", "651 kg", put({"phase.05-cruise.fuel_remaining": 651.0}), "pass"),
)


def policy(scene: Scene, final_reserve_s: float) -> Scene:
    """Return the scene planned with another final reserve."""
    rules = replace(scene.mission.rules, fuel=replace(scene.mission.rules.fuel, final_reserve_s=final_reserve_s))
    return mission_with(rules=rules)(scene)


LOAD_CASES = (
    *mass_cases("ramp-mass", "ramp", LIMITS.ramp_kg, "pass"),
    *mass_cases("take-off-mass", "take_off", LIMITS.take_off_kg, "caution"),
    *mass_cases("landing-mass", "landing", LIMITS.landing_kg, "caution"),
    *(mass_cases("zero-fuel-mass", "zero_fuel", LIMITS.zero_fuel_kg, "pass") if LIMITS.zero_fuel_kg else ()),
    Case("envelope", "on the forward limit", put({"balance.take_off.forward_margin": 0.0}), "pass"),
    Case("envelope", "1 mm ahead of it", put({"balance.take_off.forward_margin": -0.001}), "fail"),
    Case("envelope", "1 mm behind the aft limit at the door", put({"balance.run.01.door.aft_margin": -0.001}), "fail"),
    Case("envelope", "margin not known", without("balance.take_off.aft_margin"), "fail"),
    Case("envelope", "mass above the envelope", put({"balance.take_off.nearest": "greatest mass"}), "fail"),
    Case("drop-balance", "half an inch left at the door", put({"balance.run.01.door.aft_margin": 0.5 * IN}), "pass"),
    Case("drop-balance", "0.49 in left", put({"balance.run.01.door.aft_margin": 0.49 * IN}), "caution"),
    Case("drop-balance", "nothing is dropped", mission_with(items=()), None),
    Case("lateral-balance", "on the limit, left heavy", put({"balance.take_off.lateral_moment": -LATERAL}), "caution"),
    Case("lateral-balance", "over it", put({"balance.take_off.lateral_moment": -LATERAL - 1.0}), "fail"),
    Case("lateral-balance", "four fifths of it", put({"balance.take_off.lateral_moment": 0.8 * LATERAL}), "pass"),
    Case("person-mass", "170 lb", lambda scene: crew_mass(scene, 170.0 * LB), "pass"),
    Case("person-mass", "169 lb", lambda scene: crew_mass(scene, 169.0 * LB), "caution"),
    Case("person-mass", "not known", lambda scene: crew_mass(no_planning_mass(scene), None), "fail"),
    Case("person-mass", "not weighed, planned at 190 lb", lambda scene: crew_mass(planning_mass(scene), None), "pass"),
)


def planning_mass(scene: Scene, mass_kg: float | None = 190.0 * LB) -> Scene:
    """Return the scene with a planning mass of a crew member in the aircraft file."""
    balance = replace(scene.mission.aircraft.balance, crew_mass_kg=mass_kg)
    return mission_with(aircraft=replace(scene.mission.aircraft, balance=balance))(scene)


def no_planning_mass(scene: Scene) -> Scene:
    """Return the scene without a planning mass in the aircraft file."""
    return planning_mass(scene, None)


def crew_mass(scene: Scene, mass_kg: float | None) -> Scene:
    """Return the scene with one crew member of another mass."""
    first, *rest = scene.mission.crew
    return mission_with(crew=(replace(first, mass_kg=mass_kg), *rest))(scene)


def runway_cases(ident: str, key: str, limit_m: float, near: str, breach: str) -> tuple[Case, ...]:
    """Return the cases of a distance on a runway of 2,000 m."""
    return (
        Case(ident, f"{limit_m:.0f} m of 2,000 m", put({key: limit_m}), near),
        Case(ident, "0.1 m more", put({key: limit_m + 0.1}), breach),
        Case(ident, f"{0.8 * limit_m:.0f} m", put({key: 0.8 * limit_m}), "pass"),
        Case(ident, "not possible", put({key: "not possible"}), "fail"),
    )


PASSING = "fields.take_off.lx01.obstacle.01.failed"
OVER = "fields.take_off.lx01.obstacle.01.over"


def no_obstacles(scene: Scene) -> Scene:
    """Take the obstacles from the take-off path."""
    clear = tuple(replace(one, obstacles=()) for one in scene.mission.route.origin.runways)
    place = replace(scene.mission.route.origin, runways=clear)
    return mission_with(route=replace(scene.mission.route, origin=place))(scene)


FIELD_CASES = (
    *runway_cases("accelerate-stop", "fields.take_off.lx01.accelerate_stop.distance", 2000.0, "caution", "fail"),
    *runway_cases("accelerate-go", "fields.take_off.lx01.accelerate_go.distance", 2000.0, "caution", "fail"),
    *runway_cases("take-off-50ft", "fields.take_off.lx01.distance_50ft.distance", 1700.0, "pass", "caution"),
    Case("obstacle-clearance", "50 ft over palms of 60 ft", put({PASSING: 110 * FT}), "pass"),
    Case("obstacle-clearance", "49 ft over them", put({PASSING: 109 * FT}), "fail"),
    Case("obstacle-clearance", "not yet up", put({PASSING: "below 50 ft"}), "fail"),
    Case("obstacles-all-engines", "50 ft over palms of 60 ft", put({OVER: 110 * FT}), "pass"),
    Case("obstacles-all-engines", "49 ft over them", put({OVER: 109 * FT}), "fail"),
    Case("obstacle-clearance", "no obstacle", no_obstacles, None),
    *runway_cases("landing-destination", "fields.landing.lx01.distance", 1200.0, "caution", "fail"),
    *runway_cases("landing-alternate", "fields.landing.lx04.distance", 1400.0, "caution", "fail"),
    Case("crosswind", "on the limit, 20 % is the caution", put({f"{LX01}.crosswind": CROSSWIND}), "caution"),
    Case("crosswind", "over it, from the left", put({f"{LX01}.crosswind": -CROSSWIND - 0.1}), "fail"),
    Case("crosswind", "three quarters of it", put({f"{LX01}.crosswind": 0.75 * CROSSWIND}), "pass"),
    Case("crosswind", "over it at the alternate", put({f"{LX04}.crosswind": CROSSWIND + 0.1}), "fail"),
    Case("tailwind", "on the limit", put({f"{DEPARTURE}.tailwind": TAILWIND}), "caution"),
    Case("tailwind", "over it", put({f"{DEPARTURE}.tailwind": TAILWIND + 0.1}), "fail"),
    Case("tailwind", "head wind", put({f"{DEPARTURE}.tailwind": -20.0}), "pass"),
    Case("night-lights", "dark and unlit", both(unlit, night("phase.07-approach")), "fail"),
    Case("night-lights", "twilight and unlit", both(unlit, put({"phase.04-take-off.light": "civil twilight"})), "fail"),
    Case("night-lights", "day and unlit", unlit, "pass"),
    Case("night-lights", "dark and lit", night("phase.07-approach"), "pass"),
    Case("origin-weather", "ceiling on the minimum, 600 ft", put({f"{DEPARTURE}.ceiling": 600 * FT}), "pass"),
    Case("origin-weather", "1 ft below", put({f"{DEPARTURE}.ceiling": 599 * FT}), "caution"),
    Case("origin-weather", "not forecast", put({f"{DEPARTURE}.ceiling": "not forecast"}), "fail"),
    Case("destination-weather", "visibility on the minimum, 3 km", put({f"{LX01}.visibility": 3000.0}), "pass"),
    Case("destination-weather", "below, alternate listed", put({f"{LX01}.visibility": 2999.0}), "caution"),
    Case("destination-weather", "below, none listed", both(no_alternate, put({f"{LX01}.visibility": 2999.0})), "fail"),
    Case("destination-weather", "no ceiling at all", put({f"{LX01}.ceiling": "none"}), "pass"),
    Case("alternate-needed", "alternate listed", both(), None),
    Case("alternate-needed", "2,000 ft", both(no_alternate, put({f"{LX01}.ceiling": 2000 * FT})), "pass"),
    Case("alternate-needed", "1,999 ft", both(no_alternate, put({f"{LX01}.ceiling": 1999 * FT})), "fail"),
    Case(
        "alternate-needed",
        "3 sm",
        both(no_alternate, put({f"{LX01}.ceiling": 2000 * FT, f"{LX01}.visibility": 3 * SM})),
        "pass",
    ),
    Case(
        "alternate-needed",
        "2.9 sm",
        both(no_alternate, put({f"{LX01}.ceiling": 3000 * FT, f"{LX01}.visibility": 2.9 * SM})),
        "fail",
    ),
    Case("alternate-minima", "800 ft, 10 % is the caution", put({f"{LX04}.ceiling": 800 * FT}), "caution"),
    Case("alternate-minima", "799 ft", put({f"{LX04}.ceiling": 799 * FT}), "fail"),
    Case("alternate-minima", "2.2 sm", put({f"{LX04}.visibility": 2.21 * SM}), "pass"),
    Case("alternate-minima", "1.9 sm", put({f"{LX04}.visibility": 1.9 * SM}), "fail"),
    Case("take-off-alternate", "weather good enough to come back", both(), None),
    Case("take-off-alternate", "2 h away at one-out speed", minima_missed_at_origin(1.9999), "pass"),
    Case("take-off-alternate", "just over 2 h", minima_missed_at_origin(2.0001), "fail"),
    Case(
        "weather-valid",
        "valid to an hour past landing",
        put({"time.landing": VALID_TO - timedelta(hours=1), "time.take_off": VALID_FROM}),
        "pass",
    ),
    Case("weather-valid", "a second short", put({"time.landing": VALID_TO - timedelta(seconds=3599)}), "fail"),
    Case("weather-valid", "take-off too early", put({"time.take_off": VALID_FROM - timedelta(seconds=1)}), "fail"),
)

ROUTE_CASES = (
    Case("safe-heights", "on the safe altitude, 6,700 ft", at_height(6700 * FT, 3 * H), "pass"),
    Case("safe-heights", "1 ft below", at_height(6699 * FT, 3 * H), "fail"),
    Case("safe-heights", "to the alternate on its safe altitude, 6,700 ft", way_height(6700 * FT), "pass"),
    Case("safe-heights", "to the alternate 1 ft below", way_height(6699 * FT), "fail"),
    Case("safe-heights", "safe altitude not given", lambda scene: unsafe_leg(scene), "fail"),
    Case("height-over-people", "500 ft above 10 ft", drop_height(510 * FT), "pass"),
    Case("height-over-people", "1 ft less", drop_height(509 * FT), "fail"),
    Case("cruising-level", "9,000 ft on 179", leg_height(9000 * FT, 179.0), "pass"),
    Case("cruising-level", "9,000 ft on 180", leg_height(9000 * FT, 180.0), "caution"),
    Case("cruising-level", "8,500 ft on 359", leg_height(8500 * FT, 359.0), "pass"),
    Case("cruising-level", "8,500 ft on 360", leg_height(8500 * FT, 360.0), "caution"),
    Case("cruising-level", "3,000 ft", leg_height(3000 * FT, 90.0), None),
    Case("oxygen-crew-12500", "30 min above 12,500 ft", at_height(12_600 * FT, 30 * MINUTE), "pass"),
    Case("oxygen-crew-12500", "a second more, no supply", at_height(12_600 * FT, 30 * MINUTE + 1, 0.0, 1801.0), "fail"),
    Case("oxygen-crew-12500", "an hour, supply for it", at_height(12_600 * FT, H, H, H), "pass"),
    Case("oxygen-crew-12500", "an hour, supply a second short", at_height(12_600 * FT, H, H - 1, H), "fail"),
    Case(
        "oxygen-crew-14000", "a minute above 14,000 ft, no supply", at_height(14_100 * FT, MINUTE, 0.0, MINUTE), "fail"
    ),
    Case("oxygen-crew-14000", "on 14,000 ft", at_height(14_000 * FT, H, 0.0, 0.0), "pass"),
    Case("oxygen-all-15000", "on 15,000 ft", at_height(15_000 * FT, H, 0.0, 0.0), "pass"),
    Case("oxygen-all-15000", "a minute above, no supply", at_height(15_100 * FT, MINUTE, 0.0, MINUTE), "fail"),
    Case("oxygen-10000", "30 min at 11,000 ft", at_height(11_000 * FT, 30 * MINUTE), "pass"),
    Case("oxygen-10000", "a second more, need not worked out", at_height(11_000 * FT, 30 * MINUTE + 1, H, 0.0), "fail"),
    Case("oxygen-12000", "a minute at 12,100 ft, no supply", at_height(12_100 * FT, MINUTE, 0.0, MINUTE), "fail"),
    Case("oxygen-12000", "an hour on 12,000 ft", at_height(12_000 * FT, H, 0.0, 0.0), "pass"),
    Case("oxygen-house", "half an hour at 10,100 ft", at_height(10_100 * FT, 30 * MINUTE), "pass"),
    Case("oxygen-house", "an hour, no supply", at_height(10_100 * FT, H, 0.0, H), "fail"),
    Case("climb-all-engines", "rate met up to 6,700 ft", ceilings(four=6700 * FT), "pass"),
    Case("climb-all-engines", "1 ft lower", ceilings(four=6699 * FT), "fail"),
    Case("climb-one-out", "rate met up to 6,700 ft", ceilings(three=6700 * FT), "pass"),
    Case("climb-one-out", "rate out of her power", lambda scene: replace(scene, performance=Weak({})), "fail"),
    Case("climb-one-out", "1 ft lower", ceilings(three=6699 * FT), "fail"),
    Case("climb-two-out", "rate not met, aerodrome near and open", both(ceilings(two=0.0), over_an_open_field), "pass"),
    Case("climb-two-out", "rate not met, aerodrome near shut by stratus", ceilings(two=0.0), "fail"),
    Case("climb-two-out", "rate not met, far from land", both(ceilings(two=6699 * FT), far_from_land), "fail"),
    Case("climb-two-out", "rate met, far from land", both(ceilings(two=6700 * FT), far_from_land), "pass"),
    Case("climb-two-out", "answers not known", lambda scene: replace(scene, performance=None), "fail"),
)


def unsafe_leg(scene: Scene) -> Scene:
    """Return the scene with a leg that has no safe altitude."""
    leg, *rest = scene.mission.route.items
    items = (replace(leg, safe_height_m=None), *rest)  # type: ignore[call-arg]
    return mission_with(route=replace(scene.mission.route, items=items))(scene)


CREW_CASES = (
    Case("time-aloft", "12 h, 10 % is the caution", put({"time.landing": START + timedelta(hours=12)}), "caution"),
    Case("time-aloft", "a second more", put({"time.landing": START + timedelta(hours=12, seconds=1)}), "fail"),
    Case("time-aloft", "10 h 48 min", put({"time.landing": START + timedelta(hours=10.8)}), "pass"),
    Case("duty", "14 h", put({"duration.duty": 14 * H}), "caution"),
    Case("duty", "a second more", put({"duration.duty": 14 * H + 1}), "fail"),
    Case("duty", "12 h 36 min", put({"duration.duty": 12.6 * H}), "pass"),
    Case("crew-complete", "nobody missing", both(), "pass"),
    Case("crew-complete", "no captain", lambda scene: mission_with(crew=scene.mission.crew[1:])(scene), "fail"),
    Case(
        "time-over-target",
        "at the edge of the window",
        put({"time.over_target": TARGET - timedelta(seconds=WINDOW)}),
        "pass",
    ),
    Case(
        "time-over-target",
        "a second past it",
        put({"time.over_target": TARGET + timedelta(seconds=WINDOW + 1)}),
        "fail",
    ),
    Case("risk-serious", "medium left", risk("critical", "remote"), "pass"),
    Case("risk-serious", "serious left", risk("critical", "occasional"), "caution"),
    Case("risk-serious", "no risk assessed", mission_with(risks=()), "fail"),
    Case("risk-high", "serious left", risk("critical", "occasional"), "pass"),
    Case("risk-high", "high left", risk("catastrophic", "occasional"), "fail"),
)

CASES = (*FUEL_CASES, *LOAD_CASES, *FIELD_CASES, *ROUTE_CASES, *CREW_CASES)


def outcome_of(case: Case) -> str | None:
    """Return the outcome of a case."""
    finding, _ = case.change(good()).judged(rule(case.rule))
    return finding.outcome if finding else None


def table() -> str:
    """Return the table of all rules with their cases and outcomes, in Markdown."""
    lines = [
        "| rule | requirement | breach is a | source | provenance | case | outcome |",
        "|---|---|---|---|---|---|---|",
    ]
    for one in (*demo().rules.rules, *(aside.rule for aside in demo().rules.set_aside)):
        for number, case in enumerate(case for case in CASES if case.rule == one.ident):
            head = (one.ident, one.title, one.severity, one.source, one.provenance) if number == 0 else ("",) * 5
            lines.append("| " + " | ".join((*head, case.told, outcome_of(case) or "does not apply")) + " |")
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    print(table(), end="")
