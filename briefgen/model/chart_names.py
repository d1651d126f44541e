"""The names of charts, axes and columns that an aircraft file may use, each with its kind of unit.

One registration suffices: the schema, the check at the line and the messages come from here.
"""

from __future__ import annotations

from collections.abc import Mapping

from briefgen.frozen import dataclass
from briefgen.model.performance import FlightPhase

# Name of an axis -> the heads it may have; none: an axis of words. A head is printed with every refusal of the chart.
CHART_AXES: Mapping[str, tuple[str, ...]] = {
    "mass": ("lb", "kg"),
    "pressure altitude": ("ft", "m"),
    "isa deviation": ("degC diff",),
    "indicated airspeed": ("mph indicated", "kt indicated"),
    "power": ("%",),
    "head wind": ("mph", "kt"),
    "slope": ("%",),
    "rate of climb": ("ft/min",),
    "rate of descent": ("ft/min",),
    "engines": (),
    "fuel grade": (),
    "surface": (),
    "configuration": (),
}

# Name of a column -> its kind of quantity (briefgen.unit_tables); "": a column of words.
CHART_COLUMNS: Mapping[str, str] = {
    "engine speed": "engine speed",
    "manifold pressure": "pressure",
    "mixture": "",
    "fuel flow": "volume flow",
    "true airspeed": "airspeed",
    "indicated airspeed": "indicated airspeed",
    "rate of climb": "vertical speed",
    "time": "duration",
    "fuel": "volume",
    "distance": "distance",
    "ground run": "length",
    "distance to 50 ft": "length",
    "distance from 50 ft": "length",
    "unstick": "indicated airspeed",
    "threshold": "indicated airspeed",
    "pressure altitude": "height",
    "reach": "",
    "time limit": "duration",
}


@dataclass(frozen=True)
class ChartKind:
    """A chart by name: the axes it may have, the columns it must have and those it may have besides."""

    name: str
    axes: tuple[str, ...]
    needs: tuple[str, ...]
    takes: tuple[str, ...] = ()
    by_configuration: bool = False  # another chart of the kind may bear the name of a flap setting behind its own


_LEVERS = ("engine speed", "manifold pressure", "mixture")
_LEVEL = ("mass", "pressure altitude", "isa deviation", "indicated airspeed", "power")
_RUNWAY = ("fuel grade", "mass", "pressure altitude", "isa deviation", "surface", "head wind", "slope")

# Phases of the file flown level with levers, gear and flaps of their own, each of which may have its own chart.
LEVEL_PHASES: tuple[FlightPhase, ...] = ("hold", "drop", "pattern")
FINAL, ON_INSTRUMENTS = "descent in final", "climb on instruments"


def level_flight_in(phase: FlightPhase) -> str:
    """Return the name of the chart of level flight with the levers, gear and flaps of a phase."""
    return f"level flight in {phase}"


CHART_KINDS: tuple[ChartKind, ...] = (
    ChartKind("cruise", _LEVEL, ("fuel flow",), (*_LEVERS, "true airspeed"), by_configuration=True),
    ChartKind("level flight with engines stopped", ("engines", *_LEVEL), ("fuel flow",), (*_LEVERS, "true airspeed")),
    ChartKind("climb", ("mass", "isa deviation", "pressure altitude"), ("time", "fuel", "distance"), _LEVERS),
    ChartKind(
        "rate of climb",
        ("engines", "mass", "isa deviation", "pressure altitude"),
        ("rate of climb", "fuel flow"),
        _LEVERS,
    ),
    ChartKind(ON_INSTRUMENTS, ("mass", "isa deviation", "pressure altitude"), ("rate of climb", "fuel flow"), _LEVERS),
    *(ChartKind(level_flight_in(phase), _LEVEL, ("fuel flow",), (*_LEVERS, "true airspeed")) for phase in LEVEL_PHASES),
    ChartKind(
        FINAL,
        ("mass", "pressure altitude", "isa deviation", "indicated airspeed", "rate of descent"),
        ("fuel flow",),
        _LEVERS,
    ),
    ChartKind("descent", ("mass", "pressure altitude", "isa deviation"), ("fuel flow",), _LEVERS),
    ChartKind("hold", ("mass", "pressure altitude", "engines"), ("fuel flow",), _LEVERS),
    ChartKind("take-off", _RUNWAY, ("ground run", "distance to 50 ft", "unstick")),
    ChartKind("landing", _RUNWAY, ("distance from 50 ft",), ("threshold",)),
    ChartKind("take-off power", ("pressure altitude",), ("fuel flow", "time limit"), _LEVERS),
    ChartKind("ceilings", ("mass", "isa deviation", "engines", "rate of climb"), ("pressure altitude", "reach")),
    ChartKind("stall", ("configuration", "mass"), ("indicated airspeed",)),
)


def chart_kind(name: str, configurations: tuple[str, ...] = ()) -> ChartKind | None:
    """Return the kind of a chart by its name, None for a name that is no chart's."""
    for kind in CHART_KINDS:
        if name == kind.name or (kind.by_configuration and name in _named_by_configuration(kind, configurations)):
            return kind
    return None


def chart_names(configurations: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Return every name a chart may have in a file with these flap settings."""
    further = [
        name for kind in CHART_KINDS if kind.by_configuration for name in _named_by_configuration(kind, configurations)
    ]
    return (*(kind.name for kind in CHART_KINDS), *further)


def _named_by_configuration(kind: ChartKind, configurations: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{kind.name} {configuration}" for configuration in configurations)
