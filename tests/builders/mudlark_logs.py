"""Make the thirty invented flights of Mudlark in `mission_specs/logs/mudlark`: burning 3 % more than the file, 1 % slower.

Each is flown by hand of a seeded chance: an airspeed, a wind, a few minutes' delay; gauges and sticks are read with the errors that
its log states. Run it after the flight of Mudlark has changed:

    python tests/builders/mudlark_logs.py
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from briefgen.model.performance import IndicatedAirspeed
from briefgen.planning.after.blanks import blanks_of
from briefgen.planning.after.ways import CAUSES, Met, Way
from briefgen.planning.flight.fly import fly
from briefgen.planning.flight.schedule import Flown
from briefgen.spec import read_mission
from briefgen.units import in_unit
from tests.shared.flown_logs import log_text

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "mission_specs" / "logs" / "mudlark"
FLIGHTS, SEED, MPH = 30, 16, 0.44704
CONSUMPTION, SPEED = 1.03, 0.99
FLOW_ERROR, SPEED_ERROR, FUEL_ERROR_GALLONS = 0.015, 0.007, 4.0
OFF_LIMIT_INHG = 0.003  # a setting on a limit may not be written above it by its last digit
SLOPE = 2.2  # of flow over airspeed: what a slower aircraft burns more at the same airspeed


def flight(
    flown: Flown,
    chance: random.Random,
    *,
    consumption: float = CONSUMPTION,
    speed: float = SPEED,
    settings: bool = True,
) -> str:
    """Return the log of one flight: the airspeed is flown, the setting is that of the file for an airspeed so much higher."""
    ias = chance.uniform(148.0, 166.0) * MPH
    late = replace(flown.departure, off_blocks=flown.departure.off_blocks + timedelta(minutes=chance.randrange(0, 15)))
    late = replace(late, zero_fuel_mass_kg=late.zero_fuel_mass_kg - chance.uniform(0.0, 1500.0))
    more = consumption * speed**-SLOPE
    truth = Met(
        late, CAUSES, targets={"0": IndicatedAirspeed(ias)}, wind_m_per_s={"0": (chance.gauss(0.0, 2.0), chance.gauss(0.0, 2.0))},
        consumption_ratio=dict.fromkeys(("out", "take-off", "0", "landing", "in"), more),
    )  # fmt: skip
    errors = {"fuel": FUEL_ERROR_GALLONS, "flow": FLOW_ERROR, "speed": SPEED_ERROR}

    def noise(what: str) -> float:
        return chance.gauss(0.0, errors[what])

    way = Way(flown, len(flown.mission.route.items) - 1)
    blanks = blanks_of(flown.mission, flown.phases)
    read = ("indicated",) if settings else ("indicated", "fuel flow")
    text = log_text(way, truth, blanks, "mudlark.yaml", noise=noise, reading=f"{FUEL_ERROR_GALLONS} US gal", read=read)
    text = text.replace("flow error: 2 %", f"flow error: {100 * FLOW_ERROR:.1f} %").replace(
        "speed error: 1 %", f"speed error: {100 * SPEED_ERROR:.1f} %"
    )
    return _with_setting(flown, truth, text, consumption, speed, noise("flow")) if settings else text


def _with_setting(flown: Flown, truth: Met, text: str, consumption: float, speed: float, error: float) -> str:
    """Return the log with engine speed, manifold pressure and flow beside the airspeed: those of the airspeed the file gives there."""
    from tests.shared.flown_logs import flown_in

    way = Way(flown, len(flown.mission.route.items) - 1)
    stretch = next(one for one in flown_in(way, truth) if one.name == "0")
    longest = max((p for p in stretch.phases if p.kind == "cruise"), key=lambda p: p.duration_s)
    setting = longest.settings[-1][1]
    asked = IndicatedAirspeed(setting.ias_m_per_s / speed)
    at = flown.crew.performance.cruise(setting.mass_kg, setting.air, asked, mixture=setting.mixture)
    flow = at.fuel_flow_kg_per_s * consumption * (1.0 + error) / flown.mission.fuel.density_kg_per_m3
    said = (
        f"engine speed: {at.engine_speed_rpm:.2f} rpm, manifold pressure: {in_unit(at.manifold_pressure_pa or 0.0, 'inHg') - OFF_LIMIT_INHG:.3f} inHg, "
        f"mixture: {at.mixture}, fuel flow: {in_unit(flow, 'US gal/h'):.2f} US gal/h"
    )
    return text.replace(" mph indicated }", f" mph indicated, {said} }}")


def main() -> None:
    """Write the logs."""
    flown, chance = fly(read_mission(ROOT / "mission_specs" / "mudlark.yaml")), random.Random(SEED)
    FOLDER.mkdir(parents=True, exist_ok=True)
    for number in range(1, FLIGHTS + 1):
        text = "# Invented: one of thirty flights drawn by chance.\n" + flight(flown, chance)
        (FOLDER / f"{number:02d}.yaml").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
