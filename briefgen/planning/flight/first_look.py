"""What can be seen to be impossible before any weather is asked: more fuel than the tanks hold, levels above her ceiling."""

from __future__ import annotations

import math
from contextlib import suppress

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.words import height_words
from briefgen.errors import BriefgenError, OutOfRangeError, PlanError
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.kernel.constants import FT_M
from briefgen.model.mission import Leg, Mission
from briefgen.model.performance import Air
from briefgen.planning.flight.sortie import item_place, written_place
from briefgen.planning.load.pieces import zero_fuel_mass_kg

US_GALLON_M3 = 231.0 * (FT_M / 12.0) ** 3  # 231 cubic inches, exact: NIST SP 811, appendix B
COLD_K = 30.0  # colder than standard by more than a forecast ever is: cold air raises a ceiling
LOW_M = 1000.0
FULL_RATIO = 1.0001  # rounding of a volume written in another unit


def look_first(mission: Mission, performance: Performance) -> None:
    """See that the fuel fits the tanks and that no level is above the ceiling of the empty aircraft in cold air.

    Raises:
        PlanError: One of them does not; the message says where it is written.
    """
    _tanks(mission)
    mass_kg = zero_fuel_mass_kg(mission) - math.fsum(item.mass_kg for item in mission.items)
    for index, item in enumerate(mission.route.items):
        if not isinstance(item, Leg):
            continue
        for height in (item.height, *(change.height for change in item.changes)):
            if height.reference in ("altitude", "pressure"):
                _ceiling(performance, mass_kg, height.value_m, f"{item_place(mission, index)}leg to {item.to.ident}")


def _tanks(mission: Mission) -> None:
    fuel = mission.fuel
    wanted_m3 = math.fsum(fuel.by_tank_m3.values()) if fuel.kind == "by tank" else fuel.volume_m3
    holds_m3 = math.fsum(tank.capacity_m3 for tank in mission.aircraft.balance.tanks)
    if wanted_m3 is not None and wanted_m3 > FULL_RATIO * holds_m3:
        raise PlanError(
            f"{_gallons(wanted_m3)} of fuel are to be loaded, more than the tanks hold",
            where=written_place(mission, f"load.fuel.{fuel.kind}").removesuffix(": "),
            expected=f"{_gallons(holds_m3)} or less",
        )


def _gallons(volume_m3: float) -> str:
    return f"{volume_m3 / US_GALLON_M3:,.0f} US gal"


def _ceiling(performance: Performance, mass_kg: float, height_m: float, where: str) -> None:
    try:
        rate = _climb_rate(performance, mass_kg, height_m)
    except OutOfRangeError as error:
        if _covered(performance, mass_kg, LOW_M):  # so it is the height that her figures do not cover
            raise error.at(where) from error
        return
    except PlanError:
        rate = 0.0
    if rate <= 0.0:
        raise PlanError(
            f"{height_words(height_m)} is above her ceiling, empty and in cold air", where=where,
            expected="a level that she reaches", hint="plan a lower level",
        )  # fmt: skip


def _climb_rate(performance: Performance, mass_kg: float, height_m: float) -> float:
    """Return the rate of climb [m/s] in standard air or in cold air, whichever is greater."""
    rates = [performance.climb(mass_kg, Air(height_m, standard_temperature(height_m))).rate_m_per_s]
    with suppress(BriefgenError):  # charts may not reach into the cold
        rates.append(performance.climb(mass_kg, Air(height_m, standard_temperature(height_m) - COLD_K)).rate_m_per_s)
    return max(rates)


def _covered(performance: Performance, mass_kg: float, height_m: float) -> bool:
    try:
        _climb_rate(performance, mass_kg, height_m)
    except BriefgenError:
        return False
    return True
