"""Mass and balance: moments, centres of gravity, floors and tie-downs.

Arms are aft of the datum and lateral arms to the right of the centre line; forward and left are negative. The same
formulae serve both directions.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.errors import OutOfRangeError
from briefgen.kernel.constants import STANDARD_GRAVITY_M_PER_S2
from briefgen.kernel.limits import number_text, require_within

# A load that needs exactly n straps may come to n and a few units in the last place through conversions.
_ROUND_OFF_RATIO = 1e-9


def moment(mass_kg: float, arm_m: float) -> float:
    """Return the moment of a mass about the datum.

    Args:
        mass_kg: Mass; a mass taken away is negative [kg].
        arm_m: Arm from the datum, negative forward of it or left of the centre line [m].

    Returns:
        Moment [kg m].

    Source:
        FAA-H-8083-1, chapter 2; TM 55-1500-342-23, paragraphs 2-7 to 2-10.
    """
    return mass_kg * arm_m


def centre_of_gravity(masses_kg: Sequence[float], arms_m: Sequence[float]) -> float:
    """Return the arm of the centre of gravity of several masses.

    Args:
        masses_kg: Masses, in the order of the arms [kg].
        arms_m: Their arms [m].

    Returns:
        Arm of the centre of gravity [m].

    Raises:
        OutOfRangeError: The masses do not add up to something above zero.

    Source:
        FAA-H-8083-1, chapter 2 (sum of moments over sum of masses).
    """
    total_kg = math.fsum(masses_kg)
    _require_mass("total mass", total_kg)
    return math.fsum(mass * arm for mass, arm in zip(masses_kg, arms_m, strict=True)) / total_kg


def chord_ratio(arm_m: float, chord_leading_edge_arm_m: float, chord_m: float) -> float:
    """Return an arm as a fraction of the mean aerodynamic chord behind its leading edge.

    Args:
        arm_m: Arm from the datum [m].
        chord_leading_edge_arm_m: Arm of the leading edge of the mean aerodynamic chord [m].
        chord_m: Length of the mean aerodynamic chord, above zero [m].

    Returns:
        Fraction of the chord; 0.25 is printed 25 % MAC [-].

    Raises:
        OutOfRangeError: The chord is not above zero.

    Source:
        FAA-H-8083-1A, chapter 3.
    """
    _require_positive("mean aerodynamic chord", chord_m, "m")
    return (arm_m - chord_leading_edge_arm_m) / chord_m


def arm_at_chord_ratio(ratio: float, chord_leading_edge_arm_m: float, chord_m: float) -> float:
    """Return the arm at a fraction of the mean aerodynamic chord.

    Args:
        ratio: Fraction of the chord behind its leading edge [-].
        chord_leading_edge_arm_m: Arm of the leading edge of the mean aerodynamic chord [m].
        chord_m: Length of the mean aerodynamic chord, above zero [m].

    Returns:
        Arm from the datum [m].

    Raises:
        OutOfRangeError: The chord is not above zero.

    Source:
        FAA-H-8083-1A, chapter 3, solved for the arm.
    """
    _require_positive("mean aerodynamic chord", chord_m, "m")
    return chord_leading_edge_arm_m + ratio * chord_m


def arm_after_shift(total_mass_kg: float, arm_m: float, moved_mass_kg: float, moved_aft_m: float) -> float:
    """Return the arm of the centre of gravity after a mass aboard has been moved.

    Args:
        total_mass_kg: Mass of everything, above zero [kg].
        arm_m: Arm of the centre of gravity before [m].
        moved_mass_kg: Mass moved [kg].
        moved_aft_m: How far aft it was moved, negative when forward [m].

    Returns:
        Arm of the centre of gravity after [m].

    Raises:
        OutOfRangeError: The total mass is not above zero.

    Source:
        FAA-H-8083-25 (2008), chapter 9, weight shifting.
    """
    _require_mass("total mass", total_mass_kg)
    return arm_m + moved_mass_kg * moved_aft_m / total_mass_kg


def arm_after_change(total_mass_kg: float, arm_m: float, added_mass_kg: float, added_arm_m: float) -> float:
    """Return the arm of the centre of gravity after a mass has come aboard or, when negative, has left.

    Args:
        total_mass_kg: Mass of everything before, above zero [kg].
        arm_m: Arm of the centre of gravity before [m].
        added_mass_kg: Mass added, negative when taken away [kg].
        added_arm_m: Arm of that mass [m].

    Returns:
        Arm of the centre of gravity after [m].

    Raises:
        OutOfRangeError: The mass before or after is not above zero.

    Source:
        FAA-H-8083-25 (2008), chapter 9, weight addition or removal.
    """
    _require_mass("total mass", total_mass_kg)
    _require_mass("total mass after the change", total_mass_kg + added_mass_kg)
    return arm_m + added_mass_kg * (added_arm_m - arm_m) / (total_mass_kg + added_mass_kg)


def mass_to_shift(total_mass_kg: float, change_m: float, moved_aft_m: float) -> float:
    """Return the mass to move by a distance so that the centre of gravity moves by a given amount.

    Args:
        total_mass_kg: Mass of everything, above zero [kg].
        change_m: Wanted movement of the centre of gravity, positive aft [m].
        moved_aft_m: Distance the mass is moved, positive aft, not zero [m].

    Returns:
        Mass to move; negative says the other way [kg].

    Raises:
        OutOfRangeError: The total mass is not above zero or the distance is zero.

    Source:
        FAA-H-8083-25 (2008), chapter 9, weight shifting solved for the mass.
    """
    _require_mass("total mass", total_mass_kg)
    _require_distance("distance moved", moved_aft_m)
    return total_mass_kg * change_m / moved_aft_m


def mass_to_add(total_mass_kg: float, arm_m: float, wanted_arm_m: float, added_arm_m: float) -> float:
    """Return the mass to add at an arm so that the centre of gravity comes to a wanted arm.

    The same formula gives permanent ballast.

    Args:
        total_mass_kg: Mass of everything before, above zero [kg].
        arm_m: Arm of the centre of gravity before [m].
        wanted_arm_m: Wanted arm of the centre of gravity [m].
        added_arm_m: Arm at which the mass is added, not the wanted arm [m].

    Returns:
        Mass to add; negative says it has to come off [kg].

    Raises:
        OutOfRangeError: The total mass is not above zero, or mass at that arm cannot move the centre there.

    Source:
        FAA-H-8083-1A, chapter 7, permanent ballast.
    """
    _require_mass("total mass", total_mass_kg)
    _require_distance("distance of the added mass from the wanted centre of gravity", added_arm_m - wanted_arm_m)
    return total_mass_kg * (wanted_arm_m - arm_m) / (added_arm_m - wanted_arm_m)


def greatest_payload(
    operating_mass_kg: float,
    zero_fuel_limit_kg: float | None,
    take_off_limit_kg: float,
    landing_limit_kg: float,
    take_off_fuel_kg: float,
    trip_fuel_kg: float,
) -> float:
    """Return the greatest payload that keeps within the zero-fuel, take-off and landing limits.

    Args:
        operating_mass_kg: Mass of the aircraft with crew and equipment, without payload and fuel [kg].
        zero_fuel_limit_kg: Greatest zero-fuel mass, None when the aircraft has none [kg].
        take_off_limit_kg: Greatest take-off mass [kg].
        landing_limit_kg: Greatest landing mass [kg].
        take_off_fuel_kg: Fuel in the tanks at take-off [kg].
        trip_fuel_kg: Fuel burnt from take-off to landing [kg].

    Returns:
        Greatest payload; below zero not even an empty hold will do [kg].

    Source:
        FAA-H-8083-1B, chapter 9, maximum payload with trip limits.
    """
    zero_fuel_kg = min(take_off_limit_kg, landing_limit_kg + trip_fuel_kg) - take_off_fuel_kg
    if zero_fuel_limit_kg is not None:
        zero_fuel_kg = min(zero_fuel_kg, zero_fuel_limit_kg)
    return zero_fuel_kg - operating_mass_kg


def floor_loading(mass_kg: float, length_m: float, width_m: float) -> float:
    """Return the load on the floor under an item, over the area it stands on.

    Args:
        mass_kg: Mass of the item with its pallet and tie-downs [kg].
        length_m: Length it stands on, above zero [m].
        width_m: Width it stands on, above zero [m].

    Returns:
        Load over area [kg/m2].

    Raises:
        OutOfRangeError: A length is not above zero.

    Source:
        FAA-H-8083-1A, chapter 8 (pallet loading); TM 1-1520-240-10, paragraph 6-6-12.
    """
    _require_positive("length", length_m, "m")
    _require_positive("width", width_m, "m")
    return mass_kg / (length_m * width_m)


def running_load(mass_kg: float, length_m: float) -> float:
    """Return the load on the floor over the running length an item covers.

    Args:
        mass_kg: Mass of the item [kg].
        length_m: Length along the aircraft it stands on, above zero [m].

    Returns:
        Load over running length [kg/m].

    Raises:
        OutOfRangeError: The length is not above zero.

    Source:
        First principles: mass over running length.
    """
    _require_positive("length", length_m, "m")
    return mass_kg / length_m


def tie_downs_needed(
    mass_kg: float, load_factor: float, rated_strength_n: float, floor_angle_deg: float, plan_angle_deg: float
) -> int:
    """Return how many straps hold an item against a load factor along the floor, rounded up.

    Friction and chocks are left out: the straps alone hold.

    Args:
        mass_kg: Mass of the item [kg].
        load_factor: Restraint required in the direction, in multiples of its weight [-].
        rated_strength_n: Rated strength of a strap or of its fitting, the weaker of the two, above zero [N].
        floor_angle_deg: Angle between strap and floor, 0 to 80 [deg].
        plan_angle_deg: Angle between strap and the direction to be held, seen from above, 0 to 80 [deg].

    Returns:
        Number of straps, none for no mass [-].

    Raises:
        OutOfRangeError: A value lies outside its range; beyond 80 deg a strap holds next to nothing that way.

    Source:
        First principles: the part of a strap's pull along the direction is its strength times both cosines.
        FM 55-450-2, chapter 6, uses the same product (75 % at 30 and 30 deg, 50 % at 45 and 45 deg; from memory).
    """
    require_within("mass", mass_kg, 0.0, math.inf, "kg")
    require_within("load factor", load_factor, 0.0, math.inf)
    _require_positive("rated strength", rated_strength_n, "N")
    require_within("angle between strap and floor", floor_angle_deg, 0.0, 80.0, "deg")
    require_within("angle between strap and direction", plan_angle_deg, 0.0, 80.0, "deg")
    effective_n = rated_strength_n * math.cos(math.radians(floor_angle_deg)) * math.cos(math.radians(plan_angle_deg))
    needed = mass_kg * STANDARD_GRAVITY_M_PER_S2 * load_factor / effective_n
    return math.ceil(needed * (1.0 - _ROUND_OFF_RATIO))


def tie_downs_needed_upward(mass_kg: float, load_factor: float, rated_strength_n: float, floor_angle_deg: float) -> int:
    """Return how many straps hold an item down against a load factor upward, rounded up.

    Args:
        mass_kg: Mass of the item [kg].
        load_factor: Restraint required upward, in multiples of its weight [-].
        rated_strength_n: Rated strength of a strap or of its fitting, the weaker of the two, above zero [N].
        floor_angle_deg: Angle between strap and floor, 10 to 90 [deg].

    Returns:
        Number of straps, none for no mass [-].

    Raises:
        OutOfRangeError: A value lies outside its range.

    Source:
        First principles: the upward part of a strap's pull is its strength times the sine of its angle to the floor.
    """
    require_within("mass", mass_kg, 0.0, math.inf, "kg")
    require_within("load factor", load_factor, 0.0, math.inf)
    _require_positive("rated strength", rated_strength_n, "N")
    require_within("angle between strap and floor", floor_angle_deg, 10.0, 90.0, "deg")
    effective_n = rated_strength_n * math.sin(math.radians(floor_angle_deg))
    needed = mass_kg * STANDARD_GRAVITY_M_PER_S2 * load_factor / effective_n
    return math.ceil(needed * (1.0 - _ROUND_OFF_RATIO))


def _require_mass(name: str, mass_kg: float) -> None:
    _require_positive(name, mass_kg, "kg")


def _require_positive(name: str, value: float, unit: str) -> None:
    if not value > 0.0:
        raise OutOfRangeError(f"{name} {number_text(value)} {unit} is out of range", expected=f"above 0 {unit}")


def _require_distance(name: str, distance_m: float) -> None:
    if distance_m == 0.0:
        raise OutOfRangeError(f"{name} is zero", expected="a distance, forward or aft")
