"""The demo aircraft as the tests of this room use them, and the units the trade speaks in."""

from __future__ import annotations

from functools import lru_cache

from briefgen.aircraft.factory import performance_of
from briefgen.aircraft.interface import Performance
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.aircraft import Aircraft
from briefgen.model.performance import Air
from briefgen.spec.read import read_aircraft
from tests.shared.demo_missions import SPECS

LB = 0.45359237
FT = 0.3048
MPH = 0.44704
KT = 1852.0 / 3600.0
INHG = 3386.38864
HP = 745.69987158227
US_GAL_PER_H = 3.785411784e-3 / 3600.0
AVGAS_KG_PER_M3 = 6.0 * LB / 3.785411784e-3  # the density the demo files state


@lru_cache
def aircraft(name: str) -> Aircraft:
    return read_aircraft(SPECS / "aircraft" / f"{name}.yaml", root=SPECS)


@lru_cache
def performance(name: str, grade: str) -> Performance:
    return performance_of(aircraft(name), grade)


def air(height_ft: float, deviation_k: float = 0.0, vapour_pa: float = 0.0) -> Air:
    height_m = height_ft * FT
    return Air(height_m, standard_temperature(height_m) + deviation_k, vapour_pa)


def gallons_per_hour(flow_kg_per_s: float) -> float:
    return flow_kg_per_s / AVGAS_KG_PER_M3 / US_GAL_PER_H
