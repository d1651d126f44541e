"""Take-off and landing from an aircraft's charts; what a chart leaves out is added by published factors or refused."""

from __future__ import annotations

import math

from briefgen.aircraft.book.table import ChartTable
from briefgen.aircraft.fields import SCREEN_HEIGHT_M, Attitude, Landing, Strip, TakeOff, surface_names
from briefgen.aircraft.flight_point import AirspeedSystem, isa_deviation
from briefgen.aircraft.published_factors import (
    LANDING_SURFACES,
    PER_SPEED_RATIO_OF_TAILWIND,
    PER_UNIT_OF_SLOPE,
    SOURCE,
    TAKE_OFF_SURFACES,
)
from briefgen.errors import OutOfRangeError, PlanError
from briefgen.model.aircraft import Aircraft, ChartBook

_UNSTICK = "unstick"
_RUN = "ground run"
_TO_SCREEN = "distance to 50 ft"
_FROM_SCREEN = "distance from 50 ft"
_THRESHOLD = "threshold"


class ChartFields:
    """Runway answers of an aircraft of the charts kind; see `fields.FieldPerformance`."""

    def __init__(self, aircraft: Aircraft, book: ChartBook, fuel_grade: str) -> None:
        self._aircraft, self._grade = aircraft, fuel_grade
        self._tables = {name: ChartTable(book.charts[name]) for name in ("take-off", "landing") if name in book.charts}
        self._airspeeds = AirspeedSystem(aircraft.instruments.calibrated_by_indicated)

    @property
    def attitudes(self) -> tuple[Attitude, ...]:
        """Return the one way the charts give."""
        return ("tail down",) if self._aircraft.wheels == "tail wheel" else ("nose wheel",)

    @property
    def source(self) -> str:
        """Return the chart, and the factors added to it."""
        named = [table.chart.source for table in self._tables.values()]
        return "; ".join([*named, SOURCE])

    def mass_range_kg(self, kind: str) -> tuple[float, float]:
        """Return the masses [kg] a chart covers."""
        return self._table(kind).si_ends("mass")

    def surface_words(self, strip: Strip) -> tuple[str, str]:
        """Return the surface as the chart or the factor table calls it."""
        names = surface_names(strip)
        known = self._chart_surfaces() or tuple(TAKE_OFF_SURFACES)
        found = next((name for name in names if name in known), None)
        if found is None:
            raise PlanError(
                f"runway {strip.runway.name} is '{names[0]}', and neither chart nor factors of {self._aircraft.name} "
                "cover that surface",
                expected=f"one of: {', '.join(known)}",
            )
        return found, self._tables["take-off"].chart.source if "take-off" in self._tables else SOURCE

    def hydroplaning_ground_speed(self, strip: Strip) -> float | None:
        """Return None; standing water is refused, for no chart covers it."""
        if strip.runway.depth_m > 0.0:
            raise PlanError(
                f"runway {strip.runway.name} has standing water or slush; the charts of {self._aircraft.name} do not cover it",
                expected="a runway without standing water",
            )
        return None

    def take_off(self, mass_kg: float, strip: Strip, attitude: Attitude | None = None) -> TakeOff:
        """Return the take-off the chart gives, infinite where the chart says it is not possible."""
        del attitude  # the chart holds for the one it was made for
        self.hydroplaning_ground_speed(strip)
        table = self._table("take-off")
        at = self._coordinates(table, mass_kg, strip)
        words = self._words(table, strip)
        try:
            run_m, distance_m = (table.number(name, at, **words) for name in (_RUN, _TO_SCREEN))
            unstick = table.number(_UNSTICK, at, **words)
        except OutOfRangeError:  # inside every axis, so the cell is empty: she does not unstick
            return TakeOff(None, None, math.inf, math.inf, None, None, None, None, None, None)
        speed = self._airspeeds.at_indicated(strip.air, unstick).tas_m_per_s
        factor = self._factor(table, strip, speed, strip.runway.slope_ratio, TAKE_OFF_SURFACES)
        run_m, distance_m = run_m * factor, distance_m * factor
        return TakeOff(
            unstick_ias_m_per_s=unstick,
            safe_ias_m_per_s=None,
            ground_run_m=run_m,
            distance_m=distance_m,
            accelerate_stop_m=None,
            accelerate_go_m=None,
            critical_ias_m_per_s=None,
            # On the way to 50 ft she also gains speed, so the climb beyond is at least as steep as the mean up to there.
            gradient_ratio=SCREEN_HEIGHT_M / (distance_m - run_m),
            failed_gradient_ratio=None,
            fastest_ias_m_per_s=None,
        )

    def landing(self, mass_kg: float, strip: Strip) -> Landing:
        """Return the landing the chart gives."""
        self.hydroplaning_ground_speed(strip)
        table = self._table("landing")
        at, words = self._coordinates(table, mass_kg, strip), self._words(table, strip)
        over = self._aircraft.speeds.threshold_m_per_s
        if _THRESHOLD in table.column_names:
            over = table.number(_THRESHOLD, at, **words)
        speed = self._airspeeds.at_indicated(strip.air, over).tas_m_per_s
        factor = self._factor(table, strip, speed, -strip.runway.slope_ratio, LANDING_SURFACES)
        return Landing(over, None, None, table.number(_FROM_SCREEN, at, **words) * factor)

    def _table(self, kind: str) -> ChartTable:
        if kind not in self._tables:
            raise PlanError(
                f"the charts of {self._aircraft.name} have no {kind} chart",
                expected=f"a chart '{kind}' in the aircraft file",
            )
        return self._tables[kind]

    def _chart_surfaces(self) -> tuple[str, ...]:
        table = self._tables.get("take-off")
        return table.words_of("surface") if table is not None and "surface" in table.axis_names else ()

    def _coordinates(self, table: ChartTable, mass_kg: float, strip: Strip) -> dict[str, float]:
        """Return where to read the chart; a coordinate outside its axis is refused before any cell is looked at."""
        given = {
            "mass": mass_kg,
            "pressure altitude": strip.air.pressure_altitude_m,
            "isa deviation": isa_deviation(strip.air),
            "temperature": strip.air.temperature_k,
            "head wind": strip.headwind_m_per_s,
            "slope": strip.runway.slope_ratio,
        }
        at = {name: value for name, value in given.items() if name in table.axis_names}
        table.require_inside(at)
        return at

    def _words(self, table: ChartTable, strip: Strip) -> dict[str, str]:
        words = {"fuel_grade": self._grade, "surface": self.surface_words(strip)[0]}
        return {name: word for name, word in words.items() if name.replace("_", " ") in table.axis_names}

    def _factor(
        self, table: ChartTable, strip: Strip, speed: float, against_slope: float, surfaces: dict[str, float]
    ) -> float:
        """Return the published factors for slope, tail wind and surface the chart has no axis for; no credit is taken."""
        factor = 1.0
        if "slope" not in table.axis_names:
            factor *= 1.0 + PER_UNIT_OF_SLOPE * max(0.0, against_slope)
        if "head wind" not in table.axis_names:
            factor *= 1.0 + PER_SPEED_RATIO_OF_TAILWIND * max(0.0, -strip.headwind_m_per_s) / speed
        if "surface" not in table.axis_names:
            factor *= surfaces[self.surface_words(strip)[0]]
        return factor
