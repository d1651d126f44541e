"""What is flown over one place: passes, waiting, the circuit and the landing."""

from __future__ import annotations

import math
from contextlib import suppress

from briefgen.aircraft.words import speed_words
from briefgen.errors import BriefgenError, PlanError
from briefgen.frozen import replace
from briefgen.model.mission import Action, Hold
from briefgen.model.performance import IndicatedAirspeed
from briefgen.model.places import Place
from briefgen.model.plan import Node, Phase
from briefgen.planning.flight import flying
from briefgen.planning.flight.steps import Crew, Level
from briefgen.planning.flight.written_levels import circuit_level, elevation_of, far, level_of

FINAL_PATH_DEG = 3.0  # common practice, no published source
FINAL_SHARE = 0.5  # of the time of the approach: no more of it is a final
TURN_BACK_S = 120.0  # two half turns at the standard rate of 3 degrees a second: common practice, no published source
STALL_RATIO = 1.2  # over the stall power off, the least of the best climb too: common practice, no published source
SAME_SPEED_M_PER_S = 0.05  # a tenth of a knot: finer than an indicator is read


def over(crew: Crew, state: Node, level: Level, item: int | None, title: str, place: Place) -> list[Phase]:
    """Return the change of height over a place, none where she is already there."""
    if not far(crew, state, level):
        return []
    change = flying.change_height(crew, state, None, level, item=item, title=title, place=place.ident)
    return [replace(change, ident=f"{change.kind}-over-{place.ident.lower()}")]


def fly_action(crew: Crew, state: Node, action: Action, item: int, leaving_kg: dict[str, float]) -> list[Phase]:
    """Return the passes of an action; what leaves on a pass is gone when the next phase begins."""
    level = level_of(crew, action.height, action.at, state.instant)
    phases = over(crew, state, level, item, "To the height of the passes", action.at)
    here = phases[-1].end if phases else state
    flaps_out = replace(crew, phase="drop", configuration=action.configuration)
    _check_turns(action)
    _check_held_straight(crew, here.mass_kg, action)
    for number, run in enumerate(action.runs, start=1):
        title = f"Pass {number} over {action.at.name}"
        done = flying.hold(
            flaps_out, here, IndicatedAirspeed(action.ias_m_per_s), level, run.duration_s, 0.0,
            item=item, title=title, place=action.at.ident, kind="run",
        )  # fmt: skip
        released = leaving_kg.get(run.leaves, 0.0) if run.leaves else 0.0
        phases.append(replace(done, released_kg=released, released=run.leaves or ""))
        here = replace(done.end, mass_kg=done.end.mass_kg - released)
    return phases


def _check_turns(action: Action) -> None:
    """See that every pass but the last leaves time to turn back for the next."""
    for number, run in enumerate(action.runs[:-1], start=1):
        if run.duration_s < TURN_BACK_S:
            raise PlanError(
                f"pass {number} over {action.at.ident} lasts {run.duration_s / 60.0:.1f} min, in which she cannot come back for the next",
                expected=f"{TURN_BACK_S / 60.0:.0f} min or more from pass to pass: two half turns at the standard rate",
                hint="let the pass last until the next begins, its turns counted",
            )


def _check_held_straight(crew: Crew, mass_kg: float, action: Action) -> None:
    """See that passes, which are flown low, are no slower than minimum control and 1.2 of the stall with those flaps."""
    limits = {"minimum control": crew.performance.speeds(mass_kg).minimum_control_m_per_s or 0.0}
    with suppress(BriefgenError):  # charts may give no stall of a configuration
        stall = crew.performance.stall_ias_m_per_s(mass_kg, action.configuration)
        limits[f"{STALL_RATIO:g} of the stall"] = STALL_RATIO * stall
    name, least = max(limits.items(), key=lambda one: one[1])
    if action.ias_m_per_s < least - SAME_SPEED_M_PER_S:
        raise PlanError(
            f"the passes over {action.at.ident} are flown at {speed_words(action.ias_m_per_s)} indicated, below {name}",
            expected=f"{speed_words(least)} indicated or more at their weight",
            hint="give the passes that speed",
        )


def _check_slowest(crew: Crew, mass_kg: float, hold: Hold) -> None:
    """See that a hold is flown no slower than the aircraft file lets her wait."""
    least = crew.performance.speeds(mass_kg).hold_m_per_s
    if isinstance(hold.target, IndicatedAirspeed) and hold.target.ias_m_per_s < least - SAME_SPEED_M_PER_S:
        raise PlanError(
            f"the hold over {hold.at.ident} is flown at {speed_words(hold.target.ias_m_per_s)} indicated, slower than she may wait",
            expected=f"{speed_words(least)} indicated or more, the speed of the hold in the aircraft file",
            hint="give the hold that speed",
        )


def fly_hold(crew: Crew, state: Node, hold: Hold, item: int) -> list[Phase]:
    """Return the wait over a place, with the change of height it needs first."""
    level = level_of(crew, hold.height, hold.at, state.instant)
    phases = over(crew, state, level, item, "To the height of the hold", hold.at)
    here = phases[-1].end if phases else state
    _check_slowest(crew, here.mass_kg, hold)
    title = f"Hold over {hold.at.name}"
    waiting = flying.hold(
        replace(crew, phase="hold"),
        here,
        hold.target,
        level,
        hold.duration_s,
        hold.bank_deg,
        item=item,
        title=title,
        place=hold.at.ident,
    )
    return [*phases, waiting]


def fly_approach(crew: Crew, state: Node, place: Place, duration_s: float) -> list[Phase]:
    """Return the way down to the circuit, the pattern and the final to the runway, ending on the ground.

    The final begins where a path of three degrees from the circuit does, and takes its time out of that of the approach.
    """
    level = circuit_level(place)
    phases = over(crew, state, level, None, "Descend to the circuit", place)
    here = phases[-1].end if phases else state
    speeds, ground = crew.performance.speeds(here.mass_kg), Level(elevation_of(place), standard_setting=False)
    path_m = (here.altitude_m - ground.value_m) / math.tan(math.radians(FINAL_PATH_DEG))
    final_s = min(path_m / speeds.final_m_per_s, FINAL_SHARE * duration_s)
    landing = flying.approach(
        crew, here, (speeds.approach_m_per_s, speeds.final_m_per_s), level, ground, (duration_s - final_s, final_s),
        title=f"Approach and landing at {place.name}", place=place.ident,
    )  # fmt: skip
    return [*phases, landing]
