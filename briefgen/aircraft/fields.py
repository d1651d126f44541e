"""Take-off and landing of one aircraft on one strip: what the plan may ask, whichever kind of aircraft answers."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Literal, Protocol

from briefgen.frozen import dataclass
from briefgen.kernel import air_distance
from briefgen.kernel.constants import FT_M
from briefgen.kernel.interpolate import root
from briefgen.model.performance import Air
from briefgen.model.places import Runway

Attitude = Literal["tail down", "tail raised", "nose wheel"]

SCREEN_HEIGHT_M = 50.0 * FT_M  # 14 CFR 121.177(a)(2) and 121.185 for reciprocating engines; turbines use 35 ft
_MASS_TOLERANCE_KG = 2.0
_FAR_OVER = 3.0  # logarithm that stands for a distance without end while a mass is looked for


@dataclass(frozen=True)
class Strip:
    """A runway as it is used: its air, the head wind that may be counted on, and whether rain lies on it."""

    runway: Runway
    air: Air
    headwind_m_per_s: float
    wet: bool = False


def surface_names(strip: Strip) -> tuple[str, ...]:
    """Return the names under which the surface of a strip may stand in an aircraft file, the one to be preferred first.

    Rain or standing water turns a dry surface into its wet one; a surface written as wet stays wet on a dry day.
    """
    written = strip.runway.surface
    base = written.removesuffix(" dry")
    if not (strip.wet or strip.runway.depth_m > 0.0):
        return (written, f"{base} dry", base)
    if base == "firm turf":
        return ("wet grass",)
    return (f"{base} wet",) if base == "paved" else (f"{base} wet", base)


@dataclass(frozen=True)
class TakeOff:
    """One take-off at one mass; infinite where she does not unstick or climb, None where the file does not say."""

    unstick_ias_m_per_s: float | None
    safe_ias_m_per_s: float | None
    ground_run_m: float
    distance_m: float  # to 50 ft, all engines
    accelerate_stop_m: float | None
    accelerate_go_m: float | None  # to 50 ft, one engine failing at the critical speed
    critical_ias_m_per_s: float | None
    gradient_ratio: float | None  # climb beyond 50 ft over the ground, all engines
    failed_gradient_ratio: float | None  # the same with an engine failed
    fastest_ias_m_per_s: float | None  # where she stops gaining speed, when she does not unstick
    critical_run_m: float | None = None  # to the critical speed, all engines
    critical_time_s: float | None = None  # from the start of the run to the critical speed
    stop_fits_ias_m_per_s: float | None = None  # highest speed of a failure from which the stop fits the runway

    def height_at(self, distance_m: float) -> float | None:
        """Return the height [m] over the point of unstick at a distance from the start of the run, all engines."""
        if self.gradient_ratio is None:
            return None
        return air_distance.height_over_obstacle(
            distance_m, self.ground_run_m, self.distance_m, SCREEN_HEIGHT_M, self.gradient_ratio
        )


@dataclass(frozen=True)
class Landing:
    """One landing at one mass from 50 ft over the threshold."""

    threshold_ias_m_per_s: float
    touchdown_ias_m_per_s: float | None
    air_m: float | None
    distance_m: float


class FieldPerformance(Protocol):
    """Answers of one aircraft on one fuel grade about runways."""

    @property
    def attitudes(self) -> tuple[Attitude, ...]:
        """Return the ways she can be run, the usual one first."""
        ...

    @property
    def source(self) -> str:
        """Return where the answers come from."""
        ...

    def mass_range_kg(self, kind: str) -> tuple[float, float]:
        """Return the masses the answers cover, for "take-off" or "landing" [kg].

        Raises:
            PlanError: The aircraft file says nothing about that.
        """
        ...

    def take_off(self, mass_kg: float, strip: Strip, attitude: Attitude | None = None) -> TakeOff:
        """Return the take-off; None takes the usual attitude."""
        ...

    def landing(self, mass_kg: float, strip: Strip) -> Landing:
        """Return the landing with the landing flaps and brakes of the aircraft file."""
        ...

    def surface_words(self, strip: Strip) -> tuple[str, str]:
        """Return the surface the figures hold for, and where its figures come from."""
        ...

    def hydroplaning_ground_speed(self, strip: Strip) -> float | None:
        """Return the ground speed above which a rolling tyre rides on water [m/s], None when dry or not known."""
        ...


def greatest_mass(distance_ratio: Callable[[float], float], low_kg: float, high_kg: float) -> float | None:
    """Return the greatest mass whose distance over the distance available is at most 1; None when the least is over.

    The ratio rises with mass. The answer errs by at most the tolerance of the search, to the light side.
    """

    def over(mass_kg: float) -> float:
        return min(math.log(distance_ratio(mass_kg)), _FAR_OVER)

    if over(high_kg) <= 0.0:
        return high_kg
    if over(low_kg) > 0.0:
        return None
    return max(low_kg, root(over, low_kg, high_kg, _MASS_TOLERANCE_KG) - _MASS_TOLERANCE_KG)
