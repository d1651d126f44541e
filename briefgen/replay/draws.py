"""What may be otherwise: samples of wind, temperature, consumption, weight and delay, drawn from a seed.

Wind and temperature err as fields: e(x, y, h, t) = sd sqrt(2/K) sum_j cos(k_j . (x, y, h, t) + phi_j), with k_j normal about 0 with
standard deviation 1/L on each axis and phi_j uniform, drawn anew for each sample. Such a sum has, on average, exactly the
correlation exp(-r^2 / 2 L^2), and being a plain function of place and time it can be flown in full as well as replayed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from briefgen.model.bench import FieldError, Uncertainty

Array = npt.NDArray[np.float64]
Index = npt.NDArray[np.int_]
WAVES = 8  # K: from four on the tails agree within sampling noise
EARTH_RADIUS_M = (
    6_371_008.8  # mean radius; distances of the error field only, whose lengths are known to a tenth at best
)
CAUSES = ("wind", "temperature", "consumption", "weight", "delay")


@dataclass(frozen=True)
class Waves:
    """One field for each of n samples: wave numbers (n, K, 4) by metre and second, phases (n, K), amplitude."""

    numbers: Array
    phases: Array
    amplitude: float

    def at(self, samples: Index, place: Array) -> Array:
        """Return the error of some samples at their places, an array (m, 4) of x, y, h [m] and t [s]."""
        angles = np.einsum("mkc,mc->mk", self.numbers[samples], place) + self.phases[samples]
        return np.asarray(self.amplitude * np.cos(angles).sum(axis=1))


@dataclass(frozen=True)
class Draws:
    """Samples of everything uncertain; sample 0 is the plan itself."""

    east: Waves | None
    north: Waves | None
    warmer: Waves | None
    consumption: Array  # factors on every flow
    heavier_kg: Array
    delay_s: Array

    @property
    def count(self) -> int:
        """How many samples there are, the plan among them."""
        return len(self.delay_s)


def drawn(uncertainty: Uncertainty, count: int, seed: int) -> Draws:
    """Return the plan and ``count`` samples of what a mission says is uncertain; what it does not name is as planned."""
    rng = np.random.default_rng(seed)
    wind, warmth = uncertainty.wind, uncertainty.temperature
    east, north = (_waves(wind, count, rng) for _ in range(2))
    warmer = _waves(warmth, count, rng)
    normal = rng.standard_normal((3, count + 1))
    normal[:, 0] = 0.0
    return Draws(
        east, north, warmer,
        np.maximum(0.5, 1.0 + (uncertainty.consumption_sd_ratio or 0.0) * normal[0]),
        (uncertainty.weight_sd_kg or 0.0) * normal[1],
        np.abs((uncertainty.delay_sd_s or 0.0) * normal[2]),
    )  # fmt: skip


def _waves(error: FieldError | None, count: int, rng: np.random.Generator) -> Waves | None:
    """Return the field of an error; that of sample 0 is nought everywhere (every wave at a quarter turn and standing still)."""
    if error is None:
        return None
    scales = np.array([1.0 / error.over_m, 1.0 / error.over_m, 1.0 / error.in_height_m, 1.0 / error.in_time_s])
    numbers = rng.standard_normal((count + 1, WAVES, 4)) * scales
    phases = rng.uniform(0.0, 2.0 * math.pi, (count + 1, WAVES))
    numbers[0], phases[0] = 0.0, 0.5 * math.pi
    return Waves(numbers, phases, error.sd * math.sqrt(2.0 / WAVES))


def alone(uncertainty: Uncertainty, cause: str) -> Uncertainty:
    """Return the uncertainty with one cause alone left in it."""
    nothing = Uncertainty(None, None, None, None, None, uncertainty.sources)
    match cause:
        case "wind":
            return replace(nothing, wind=uncertainty.wind)
        case "temperature":
            return replace(nothing, temperature=uncertainty.temperature)
        case "consumption":
            return replace(nothing, consumption_sd_ratio=uncertainty.consumption_sd_ratio)
        case "weight":
            return replace(nothing, weight_sd_kg=uncertainty.weight_sd_kg)
        case _:
            return replace(nothing, delay_sd_s=uncertainty.delay_sd_s)


def plane(lat_deg: Array, lon_deg: Array, centre_deg: tuple[float, float]) -> tuple[Array, Array]:
    """Return places [deg] as metres east and north of a centre, on a plane that touches there."""
    lat0, lon0 = centre_deg
    east = np.radians((lon_deg - lon0 + 180.0) % 360.0 - 180.0) * math.cos(math.radians(lat0)) * EARTH_RADIUS_M
    return east, np.radians(lat_deg - lat0) * EARTH_RADIUS_M
