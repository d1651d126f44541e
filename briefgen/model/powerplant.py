"""Engine, propeller, airframe and their limits as an aircraft file of the model kind gives them, in SI units."""

from __future__ import annotations

from briefgen.frozen import dataclass
from briefgen.model.curves import Curve
from briefgen.model.performance import EngineConfiguration, Mixture


@dataclass(frozen=True)
class Turbo:
    """An exhaust turbo-supercharger ahead of the engine's own blower, with its intercooler.

    `back_pressure_ratio` is how far the exhaust rises from ambient towards the deck pressure while the turbo works.
    """

    deck_pressure_limit_pa: float
    pressure_ratio_by_engine_speed_rpm: Curve
    compressor_efficiency_ratio: float
    back_pressure_ratio: float
    intercooler_cold_ratio: float  # part of the compression heat removed, intercooler shutters open ("cold")
    intercooler_hot_ratio: float  # the same with the shutters shut ("hot")


@dataclass(frozen=True)
class CarburettorHeat:
    """Warm air for the carburettor, drawn off the exhaust: what it brings and what it costs, full on."""

    temperature_rise_k: float
    manifold_pressure_loss_pa: float  # at take-off airflow, throttle open; with the square of the airflow


@dataclass(frozen=True)
class Consumption:
    """Fuel per indicated work: lean by itself, rich as a ratio of lean against the part of rated power in use."""

    lean_kg_per_j: float
    rich_ratio_by_power_ratio: Curve


@dataclass(frozen=True)
class Engine:
    """One engine: indicated mean effective pressure from the manifold, less friction; then consumption and gear.

    imep = slope * (manifold pressure - residual * exhaust pressure) * sqrt(reference temperature / carburettor air)
           * (1 - breathing loss * (engine speed / reference speed)^2)
    fmep = friction_constant + friction_quadratic * (engine speed / reference speed)^2
    """

    displacement_m3: float
    gear_ratio: float  # propeller turns per engine turn
    rated_power_w: float  # maximum continuous, to which percent power refers
    reference_speed_rpm: float
    indicated_pressure_ratio: float  # slope of indicated mean effective pressure against manifold pressure
    breathing_loss_ratio: float  # charge lost to blower heating and valves at the reference speed
    residual_ratio: float  # share of exhaust pressure that the residual gas takes off the charge
    reference_carburettor_temperature_k: float
    friction_constant_pa: float
    friction_quadratic_pa: float
    lean_power_ratio: float  # indicated power lean as a ratio of rich at the same manifold pressure
    blower_rise_ratio: float  # pressure rise of the geared blower at the reference speed, 0 when there is none
    ram_ratio: float  # share of the dynamic pressure recovered at the intake
    throttle_loss_ratio: float  # pressure lost in intake and carburettor at full throttle and reference airflow
    filter_loss_pa: float | None  # manifold pressure the air filters cost at take-off airflow; None without filters
    turbo: Turbo | None
    carburettor_heat: CarburettorHeat | None
    consumption: Consumption


@dataclass(frozen=True)
class Propeller:
    """A constant-speed propeller seen as an actuator disk with one representative blade station."""

    diameter_m: float
    blade_area_ratio: float  # blade area of all blades over disk area
    profile_drag: float  # section drag coefficient at the design lift coefficient
    profile_drag_rise: float  # rise with the square of the departure from it
    design_lift: float
    induced_ratio: float  # induced loss over the ideal of momentum theory, at least 1
    installed_ratio: float  # thrust on the aeroplane over that of the propeller alone: nacelle, hub and slipstream
    feathered_drag_area_m2: float
    windmilling_drag_area_m2: float


@dataclass(frozen=True)
class Rating:
    """A power rating: manifold pressure and engine speed not to be exceeded, and for how long (None: no limit)."""

    manifold_pressure_pa: float
    engine_speed_rpm: float
    mixture: Mixture
    time_limit_s: float | None


@dataclass(frozen=True)
class FuelGrade:
    """What the engines may do on one grade of fuel, and its density for turning volume into mass."""

    name: str
    density_kg_per_m3: float
    take_off: Rating
    climb: Rating
    lean_manifold_pressure_pa_by_engine_speed_rpm: Curve  # permitted lean; ends at the highest lean engine speed
    rich_manifold_pressure_pa_by_engine_speed_rpm: Curve  # permitted rich without time limit
    carburettor_air_temperature_limit_k: float


@dataclass(frozen=True)
class AirframeConfiguration:
    """One position of the flaps: extra drag area and lift, and the greatest lift coefficient, power off."""

    name: str  # such as "flaps up" or "flaps full"
    drag_area_m2: float
    lift_increment: float
    greatest_lift: float


@dataclass(frozen=True)
class Airframe:
    """Drag and lift of the aeroplane."""

    wing_area_m2: float
    wing_span_m: float
    fin_area_m2: float  # fin and rudder, all fins together
    fin_height_m: float  # all fins together
    fin_arm_m: float  # from the centre of gravity aft to the fin
    zero_lift_drag: float
    span_efficiency_ratio: float
    lift_slope_per_deg: float
    zero_lift_angle_deg: float
    configurations: tuple[AirframeConfiguration, ...]
    gear_drag_area_m2: float
    cowl_flap_drag_area_m2: dict[str, float]  # all engines together, by position
    altitude_limit_m: float  # pressure altitude above which the model has not been fitted


@dataclass(frozen=True)
class StoppedEngines:
    """An engine configuration with the arm on which the thrust left over yaws her."""

    configuration: EngineConfiguration
    yawing_arm_m: (
        float  # arms of the stopped engines from the centre line, one side less the other; 0 when they balance
    )


@dataclass(frozen=True)
class Surface:
    """A runway surface: rolling friction, braking friction, where the figures come from, and the greatest depth they hold for.

    Deeper standing water, slush or snow is refused; None sets no limit.
    """

    name: str
    rolling: float
    braking: float
    source: str
    greatest_depth_m: float | None = None


@dataclass(frozen=True)
class Field:
    """What the ground run needs."""

    tail_down_angle_deg: float | None  # wing attitude in the three-point position; None with a nose wheel
    level_angle_deg: float  # wing attitude with the tail up, or on a nose wheel
    take_off_configuration: str
    landing_configuration: str
    unstick_stall_ratio: float  # unstick speed over stalling speed, take-off configuration
    threshold_stall_ratio: float
    power_on_stall_angle_deg: float | None
    main_wheel_share_ratio: float  # share of the weight on the braked wheels
    hold_on_brakes_manifold_pressure_pa: float | None
    surfaces: tuple[Surface, ...]
    wing_height_m: float | None = None  # of the wing above the runway; None: no help from the ground is counted
    tyre_pressure_pa: float | None = None  # main wheels; with width and number needed only where water or slush stands
    tyre_width_m: float | None = None
    main_wheels: int | None = None  # wheels that run in fluid of their own track


@dataclass(frozen=True)
class PhysicalModel:
    """A whole aircraft as a physical model."""

    engine: Engine
    propeller: Propeller
    airframe: Airframe
    engine_configurations: tuple[StoppedEngines, ...]  # all engines first
    fuel_grades: tuple[FuelGrade, ...]
    minimum_engine_speed_rpm: float
    filters_off_above_m: float | None
    descent_manifold_pressure_pa: float  # lowest manifold pressure in descent: keeps the engines warm
    field: Field
