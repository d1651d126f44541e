"""Take-off and landing of a physical model printed as charts, for a level runway and calm air."""

from __future__ import annotations

import math

from briefgen.aircraft.fields import Strip
from briefgen.aircraft.physics.fields import ModelFields
from briefgen.aircraft.sheet.chart import Cell, ChartLines, chart_of, standard_air
from briefgen.model.curves import Chart, ChartAxis
from briefgen.model.places import Runway
from briefgen.model.powerplant import Field

_HIGHEST_FIELD_M = 3000.0
_CONDITIONS = "no wind, level runway"
_FLUIDS = ("slush", "wet snow")  # their depth has no axis here


class RunwayPrinter:
    """The runway charts of one model on one grade of fuel."""

    def __init__(self, fields: ModelFields, field: Field, lines: ChartLines) -> None:
        self._fields = fields
        heights = tuple(height for height in lines.pressure_altitude_m if height <= _HIGHEST_FIELD_M)
        surfaces = tuple(surface.name for surface in field.surfaces if surface.name not in _FLUIDS)
        self._axes = (
            ChartAxis("mass", "lb", lines.mass_kg),
            ChartAxis("pressure altitude", "ft", heights),
            ChartAxis("isa deviation", "degC diff", lines.isa_deviation_k),
            ChartAxis("surface", "", surfaces),
        )

    def take_off(self) -> Chart:
        """Return ground run, distance to 50 ft and unstick speed; empty where she does not unstick."""

        def cells(mass: float, height: float, deviation: float, surface: str) -> tuple[Cell, ...]:
            found = self._fields.take_off(mass, _strip(height, deviation, surface))
            if math.isinf(found.distance_m):
                return (None, None, None)
            return found.ground_run_m, found.distance_m, found.unstick_ias_m_per_s

        return chart_of("take-off", _CONDITIONS, self._axes, ("ground run", "distance to 50 ft", "unstick"), cells)

    def landing(self) -> Chart:
        """Return the distance from 50 ft and the speed there."""

        def cells(mass: float, height: float, deviation: float, surface: str) -> tuple[Cell, ...]:
            found = self._fields.landing(mass, _strip(height, deviation, surface))
            return found.distance_m, found.threshold_ias_m_per_s

        return chart_of("landing", _CONDITIONS, self._axes, ("distance from 50 ft", "threshold"), cells)


def _strip(height_m: float, deviation_k: float, surface: str) -> Strip:
    runway = Runway("level", 0.0, 0.0, 0.0, surface, 0.0, height_m, "")
    return Strip(runway, standard_air(height_m, deviation_k), 0.0)
