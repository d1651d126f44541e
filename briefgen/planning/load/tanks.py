"""Fuel in its tanks at any instant: how it is filled, in which order it is burnt, and what is left where.

Tanks are burnt in ascending order; tanks of equal order go down together by equal volumes, each to its unusable fuel,
and the others of the group carry on. Filling is the reverse: what is burnt last is filled first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from briefgen.errors import PlanError
from briefgen.frozen import dataclass, replace
from briefgen.kernel.fuel import density_at_temperature
from briefgen.model.aircraft import Aircraft, Tank
from briefgen.model.mission import FuelLoad

M3_PER_US_GAL = 231.0 * 0.0254**3  # exact: NIST SP 811, appendix B; for messages only
_ROUND_OFF_M3 = 1e-9


@dataclass(frozen=True)
class Changeover:
    """A moment at which a tank or a group of tanks is used up.

    Attributes:
        burned_m3: Fuel burnt since the engines were started.
        emptied: Tanks that have just come down to their unusable fuel.
        onward: Tanks that are burnt from here on; none at the last.
        group_ends: Whether a whole group is used up, so that the source is changed.
    """

    burned_m3: float
    emptied: tuple[str, ...]
    onward: tuple[str, ...]
    group_ends: bool


def fuel_at_its_temperature(fuel: FuelLoad) -> FuelLoad:
    """Return the fuel load with its density taken to the temperature of the fuel; without one, as written."""
    if fuel.temperature_k is None:
        return fuel
    if fuel.density_temperature_k is None:
        raise PlanError(
            "the temperature of the fuel is given but not the temperature at which its density was measured",
            where="load: fuel", expected="both temperatures, or neither", hint="write 'density at', such as 15 degC",
        )  # fmt: skip
    density = density_at_temperature(fuel.density_kg_per_m3, fuel.density_temperature_k, fuel.temperature_k)
    return replace(fuel, density_kg_per_m3=density)


def measured_density_kg_per_m3(fuel: FuelLoad) -> float:
    """Return the density as measured of a fuel load whose density has been taken to its temperature."""
    if fuel.temperature_k is None or fuel.density_temperature_k is None:
        return fuel.density_kg_per_m3
    return density_at_temperature(fuel.density_kg_per_m3, fuel.temperature_k, fuel.density_temperature_k)


def groups(aircraft: Aircraft) -> tuple[tuple[Tank, ...], ...]:
    """Return the tanks in the order in which they are burnt, those burnt together side by side."""
    tanks = aircraft.balance.tanks
    return tuple(tuple(tank for tank in tanks if tank.order == order) for order in sorted({t.order for t in tanks}))


def filled(aircraft: Aircraft, volume_m3: float) -> dict[str, float]:
    """Return the contents of each tank when a volume is put aboard, last burnt filled first."""
    left_m3 = volume_m3
    contents: dict[str, float] = {}
    for group in reversed(groups(aircraft)):
        level = _common_draw(
            [tank.capacity_m3 for tank in group], min(left_m3, math.fsum(t.capacity_m3 for t in group))
        )
        for tank in group:
            contents[tank.name] = min(tank.capacity_m3, level)
            left_m3 -= contents[tank.name]
    if left_m3 > _ROUND_OFF_M3:
        raise _does_not_fit(aircraft, volume_m3)
    return {tank.name: contents[tank.name] for tank in aircraft.balance.tanks}


def topped_up(aircraft: Aircraft, before_m3: Mapping[str, float], added_m3: float) -> dict[str, float]:
    """Return the contents of each tank when a volume is added to what is left: as when filled whole, but out of no tank.

    Raises:
        PlanError: It does not fit.
    """
    total_m3 = math.fsum(before_m3.values()) + added_m3
    if added_m3 <= 0.0:
        return dict(before_m3)
    wanted = filled(aircraft, total_m3)
    contents = {name: max(before_m3[name], wanted[name]) for name in wanted}
    over_m3 = math.fsum(contents.values()) - total_m3
    for group in groups(aircraft):  # what is burnt first gives way to what stays in the others
        room = [contents[tank.name] - before_m3[tank.name] for tank in group]
        take_m3 = min(over_m3, math.fsum(room))
        draw_m3 = _common_draw(room, take_m3)
        for tank, most_m3 in zip(group, room, strict=True):
            contents[tank.name] -= min(most_m3, draw_m3)
        over_m3 -= take_m3
    return contents


def start_contents(aircraft: Aircraft, fuel: FuelLoad, ramp_m3: float) -> dict[str, float]:
    """Return the contents of each tank before the engines are started, as written or, without that, as filled."""
    if fuel.kind != "by tank":
        return filled(aircraft, ramp_m3)
    tanks = {tank.name: tank for tank in aircraft.balance.tanks}
    for name, volume_m3 in fuel.by_tank_m3.items():
        if name not in tanks:
            raise PlanError(
                f"there is no tank '{name}' in the {aircraft.name}",
                where="fuel",
                expected="one of: " + ", ".join(tanks),
            )
        if volume_m3 > tanks[name].capacity_m3 + _ROUND_OFF_M3:
            raise PlanError(
                f"{_gallons(volume_m3)} do not fit into tank '{name}'",
                where="fuel",
                expected=f"at most {_gallons(tanks[name].capacity_m3)}",
                hint="put the rest into another tank",
            )
    contents = {name: fuel.by_tank_m3.get(name, 0.0) for name in tanks}
    if abs(math.fsum(contents.values()) - ramp_m3) > 1e-6:
        raise PlanError(
            f"the tanks hold {_gallons(math.fsum(contents.values()))} but the flight starts with {_gallons(ramp_m3)}",
            where="fuel",
            expected="the same fuel in the tanks and in the plan",
        )
    return contents


def tank_contents(
    aircraft: Aircraft, start_m3: Mapping[str, float], burned_m3: float, *, failed: frozenset[str] = frozenset()
) -> dict[str, float]:
    """Return what is left in each tank after a volume has been burnt; a failed tank keeps what it has."""
    left_m3 = burned_m3
    contents = dict(start_m3)
    for group in groups(aircraft):
        drawn = [tank for tank in group if tank.name not in failed]
        usable = [max(0.0, start_m3[tank.name] - tank.unusable_m3) for tank in drawn]
        take_m3 = min(left_m3, math.fsum(usable))
        draw_m3 = _common_draw(usable, take_m3)
        for tank, available_m3 in zip(drawn, usable, strict=True):
            contents[tank.name] -= min(available_m3, draw_m3)
        left_m3 -= take_m3
    if left_m3 > _ROUND_OFF_M3:
        raise PlanError(
            f"{_gallons(left_m3)} more are burnt than the tanks can give",
            where="fuel",
            expected=f"at most {_gallons(burned_m3 - left_m3)} of usable fuel burnt",
            hint="load more fuel, or fill a tank that has not failed",
        )
    return contents


def changeovers(aircraft: Aircraft, start_m3: Mapping[str, float]) -> tuple[Changeover, ...]:
    """Return the moments, in fuel burnt, at which a tank or a group is used up."""
    found: list[Changeover] = []
    before_m3 = 0.0
    used = [(group, _usable(group, start_m3)) for group in groups(aircraft)]
    used = [(group, usable) for group, usable in used if math.fsum(usable) > _ROUND_OFF_M3]
    for number, (group, usable) in enumerate(used):
        following = tuple(tank.name for tank in used[number + 1][0]) if number + 1 < len(used) else ()
        for level_m3 in sorted({volume for volume in usable if volume > 0.0}):
            burned_m3 = before_m3 + math.fsum(min(volume, level_m3) for volume in usable)
            emptied = tuple(tank.name for tank, volume in zip(group, usable, strict=True) if volume == level_m3)
            rest = tuple(tank.name for tank, volume in zip(group, usable, strict=True) if volume > level_m3)
            found.append(Changeover(burned_m3, emptied, rest or following, not rest))
        before_m3 += math.fsum(usable)
    return tuple(found)


def usable_m3(aircraft: Aircraft, contents_m3: Mapping[str, float]) -> float:
    """Return the part of the contents that the engines can get."""
    return math.fsum(max(0.0, contents_m3[tank.name] - tank.unusable_m3) for tank in aircraft.balance.tanks)


def imbalance_m3(aircraft: Aircraft, contents_m3: Mapping[str, float]) -> float:
    """Return how much more stands in the tanks right of the centre line than in those left of it."""
    return math.fsum(
        math.copysign(contents_m3[tank.name], tank.lateral_arm_m)
        for tank in aircraft.balance.tanks
        if tank.lateral_arm_m != 0.0
    )


def transfer_tanks(aircraft: Aircraft) -> tuple[Tank, ...]:
    """Return the tanks whose fuel reaches the engines only by transfer; where the file has no rule, all but the last group."""
    if aircraft.fuel_transfer is not None:
        given = {one.tank for one in aircraft.fuel_transfer.transfers}
        return tuple(tank for tank in aircraft.balance.tanks if tank.name in given)
    return tuple(tank for group in groups(aircraft)[:-1] for tank in group)


def _usable(group: Sequence[Tank], start_m3: Mapping[str, float]) -> list[float]:
    return [max(0.0, start_m3[tank.name] - tank.unusable_m3) for tank in group]


def _common_draw(available_m3: Sequence[float], total_m3: float) -> float:
    """Return the volume each gives, a smaller one all it has, so that together they give the total."""
    left_m3 = total_m3
    remaining = sorted(available_m3)
    for index, volume_m3 in enumerate(remaining):
        share_m3 = left_m3 / (len(remaining) - index)
        if share_m3 <= volume_m3:
            return share_m3
        left_m3 -= volume_m3
    return remaining[-1] if remaining else 0.0


def _does_not_fit(aircraft: Aircraft, volume_m3: float) -> PlanError:
    capacity_m3 = math.fsum(tank.capacity_m3 for tank in aircraft.balance.tanks)
    return PlanError(
        f"{_gallons(volume_m3)} do not fit into the tanks",
        where="fuel",
        expected=f"at most {_gallons(capacity_m3)}",
        hint="load less fuel",
    )


def _gallons(volume_m3: float) -> str:
    return f"{volume_m3 / M3_PER_US_GAL:,.1f} US gal"
