"""Logs of flights that nobody flew: a mission flown by the program in another truth than planned, and written down as a crew would."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from briefgen.kernel.wind import wind_towards
from briefgen.model.flight_log import Blank, Blanks
from briefgen.model.plan import Node
from briefgen.planning.after.measured import ends_of_items
from briefgen.planning.after.met import EVERY, modelled_flow
from briefgen.planning.after.ways import AWAY, LANDING, Met, Pilot, Stretch, Way
from briefgen.units import in_unit

GALLON = "US gal"
Noise = Callable[[str], float]  # of one reading: the error in gallons of fuel, or in parts of one of flow and speed


def no_noise(_: str) -> float:
    return 0.0


def flown_in(way: Way, truth: Met) -> tuple[Stretch, ...]:
    """Return the flight in its truth, every cause at work."""
    return Pilot(way, truth, EVERY).whole()


def log_text(
    way: Way, truth: Met, blanks: Blanks, mission_file: str, *, noise: Noise = no_noise, seconds: bool = True,
    reading: str = "8 US gal", read: Sequence[str] = ("wind", "indicated", "fuel flow"),
) -> str:  # fmt: skip
    """Return the log of a flight in its truth; times to the second, or to the minute as a crew writes them."""
    mission, stretches = way.flown.mission, flown_in(way, truth)
    density = mission.fuel.density_kg_per_m3

    def clock(instant: datetime) -> str:
        return f'"{instant:%Y-%m-%d %H:%M:%S}Z"' if seconds else f'"{instant:%Y-%m-%d %H:%M}Z"'

    def fuel(node: Node) -> str:
        return f'"{in_unit(node.fuel_kg / density, GALLON) + noise("fuel"):,.2f} {GALLON}"'

    def event(name: str, node: Node, *, tanks: bool = True) -> str:
        return f"{name}: {{ time: {clock(node.instant)}{f', fuel: {fuel(node)}' if tanks else ''} }}"

    lines = [
        "briefgen: log/1", f"mission: {mission_file}", f'number: "{mission.number}"', f"revision: {mission.revision}",
        f"reading error: {reading}", "flow error: 2 %", "speed error: 1 %",
    ]  # fmt: skip
    if truth.departure.zero_fuel_mass_kg != way.flown.departure.zero_fuel_mass_kg:
        lines.append(f'zero fuel weight: "{in_unit(truth.departure.zero_fuel_mass_kg, "lb"):,.1f} lb"')
    if way.alternate:
        lines.append(f"landed at: {way.alternate.place.ident}")
    by_name = {stretch.name: stretch for stretch in stretches}
    down = by_name[AWAY if way.alternate else LANDING]
    lines += [event("off blocks", stretches[0].start), event("off ground", stretches[0].end, tanks=False)]
    lines += [event("on ground", down.end), event("on blocks", stretches[-1].end), "lines:"]
    phases = {phase.ident: phase for phase in way.flown.phases}
    items = {ident: str(item) for ident, item in ends_of_items(way.flown.phases).items()}
    for blank in blanks.lines:
        stretch = by_name.get(items.get(blank.phase, "take-off" if phases[blank.phase].kind == "take-off" else ""))
        if blank.ends_phase and stretch is not None:
            said = [f"no: {blank.number}", f"time: {clock(stretch.end.instant)}", f"fuel: {fuel(stretch.end)}"]
            lines.append(f"  - {{ {', '.join([*said, *_readings(stretch, truth, density, noise, read)])} }}")
        elif blank.ends_phase and phases[blank.phase].kind in ("run", "hold"):
            lines += _pass(blank, by_name, phases[blank.phase].item, way, clock)
    if way.alternate:
        said = _readings(down, truth, density, noise, read)
        longest = max((p for p in down.phases if p.settings), key=lambda p: p.duration_s)
        lines.append(f"  - {{ time: {clock(longest.end.instant)}, {', '.join(said)} }}" if said else "")
    return "\n".join(line for line in lines if line) + "\n"


def _pass(
    blank: Blank, by_name: dict[str, Stretch], item: int | None, way: Way, clock: Callable[[datetime], str]
) -> list[str]:
    """Return the line of a pass that is not the last of its item."""
    stretch = by_name.get(str(item))
    if stretch is None:
        return []
    planned = [p.ident for p in way.flown.phases if p.item == item and p.kind in ("run", "hold")]
    done = [p for p in stretch.phases if p.kind in ("run", "hold")]
    return [f"  - {{ no: {blank.number}, time: {clock(done[planned.index(blank.phase)].end.instant)} }}"]


def _readings(stretch: Stretch, truth: Met, density: float, noise: Noise, read: Sequence[str]) -> list[str]:
    """Return wind, airspeed and flow as read in a stretch that has level flight."""
    level = [phase for phase in stretch.phases if phase.kind in ("cruise", "hold") and phase.setting]
    if not level:
        return []
    whole = sum(phase.duration_s for phase in stretch.phases)
    east, north = (
        sum(getattr(phase, name) * phase.duration_s for phase in stretch.phases) / whole
        for name in ("wind_east_m_per_s", "wind_north_m_per_s")
    )
    found, said = wind_towards(north, east), []
    if "wind" in read and level[0].kind == "cruise":
        said.append(f"wind: {found.from_deg:03.0f}T/{in_unit(found.speed_m_per_s, 'kt'):.1f} kt")
    if "indicated" in read and stretch.name in truth.targets:
        ias = truth.targets[stretch.name].ias_m_per_s  # type: ignore[union-attr]
        said.append(f"indicated: {in_unit(ias * (1 + noise('speed')), 'mph'):.2f} mph indicated")
    if stretch.name in truth.heights:
        said.append(f'altitude: "{in_unit(truth.heights[stretch.name].value_m, "ft"):,.0f} ft"')
    if "fuel flow" in read:
        longest = max(level, key=lambda phase: phase.duration_s)
        flow = longest.settings[-1][1].fuel_flow_kg_per_s * truth.consumption_ratio.get(stretch.name, 1.0)
        said.append(f"fuel flow: {in_unit(flow * (1 + noise('flow')) / density, 'US gal/h'):.2f} US gal/h")
    return said


__all__ = ["flown_in", "log_text", "modelled_flow", "no_noise"]
