"""An aircraft as its file describes it, in SI units: who she is, what she weighs, what she may do, how she is handled.

How a file maps onto these classes: a key of the file is the field name without its unit suffix, underscores written as
spaces (`wing area` -> `wing_area_m2`); the suffix fixes the unit a quantity is turned into. Exactly one of `model` and
`charts` is present.
"""

from __future__ import annotations

from dataclasses import field

from briefgen.frozen import dataclass
from briefgen.model.curves import Chart, Curve
from briefgen.model.handling import (
    AgainstCarburettorIce,
    FuelTransfer,
    InstrumentCondition,
    InstrumentResolution,
    MixtureSettings,
    PhaseSetting,
)
from briefgen.model.limits import CrewLimits, MinimumControl
from briefgen.model.performance import EngineConfiguration
from briefgen.model.powerplant import PhysicalModel
from briefgen.model.procedures import AltitudeAction, Checklist, Emergency, LeverOrder, RunCall


@dataclass(frozen=True)
class Individual:
    """One airframe: registration, weighed basic mass and the arm of its centre of gravity."""

    registration: str
    basic_mass_kg: float
    basic_arm_m: float
    weighed_on: str
    remarks: str


@dataclass(frozen=True)
class Station:
    """A place for people or fixed loads, with its arm aft of the datum and lateral arm (right positive)."""

    name: str
    arm_m: float
    lateral_arm_m: float
    mass_limit_kg: float | None


@dataclass(frozen=True)
class SeatRow:
    """Seats at one station, and what is within reach of them."""

    station: str  # a station of the file
    seats: int
    oxygen_points: int
    life_jackets: int


@dataclass(frozen=True)
class Raft:
    """A raft: how many it holds and where it is stowed."""

    name: str
    places: int
    stowed: str


@dataclass(frozen=True)
class PeopleProvision:
    """Seats and rescue equipment of the whole aircraft; `passenger_mass_kg` is one passenger with what is carried on."""

    passenger_mass_kg: float
    seats: tuple[SeatRow, ...]
    rafts: tuple[Raft, ...]


@dataclass(frozen=True)
class Bay:
    """A cargo bay between two arms, with the limits of its floor and the opening cargo comes through."""

    name: str
    from_arm_m: float
    to_arm_m: float
    lateral_arm_m: float
    width_m: float
    height_m: float
    mass_limit_kg: float
    floor_limit_kg_per_m2: float
    running_limit_kg_per_m: float
    door: str | None  # name of a door of this aircraft that opens into the bay


@dataclass(frozen=True)
class Door:
    """An opening: where it is and what passes through it."""

    name: str
    arm_m: float
    side: str  # left, right, belly
    width_m: float
    height_m: float
    opens_in_flight: bool


@dataclass(frozen=True)
class Tank:
    """A fuel tank; tanks are burnt in ascending order, tanks of equal order together, level with one another."""

    name: str
    capacity_m3: float
    unusable_m3: float
    arm_m: float
    lateral_arm_m: float
    order: int
    feeds: str  # which engines draw on it, for the crew


@dataclass(frozen=True)
class Envelope:
    """Limits of the centre of gravity: corner points (arm, mass) joined in order; a configuration of gear or phase."""

    name: str  # "flight", "take-off and landing"
    arm_m: tuple[float, ...]
    mass_kg: tuple[float, ...]


@dataclass(frozen=True)
class RemovableEquipment:
    """Equipment that may be left ashore, not in the weighed basic mass: a raft, a ladder, a spare wheel."""

    name: str
    mass_kg: float
    arm_m: float
    lateral_arm_m: float


@dataclass(frozen=True)
class Restraint:
    """What a load has to be held against, in multiples of its weight, and the straps it is held with.

    Both angles are of the strap as it is rigged: to the floor, and to the direction held as seen from above.
    """

    forward_factor: float
    aft_factor: float
    side_factor: float
    up_factor: float
    strap_strength_n: float  # of strap or floor fitting, the weaker
    floor_angle_deg: float
    plan_angle_deg: float


@dataclass(frozen=True)
class MassLimits:
    """Structural limits; None where the aircraft has none of its own."""

    ramp_kg: float
    take_off_kg: float
    landing_kg: float
    zero_fuel_kg: float | None


@dataclass(frozen=True)
class MassAndBalance:
    """Everything the loading sheet needs."""

    datum: str
    chord_leading_edge_arm_m: float  # leading edge of the mean aerodynamic chord
    chord_m: float
    limits: MassLimits
    envelopes: tuple[Envelope, ...]
    stations: tuple[Station, ...]
    bays: tuple[Bay, ...]
    doors: tuple[Door, ...]
    tanks: tuple[Tank, ...]
    lateral_moment_limit_kg_m: float | None
    fuel_imbalance_limit_kg: float | None  # between the tanks left and right of the centre line
    preferred_arm_m: float | None  # centre of gravity she flies best at; what a proposed placement aims for
    crew_mass_kg: float | None  # planning mass of a crew member with bag, where the mission gives none
    equipment: tuple[RemovableEquipment, ...]
    restraint: Restraint | None
    trim: Curve | None  # stabiliser or elevator trim for take-off, nose up positive, against the chord ratio


@dataclass(frozen=True)
class CrewPosition:
    """A crew position and the station it sits at; `at_station_for_take_off` names another seat when it moves."""

    name: str
    station: str
    take_off_station: str | None


@dataclass(frozen=True)
class Fluid:
    """Oil, oxygen or another supply: how much there is and how fast it goes, None where it is not consumed by rate."""

    name: str
    capacity: float
    unit: str  # as written in the file; the supply is compared only with itself
    use_per_hour: float | None
    remarks: str
    on_demand: bool = False  # used only when it is needed, such as de-icing fluid, not by the hour of flight
    least_for_flight: float = 0.0  # in the same unit, of the whole aircraft: what must still be there at the end
    least_at_start: float | None = None  # in the same unit: what a flight begins with at least
    use_per_hour_by_pressure_altitude_m: Curve | None = None  # of oxygen; None: the same at every height


@dataclass(frozen=True)
class GroundFlows:
    """Fuel flow of all engines on the ground [m3/s]."""

    start_m3_per_s: float
    taxi_m3_per_s: float
    run_up_m3_per_s: float
    shutdown_m3_per_s: float


@dataclass(frozen=True)
class SpeedCard:
    """Indicated airspeeds of the file; the unstick speed holds at one mass and goes with the square root of mass."""

    unstick_m_per_s: float
    unstick_mass_kg: float
    safe_m_per_s: float
    climb_m_per_s: float
    climb_on_instruments_m_per_s: float | None
    descent_m_per_s: float
    hold_m_per_s: float
    approach_m_per_s: float
    base_m_per_s: float
    final_m_per_s: float
    threshold_m_per_s: float
    flaps_limit_m_per_s: float
    gear_limit_m_per_s: float | None
    never_exceed_m_per_s: float
    climb_on_instruments_in: tuple[InstrumentCondition, ...] = ()  # in which that climbing speed is flown


@dataclass(frozen=True)
class SpeedsAtMass:
    """Indicated airspeeds at one mass, read between the masses given; None: the speed card holds."""

    mass_kg: float
    unstick_m_per_s: float | None
    safe_m_per_s: float | None
    final_m_per_s: float | None
    threshold_m_per_s: float | None


@dataclass(frozen=True)
class DescentRule:
    """The descent the file plans on unless the mission says otherwise."""

    rate_m_per_s: float


@dataclass(frozen=True)
class Instruments:
    """Errors of the instruments: calibrated against indicated airspeed, and deviation against magnetic heading.

    Deviation is what is added to the magnetic heading to get the compass heading, read around the full circle.
    """

    calibrated_by_indicated: Curve
    compass_deviation_deg_by_magnetic_heading_deg: Curve


@dataclass(frozen=True)
class ChartGrade:
    """A fuel grade of an aircraft described by charts: which charts hold for it, and its density."""

    name: str
    density_kg_per_m3: float
    carburettor_air_temperature_limit_k: float | None


@dataclass(frozen=True)
class ChartBook:
    """An aircraft described by charts: by name cruise, climb, hold, take-off, landing, ceilings, stall."""

    engine_configurations: tuple[EngineConfiguration, ...]
    fuel_grades: tuple[ChartGrade, ...]
    rated_power_w: float | None
    charts: dict[str, Chart]


@dataclass(frozen=True)
class Aircraft:
    """A whole aircraft file."""

    name: str
    kind: str  # one line: what she is
    source: str  # where the numbers come from
    engines: int
    wheels: str  # "tail wheel" or "nose wheel"
    equipment: tuple[str, ...]
    individuals: tuple[Individual, ...]
    crew: tuple[CrewPosition, ...]
    balance: MassAndBalance
    speeds: SpeedCard
    instruments: Instruments
    ground_flows: GroundFlows
    descent: DescentRule
    fluids: tuple[Fluid, ...]
    lever_order: LeverOrder
    altitude_actions: tuple[AltitudeAction, ...]
    checklists: tuple[Checklist, ...]
    model: PhysicalModel | None
    charts: ChartBook | None
    limits: CrewLimits
    minimum_control: tuple[MinimumControl, ...]  # one for each engine configuration of the file
    phases: tuple[PhaseSetting, ...]
    carburettor_ice: AgainstCarburettorIce
    people: PeopleProvision
    emergencies: tuple[Emergency, ...]
    speeds_by_mass: tuple[SpeedsAtMass, ...] = ()  # in ascending order of mass
    fuel_transfer: FuelTransfer | None = None
    calls_on_the_run: tuple[RunCall, ...] = ()  # in the order of the run
    instrument_resolution: InstrumentResolution = field(default_factory=InstrumentResolution)
    mixture_settings: MixtureSettings = field(default_factory=MixtureSettings)
