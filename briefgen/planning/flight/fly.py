"""The door of this room: a mission in, the sortie as it is flown out."""

from __future__ import annotations

from briefgen.aircraft.factory import performance_of
from briefgen.frozen import replace
from briefgen.model.mission import Mission
from briefgen.planning.flight.first_look import look_first
from briefgen.planning.flight.route_forms import placed
from briefgen.planning.flight.schedule import Flown, settled
from briefgen.planning.flight.sectors import flown_before, ready
from briefgen.planning.flight.sky import Sky
from briefgen.planning.flight.steps import Crew
from briefgen.planning.load.tanks import fuel_at_its_temperature


def fly(mission: Mission) -> Flown:
    """Return the sortie of a mission, settled by its clock and its fuel, with what it was flown with.

    One sector of several is flown as those before it hand it on; they are flown first.

    Raises:
        PlanError: The mission cannot be flown as written; the message says where and why.
        OutOfRangeError: The weather, a chart or a model does not cover some part of it.
    """
    if mission.sector is not None and mission.start is None:
        sector, number = mission.sector, mission.sector.number - 1
        before = flown_before(sector, number, fly)
        mission = replace(ready(sector, number, before, fly), sector=sector)
    mission = placed(replace(mission, fuel=fuel_at_its_temperature(mission.fuel)))
    performance = performance_of(mission.aircraft, mission.fuel_grade)
    look_first(mission, performance)
    crew = Crew(performance, Sky(mission.weather, mission.places))
    return settled(mission, crew)
