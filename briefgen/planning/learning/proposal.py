"""What a learned factor would change in the aircraft file: two numbers of a model; nothing is changed here."""

from __future__ import annotations

from dataclasses import replace

from briefgen.aircraft.factory import performance_of
from briefgen.errors import BriefgenError, OutOfRangeError
from briefgen.frozen import dataclass
from briefgen.kernel.interpolate import root
from briefgen.model.aircraft import Aircraft
from briefgen.planning.learning.fit import CONSUMPTION, SPEED, Learned
from briefgen.planning.learning.observations import Observation, State

LEAN_CONSUMPTION = ("model", "engine", "consumption", "lean")
ZERO_LIFT_DRAG = ("model", "airframe", "zero lift drag")
DRAG_STEP, DRAG_STEPS = 0.01, 25  # of the drag in the file: a quarter off, and the model is wrong, not the drag
DRAG_TOLERANCE = 1e-4


@dataclass(frozen=True)
class Change:
    """One number of the aircraft file, and what it is to be multiplied by."""

    path: tuple[str, ...]
    ratio: float
    why: str


@dataclass(frozen=True)
class Proposal:
    """Changes for a person to accept, or why there are none."""

    changes: tuple[Change, ...]
    why_not: str = ""


def propose(learned: Learned, observations: list[Observation], aircraft: Aircraft, grade: str) -> Proposal:
    """Return what the aircraft file would have to say for the factors to be one."""
    shown = [trend.over for trend in learned.trends if trend.shows]
    if shown:
        return Proposal((), f"the residuals hang on {', '.join(shown)}: the table is wrong, not the factor")
    if aircraft.model is None:
        return Proposal((), "the aircraft is described by charts, which have no single number to change")
    found, refused = [], ""
    for factor in learned.factors:
        if not factor.differs:
            continue
        span = f"{len(learned.flights)} flights, {factor.value:.4f} ({factor.low:.4f} to {factor.high:.4f})"
        if factor.name == CONSUMPTION:
            found.append(Change(LEAN_CONSUMPTION, factor.value, f"consumption from {span}"))
        elif factor.name == SPEED:
            try:
                found.append(
                    Change(
                        ZERO_LIFT_DRAG, drag_ratio(aircraft, grade, observations, factor.value), f"speed from {span}"
                    )
                )
            except BriefgenError as error:
                refused = f"for the speed, {error.problem}"
    return Proposal(tuple(found), refused or ("" if found else "no factor differs from one"))


def drag_ratio(aircraft: Aircraft, grade: str, observations: list[Observation], speed_ratio: float) -> float:
    """Return by what the drag without lift must be multiplied for the airspeed at a setting to be so much another.

    Raises:
        OutOfRangeError: No drag near that of the file gives it.
    """
    states = sorted(
        (one.state for one in observations if one.state and one.state.setting), key=lambda state: state.mass_kg
    )
    middle = states[len(states) // 2]
    wanted = speed_ratio * _speed(aircraft, grade, middle, 1.0)
    step = DRAG_STEP if speed_ratio < 1.0 else -DRAG_STEP
    for number in range(1, DRAG_STEPS + 1):
        far = 1.0 + number * step
        if (_speed(aircraft, grade, middle, far) - wanted) * step <= 0.0:
            return root(lambda ratio: _speed(aircraft, grade, middle, ratio) - wanted, far - step, far, DRAG_TOLERANCE)
    raise OutOfRangeError(
        "no drag near that of the file gives the airspeed learned", expected="a drag within a quarter of it"
    )


def _speed(aircraft: Aircraft, grade: str, state: State, ratio: float) -> float:
    """Return the airspeed [m/s] at the setting of a state with the drag without lift multiplied."""
    assert aircraft.model is not None
    assert state.setting is not None
    airframe = replace(aircraft.model.airframe, zero_lift_drag=aircraft.model.airframe.zero_lift_drag * ratio)
    changed = replace(aircraft, model=replace(aircraft.model, airframe=airframe))
    return performance_of(changed, grade).cruise(state.mass_kg, state.air, state.setting).ias_m_per_s
