"""The one place that knows which kind of aircraft answers."""

from __future__ import annotations

from briefgen.aircraft.fields import FieldPerformance
from briefgen.aircraft.interface import Performance
from briefgen.aircraft.physics.fields import ModelFields
from briefgen.aircraft.physics.performance import ModelPerformance
from briefgen.errors import PlanError
from briefgen.model.aircraft import Aircraft


def performance_of(aircraft: Aircraft, fuel_grade: str) -> Performance:
    """Return what answers for an aircraft on a fuel grade; one mission flies one kind, so charts are loaded when wanted."""
    if aircraft.model is not None:
        return ModelPerformance(aircraft, aircraft.model, fuel_grade)
    if aircraft.charts is not None:
        from briefgen.aircraft.book.performance import ChartPerformance

        return ChartPerformance(aircraft, aircraft.charts, fuel_grade)
    raise PlanError(f"{aircraft.name} has neither a model nor charts", expected="one of the two in the aircraft file")


def fields_for(aircraft: Aircraft, fuel_grade: str) -> FieldPerformance:
    """Return the runway answers of an aircraft, from its model or from its charts."""
    if aircraft.model is not None:
        return ModelFields(aircraft, aircraft.model, fuel_grade)
    if aircraft.charts is not None:
        from briefgen.aircraft.book.fields import ChartFields

        return ChartFields(aircraft, aircraft.charts, fuel_grade)
    raise PlanError(f"{aircraft.name} has neither a model nor charts", expected="one of the two in the aircraft file")
