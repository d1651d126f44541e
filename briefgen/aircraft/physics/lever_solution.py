"""Where the levers stand: the lowest engine speed whose permitted manifold pressure gives the power, lean if it may."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from briefgen.aircraft.physics.powerplant import Breath, PowerPlant
from briefgen.aircraft.words import pressure_words
from briefgen.errors import PlanError
from briefgen.kernel.interpolate import root
from briefgen.model.performance import Mixture

_ENGINE_SPEED_TOLERANCE_RPM = 0.2
_ROUND_OFF = 1e-4  # of a step: a quotient of two floats, and the tolerance of the manifold pressure solved
MIXTURES: tuple[Mixture, Mixture] = ("lean", "rich")


class Levers(NamedTuple):
    """A found setting of one engine, the limit it comes to first and the unused part of the power under it."""

    engine_speed_rpm: float
    manifold_pressure_pa: float
    mixture: Mixture
    power_w: float
    governing_limit: str
    margin_ratio: float


PowerNeeded = Callable[[float], float]  # shaft power [W] wanted of each engine as a function of engine speed [rpm]


class FoundSpeed(NamedTuple):
    """An engine speed at which the power wanted is permitted, that power, and what is to spare at the highest speed."""

    engine_speed_rpm: float
    power_w: float
    mixture: Mixture
    spare_highest_w: float


def levers_for(
    plant: PowerPlant, breath: Breath, needed: PowerNeeded, wish: Mixture | None = None, least_rpm: float = 0.0
) -> Levers:
    """Return the levers for a power that may depend on engine speed; lean before rich, unless one of them is wished.

    Raises:
        PlanError: No permitted setting without time limit gives the power.
    """
    speed_rpm, power_w, mixture, spare_highest_w = engine_speed_for(plant, breath, needed, wish, least_rpm)
    highest_rpm = plant.highest_engine_speed(mixture)
    return Levers(
        engine_speed_rpm=speed_rpm,
        manifold_pressure_pa=plant.manifold_pressure(breath, speed_rpm, power_w, mixture),
        mixture=mixture,
        power_w=power_w,
        governing_limit=plant.permitted(breath, highest_rpm, mixture).limit,
        margin_ratio=spare_highest_w / (spare_highest_w + needed(highest_rpm)),
    )


def engine_speed_for(
    plant: PowerPlant, breath: Breath, needed: PowerNeeded, wish: Mixture | None = None, least_rpm: float = 0.0
) -> FoundSpeed:
    """Return the engine speed of `levers_for` without the rest of the levers, which a search does not want.

    Raises:
        PlanError: No permitted setting without time limit gives the power.
    """
    for mixture in MIXTURES if wish is None else (wish,):
        found = _on_mixture(plant, breath, needed, mixture, least_rpm)
        if found is not None:
            return found
    top_rpm = plant.highest_engine_speed("rich")
    ceiling = plant.permitted(breath, top_rpm, "rich")
    most_w = plant.power(breath, top_rpm, ceiling.manifold_pressure_pa, "rich")
    raise PlanError(
        f"the flight needs {100.0 * needed(top_rpm) / most_w:.1f} % of the power the engines may give without time limit",
        expected=f"at most 100 %, the {ceiling.limit}",
        hint="fly slower, lighter or at another height",
    )


def readable_levers(
    plant: PowerPlant, breath: Breath, needed: PowerNeeded, levers: Levers, steps: tuple[float, float]
) -> Levers:
    """Return levers on whole steps of the tachometer [rpm] and of the manifold gauge [Pa] that give no less than the power.

    Engine speed goes up to the next step; manifold pressure is the lowest step that still gives the power, and where that
    would lie over what is permitted or to be had, engine speed goes up by another step. Levers for which there is no such
    pair below the highest engine speed stand on the limit itself and are returned as they are.
    """
    step_rpm, step_pa = steps
    speed_rpm, mixture = math.ceil(levers.engine_speed_rpm / step_rpm - _ROUND_OFF) * step_rpm, levers.mixture
    while speed_rpm <= plant.highest_engine_speed(mixture) + _ROUND_OFF:
        exact_pa = plant.manifold_pressure(breath, speed_rpm, needed(speed_rpm), mixture)
        manifold_pa = math.ceil(exact_pa / step_pa - _ROUND_OFF) * step_pa
        if manifold_pa <= plant.permitted(breath, speed_rpm, mixture).manifold_pressure_pa * (1.0 + _ROUND_OFF):
            power_w = plant.power(breath, speed_rpm, manifold_pa, mixture)
            return levers._replace(engine_speed_rpm=speed_rpm, manifold_pressure_pa=manifold_pa, power_w=power_w)
        speed_rpm += step_rpm
    return levers


def _on_mixture(
    plant: PowerPlant, breath: Breath, needed: PowerNeeded, mixture: Mixture, least_rpm: float
) -> FoundSpeed | None:
    greatest_power = plant.greatest_power_by_speed(breath, mixture)

    def spare(engine_speed_rpm: float) -> float:
        return greatest_power(engine_speed_rpm) - needed(engine_speed_rpm)

    low, high = max(plant.minimum_engine_speed_rpm, least_rpm), plant.highest_engine_speed(mixture)
    if low > high:
        return None
    spare_high = spare(high)
    if spare_high < 0.0:
        return None
    spare_low = spare(low)
    if spare_low >= 0.0:
        speed_rpm = low
    else:
        speed_rpm = root(spare, low, high, _ENGINE_SPEED_TOLERANCE_RPM, ends=(spare_low, spare_high))
    return FoundSpeed(speed_rpm, needed(speed_rpm), mixture, spare_high)


def given_levers(
    plant: PowerPlant, breath: Breath, engine_speed_rpm: float, manifold_pressure_pa: float, mixture: Mixture | None
) -> Levers:
    """Return the levers as given, after holding them against the limits; None takes lean where it is permitted.

    Raises:
        PlanError: The setting is not permitted, or the engines cannot draw that manifold pressure there.
    """
    problem = ""
    for wish in MIXTURES if mixture is None else (mixture,):
        top_rpm = plant.highest_engine_speed(wish)
        if not plant.minimum_engine_speed_rpm <= engine_speed_rpm <= top_rpm:
            problem = f"{plant.minimum_engine_speed_rpm:,.0f} to {top_rpm:,.0f} rpm on {wish} mixture"
            continue
        ceiling = plant.permitted(breath, engine_speed_rpm, wish)
        if manifold_pressure_pa > ceiling.manifold_pressure_pa:
            problem = f"at most {pressure_words(ceiling.manifold_pressure_pa)} {wish} ({ceiling.limit})"
            continue
        return Levers(
            engine_speed_rpm=engine_speed_rpm,
            manifold_pressure_pa=manifold_pressure_pa,
            mixture=wish,
            power_w=plant.power(breath, engine_speed_rpm, manifold_pressure_pa, wish),
            governing_limit=ceiling.limit,
            margin_ratio=1.0 - manifold_pressure_pa / ceiling.manifold_pressure_pa,
        )
    raise PlanError(
        f"{pressure_words(manifold_pressure_pa)} and {engine_speed_rpm:,.0f} rpm are not permitted or not to be had",
        expected=problem,
        hint="give a setting within the limits of this fuel grade and height",
    )
