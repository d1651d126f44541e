"""What one flight says of consumption and speed: what was read against what the aircraft file gives in the same state.

Two factors are meant. *Consumption*: fuel flow at a power setting over that of the file. *Speed*: airspeed at a power setting over
that of the file. A flow read at an airspeed, or the fuel burnt, says both at once: an aircraft that is slower at a setting needs
more power for the same airspeed, by the slope of flow over speed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import dataclass
from briefgen.model.flight_log import FlightLog, Logged
from briefgen.model.performance import Air, GivenSetting, IndicatedAirspeed, PowerSetting
from briefgen.planning.after.measured import Measured, measured_of, way_flown
from briefgen.planning.after.met import EVERY, met_of
from briefgen.planning.after.ways import CONSUMPTION, Pilot, Stretch, Way
from briefgen.planning.flight.schedule import Flown
from briefgen.planning.flight.steps import Crew

SLOPE_STEP = 0.01  # of the airspeed, to each side
FLOW_AT_SPEED, FLOW_AT_SETTING, SPEED_AT_SETTING, BURN = (
    "flow at an airspeed",
    "flow at a setting",
    "airspeed at a setting",
    "fuel burnt",
)
TWO_READINGS = 2.0**0.5


@dataclass(frozen=True)
class State:
    """The state in which something was read."""

    mass_kg: float
    air: Air
    setting: GivenSetting | None  # engine speed and manifold pressure, where they were read
    mixture: str


@dataclass(frozen=True)
class Observation:
    """One reading against the file: the logarithm of their ratio, and how the two factors enter it.

    Attributes:
        row: What the logarithms of consumption and speed contribute.
        error: Standard error of the logarithm.
        state: Where it was read; None for what was burnt on a whole flight.
    """

    flight: str
    kind: str
    row: tuple[float, float]
    log_ratio: float
    error: float
    state: State | None = None


def observations_of(flown: Flown, log: FlightLog, name: str) -> list[Observation]:
    """Return what one flight says.

    Raises:
        PlanError: Its log contradicts itself, or reads something without saying how well it was read.
    """
    way = way_flown(flown, log)
    measured = measured_of(way, log)
    met = met_of(way, log, measured)
    as_met = Pilot(way, met, EVERY - {CONSUMPTION}).whole()
    found, slopes = [], []
    for stretch, one in zip(as_met, measured, strict=True):
        for line in one.lines:
            setting = _setting(stretch, line)
            if setting is None:
                continue
            try:
                slope = _slope(flown.crew, setting)
                found += _of_line(flown.crew, log, line, setting, slope, name)
            except BriefgenError as error:
                raise error.at(f"{log.file}: {line.name}") from error
            slopes.append(slope)
    burn = _burn(way, log, measured, as_met, slopes, name)
    return [*found, *([burn] if burn else [])]


def _setting(stretch: Stretch, line: Logged) -> PowerSetting | None:
    """Return the setting of level flight nearest to a line that reads flow or speed, None for another line."""
    if line.fuel_flow_kg_per_s is None and (line.ias_m_per_s is None or line.engine_speed_rpm is None):
        return None
    settings = [pair for phase in stretch.phases if phase.kind in ("cruise", "hold") for pair in phase.settings]
    if not settings:
        return None
    before = [pair for pair in settings if line.instant is None or pair[0].instant <= line.instant]
    return (before or settings)[-1][1]


def _slope(crew: Crew, setting: PowerSetting) -> float:
    """Return by how many per cent flow rises for one per cent of airspeed, at the same mixture."""
    flows = []
    for side in (-SLOPE_STEP, SLOPE_STEP):
        target = IndicatedAirspeed(setting.ias_m_per_s * (1.0 + side))
        found = crew.performance.cruise(setting.mass_kg, setting.air, target, mixture=setting.mixture)
        flows.append(found.fuel_flow_kg_per_s)
    return (math.log(flows[1]) - math.log(flows[0])) / (math.log1p(SLOPE_STEP) - math.log1p(-SLOPE_STEP))


def _of_line(
    crew: Crew, log: FlightLog, line: Logged, setting: PowerSetting, slope: float, name: str
) -> list[Observation]:
    rpm, pressure = line.engine_speed_rpm, line.manifold_pressure_pa
    if rpm is None or pressure is None:
        state = State(setting.mass_kg, setting.air, None, setting.mixture or "")
        if line.fuel_flow_kg_per_s is None:
            return []
        ratio = math.log(line.fuel_flow_kg_per_s / setting.fuel_flow_kg_per_s)
        return [Observation(name, FLOW_AT_SPEED, (1.0, -slope), ratio, _error(log, "flow"), state)]
    mixture = setting.mixture if not line.mixture else "lean" if line.mixture == "lean" else "rich"
    given = GivenSetting(rpm, pressure, mixture)
    state = State(setting.mass_kg, setting.air, given, mixture or "")
    at_setting = crew.performance.cruise(setting.mass_kg, setting.air, given)
    found = []
    if line.fuel_flow_kg_per_s is not None:
        ratio = math.log(line.fuel_flow_kg_per_s / at_setting.fuel_flow_kg_per_s)
        found.append(Observation(name, FLOW_AT_SETTING, (1.0, 0.0), ratio, _error(log, "flow"), state))
    if line.ias_m_per_s is not None:
        ratio = math.log(line.ias_m_per_s / at_setting.ias_m_per_s)
        found.append(Observation(name, SPEED_AT_SETTING, (0.0, 1.0), ratio, _error(log, "speed"), state))
    return found


def _error(log: FlightLog, what: str) -> float:
    ratio = log.flow_error_ratio if what == "flow" else log.speed_error_ratio
    if ratio is None:
        raise PlanError(f"'{what} error' is missing", expected='how far one such reading may be off, such as "2 %"')
    return ratio


def _burn(
    way: Way,
    log: FlightLog,
    measured: Sequence[Measured],
    as_met: Sequence[Stretch],
    slopes: Sequence[float],
    name: str,
) -> Observation | None:
    """Return what was burnt between the first reading of the tanks and the last, None where there are not two."""
    first = log.events.get("off blocks")
    ends = [(0, first.fuel.total_kg)] if first is not None and first.fuel is not None else []
    ends += [(index, one.fuel.total_kg) for index, one in enumerate(measured, 1) if one.fuel is not None]
    if len(ends) < 2 or not slopes or log.reading_error_kg is None:
        return None
    (begin, before_kg), (end, after_kg) = ends[0], ends[-1]
    modelled_kg = math.fsum(stretch.burnt_kg for stretch in as_met[begin:end])
    burnt_kg = before_kg - after_kg
    slope = math.fsum(slopes) / len(slopes)
    error = TWO_READINGS * log.reading_error_kg / modelled_kg
    return Observation(name, BURN, (1.0, -slope), math.log(burnt_kg / modelled_kg), error)
