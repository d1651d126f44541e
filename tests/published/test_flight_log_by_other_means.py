"""The demo flight logs worked out again by other means: another geodesic library, plain trigonometry, addition.

What is given to the check is what the plan prints or was given (positions, indicated winds and airspeeds); what is compared is
what the plan made of it. Sources: PROJ's geodesics (C. Karney, through pyproj); the wind triangle of FAA-H-8083-25,
chapter 16 (from memory), by vectors; the ICAO standard atmosphere through the library fluids.
"""

from __future__ import annotations

import math

import pytest
from pyproj import Geod

from briefgen.model.mission import Leg
from briefgen.model.plan import Plan
from briefgen.planning.flight.route import item_keys
from briefgen.planning.ledger.keys import phase_key
from tests.shared.demo_missions import plan_of

METRE_M = 1.0
HALF_A_DEGREE = 0.5  # printed to a degree
WIND_MEAN_RATIO = 0.01  # the log's one wind is the mean over the phase; the flying met it piece by piece
KELVIN = 273.15


@pytest.fixture(scope="module", params=["cedar-lantern", "long-tide"])
def plan(request: pytest.FixtureRequest) -> Plan:
    return plan_of(request.param)


def number(plan: Plan, key: str) -> float:
    value = plan.ledger[key].value
    assert isinstance(value, int | float)
    return float(value)


def test_legs_are_as_long_as_another_library_has_them(plan: Plan) -> None:
    """Sum of a leg's phases against PROJ's geodesic between its places, on the WGS 84 ellipsoid."""
    geod, here, items = Geod(ellps="WGS84"), plan.mission.route.origin, plan.mission.route.items
    for key, item in zip(item_keys(items), items, strict=True):
        if not isinstance(item, Leg):
            continue
        _, _, length_m = geod.inv(here.lon_deg, here.lat_deg, item.to.lon_deg, item.to.lat_deg)

        assert number(plan, f"{key}.distance") == pytest.approx(length_m, abs=METRE_M)
        here = item.to


def test_headings_and_ground_speeds_close_the_wind_triangle(plan: Plan) -> None:
    """Air vector plus wind vector is the ground vector, added in east and north."""
    checked = 0
    for phase in plan.phases:
        key = phase_key(phase.ident)
        if f"{key}.heading_true" not in plan.ledger or phase.kind != "cruise":
            continue
        heading, tas = math.radians(number(plan, f"{key}.heading_true")), number(plan, f"{key}.tas")
        blows_from, wind = math.radians(number(plan, f"{key}.wind_direction")), number(plan, f"{key}.wind_speed")
        east = tas * math.sin(heading) - wind * math.sin(blows_from)
        north = tas * math.cos(heading) - wind * math.cos(blows_from)
        track = math.degrees(math.atan2(east, north)) % 360.0
        checked += 1

        assert (track - number(plan, f"{key}.course") + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=HALF_A_DEGREE)
        assert math.hypot(east, north) == pytest.approx(number(plan, f"{key}.ground_speed"), rel=WIND_MEAN_RATIO)
    assert checked >= 4


def test_true_airspeed_follows_from_equivalent_by_the_density_of_another_atmosphere(plan: Plan) -> None:
    """EAS = TAS sqrt(sigma): density from the gas law with the pressure of fluids' standard atmosphere."""
    from fluids.atmosphere import ATMOSPHERE_1976

    for phase in plan.phases:
        if phase.kind != "cruise":
            continue
        for _, setting in phase.settings:
            height_m = setting.air.pressure_altitude_m
            geometric_m = 6_356_766.0 * height_m / (6_356_766.0 - height_m)  # the library takes geometric height
            density = ATMOSPHERE_1976(geometric_m).P / (287.05287 * setting.air.temperature_k)
            equivalent = setting.tas_m_per_s * math.sqrt(density / 1.225)

            # At these speeds compressibility lowers EAS below CAS by less than 0.3 %.
            assert equivalent == pytest.approx(setting.cas_m_per_s, rel=3e-3)
            assert equivalent <= setting.cas_m_per_s * (1.0 + 1e-4)


def test_fuel_required_is_the_sum_a_pencil_makes(plan: Plan) -> None:
    """Lines of the sheet added by hand; the contingency is its share of the trip, or the rule set's least."""
    lines = [key for key in plan.ledger.entries if key.startswith("fuel.required.") and key.count(".") == 2]
    parts = [key for key in lines if not key.endswith("_volume") and not key.endswith(".total")]
    policy = plan.mission.rules.fuel

    assert math.fsum(number(plan, key) for key in parts) == pytest.approx(number(plan, "fuel.required.total"))
    share = policy.contingency_ratio * number(plan, "fuel.required.trip")
    assert number(plan, "fuel.required.contingency") >= share * (1.0 - 1e-9)


def test_burn_over_time_is_the_fuel_flow_of_the_power_table(plan: Plan) -> None:
    """A cruise flown on one mixture burns its mean flow for its time, within the fall of the flow along it."""
    for phase in plan.phases:
        flows = [setting.fuel_flow_kg_per_s for _, setting in phase.settings]
        if phase.kind != "cruise" or len({setting.mixture for _, setting in phase.settings}) != 1:
            continue

        assert min(flows) <= phase.fuel_burn_kg / phase.duration_s <= max(flows) + 1e-12


def test_the_take_off_centre_of_gravity_is_moment_over_mass() -> None:
    """Cedar Lantern: masses and arms of the loading sheet and the tanks, multiplied and added."""
    plan = plan_of("cedar-lantern")
    from briefgen.planning.load.tanks import start_contents, tank_contents

    aircraft, density = plan.mission.aircraft, plan.mission.fuel.density_kg_per_m3
    rows = plan.tables["balance.stations"].rows
    pairs = [
        (number(plan, row.cells["mass"]), number(plan, row.cells["arm"]))
        for row in rows
        if row.mark != "total" and {"mass", "arm"} <= set(row.cells) and "fuel" not in row.name.lower()
    ]
    ramp_m3 = number(plan, "fuel.ramp_volume")
    burnt_m3 = ramp_m3 - next(p for p in plan.phases if p.kind == "take-off").start.fuel_kg / density
    tanks = tank_contents(aircraft, start_contents(aircraft, plan.mission.fuel, ramp_m3), burnt_m3)
    zero_fuel_kg = math.fsum(mass for mass, _ in pairs)
    arms = {tank.name: tank.arm_m for tank in aircraft.balance.tanks}
    moment = math.fsum(mass * arm for mass, arm in pairs)
    moment += math.fsum(volume * density * arms[name] for name, volume in tanks.items())
    total = zero_fuel_kg + math.fsum(tanks.values()) * density
    # Who moves for take-off weighs 200 lb at another arm then; the sheet's rows show the seat of the flight.
    seats = {station.name: station.arm_m for station in aircraft.balance.stations}
    for seat in aircraft.crew:
        if seat.take_off_station is not None:
            moment += aircraft.balance.crew_mass_kg * (seats[seat.take_off_station] - seats[seat.station])

    assert zero_fuel_kg == pytest.approx(number(plan, "mass.zero_fuel"), abs=0.01)
    assert moment / total == pytest.approx(number(plan, "balance.take_off.cg"), abs=0.003)  # the tables print tenths
