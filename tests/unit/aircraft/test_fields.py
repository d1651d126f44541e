"""Take-off and landing of the T4 and, by her book, of the T5: facts of the trade, order, limits, trends of the two."""

from __future__ import annotations

import csv
import math
from dataclasses import replace

import pytest

from briefgen.aircraft.book.fields import ChartFields
from briefgen.aircraft.fields import FieldPerformance, Strip, greatest_mass, surface_names
from briefgen.aircraft.physics.fields import ModelFields
from briefgen.aircraft.physics.strip_forces import StripForces
from briefgen.aircraft.speed_card import minimum_control_ias
from briefgen.errors import OutOfRangeError, PlanError
from briefgen.kernel import takeoff
from briefgen.kernel.aerodynamics import greatest_fin_moment
from briefgen.kernel.atmosphere import standard_temperature
from briefgen.model.aircraft import Aircraft
from briefgen.model.performance import Air
from briefgen.model.places import Runway
from briefgen.spec.read import read_aircraft
from tests.shared.demo_missions import SPECS

BOOK_ROWS = SPECS / "aircraft" / "t5-freighter" / "take-off.csv"
LB_KG = 0.45359237
FT_M = 0.3048
MPH_M_PER_S = 1609.344 / 3600.0
TRAINING_WEIGHT_KG = 50000.0 * LB_KG
SURFACES = ("paved dry", "firm turf", "soft", "mud")


@pytest.fixture(scope="module")
def freighter() -> Aircraft:
    return read_aircraft(SPECS / "aircraft" / "t4-freighter.yaml", root=SPECS)


@pytest.fixture(scope="module")
def fields(freighter: Aircraft) -> ModelFields:
    assert freighter.model is not None
    return ModelFields(freighter, freighter.model, "91/96")


@pytest.fixture(scope="module")
def book() -> ChartFields:
    aircraft = read_aircraft(SPECS / "aircraft" / "t5-freighter.yaml", root=SPECS)
    assert aircraft.charts is not None
    return ChartFields(aircraft, aircraft.charts, "91/96")


def strip(
    surface: str = "soft",
    *,
    height_ft: float = 0.0,
    deviation_k: float = 0.0,
    headwind_m_per_s: float = 0.0,
    slope: float = 0.0,
    depth_m: float = 0.0,
    wet: bool = False,
) -> Strip:
    height_m = height_ft * FT_M
    runway = Runway("09", 90.0, 1500.0, 30.0, surface, slope, height_m, "none", (), depth_m)
    return Strip(runway, Air(height_m, standard_temperature(height_m) + deviation_k), headwind_m_per_s, wet)


def run_m(fields: FieldPerformance, on: Strip, mass_kg: float = TRAINING_WEIGHT_KG) -> float:
    return fields.take_off(mass_kg, on).ground_run_m


# --- facts of the trade: common practice, no published source ---------------------------------------------------------


@pytest.mark.calibration
def test_unstick_is_near_100_mph_at_training_weight(fields: ModelFields) -> None:
    """Common practice, no published source; wing, lift and the weight of the card were fitted to it: no proof."""
    speed = fields.take_off(TRAINING_WEIGHT_KG, strip("paved dry")).unstick_ias_m_per_s

    assert speed is not None
    assert speed / MPH_M_PER_S == pytest.approx(100.0, abs=3.0)  # "near" and the row of an airspeed indicator


@pytest.mark.calibration
def test_tail_raised_early_adds_20_to_30_mph(fields: ModelFields) -> None:
    """Common practice, no published source; the level angle of the aircraft file is fitted to this, so it is no proof."""
    down = fields.take_off(TRAINING_WEIGHT_KG, strip(), "tail down").unstick_ias_m_per_s
    raised = fields.take_off(TRAINING_WEIGHT_KG, strip(), "tail raised").unstick_ias_m_per_s

    assert down is not None
    assert raised is not None
    assert 20.0 <= (raised - down) / MPH_M_PER_S <= 30.0


@pytest.mark.parametrize("surface", SURFACES)
def test_tail_raised_early_lengthens_the_run(fields: ModelFields, surface: str) -> None:
    """Common practice, no published source, for soft ground; here kept up all the way, on every surface."""
    down = fields.take_off(TRAINING_WEIGHT_KG, strip(surface), "tail down")
    raised = fields.take_off(TRAINING_WEIGHT_KG, strip(surface), "tail raised")

    assert raised.ground_run_m > down.ground_run_m


def test_the_lower_grade_lengthens_the_run(freighter: Aircraft, fields: ModelFields) -> None:
    """Common practice, no published source: a tenth less take-off power on the lower grade means a longer run."""
    assert freighter.model is not None
    better = ModelFields(freighter, freighter.model, "100/130")

    assert 1.05 < run_m(fields, strip()) / run_m(better, strip()) < 1.25


# --- the T5 by her book: another airframe of the class, an independent calculation, invented, not published ------------

SEA_LEVEL = ("91/96", 48000.0, 0.0, 0.0, "paved")


def book_runs() -> dict[tuple[str, float, float, float, str], tuple[float, float]]:
    """Return run and distance to 50 ft of the book [ft] by grade, weight, height, deviation and surface."""
    lines = [line for line in BOOK_ROWS.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {
        (
            row["fuel_grade"],
            float(row["weight_lb"]),
            float(row["pressure_altitude_ft"]),
            float(row["isa_deviation_degC"]),
            row["surface"],
        ): (float(row["ground_run_ft"]), float(row["distance_to_50_ft_ft"]))
        for row in csv.DictReader(lines)
        if row["ground_run_ft"]
    }


@pytest.mark.parametrize(
    ("what", "there"),
    [
        ("weight", ("91/96", 56000.0, 0.0, 0.0, "paved")),
        ("height", ("91/96", 48000.0, 4000.0, 0.0, "paved")),
        ("warmth", ("91/96", 48000.0, 0.0, 15.0, "paved")),
        ("turf", ("91/96", 48000.0, 0.0, 0.0, "firm turf")),
        ("soft ground", ("91/96", 48000.0, 0.0, 0.0, "soft")),
        ("mud", ("91/96", 48000.0, 0.0, 0.0, "mud")),
    ],
)
def test_what_lengthens_the_run_of_one_airframe_lengthens_that_of_the_other(
    fields: ModelFields, what: str, there: tuple[str, float, float, float, str]
) -> None:
    """T4 worked out, T5 by her book: the same step, the added share of run and distance within a factor of two."""
    book = book_runs()

    def model(at: tuple[str, float, float, float, str]) -> tuple[float, float]:
        _, weight_lb, height_ft, deviation_k, surface = at
        on = strip(surface.replace("paved", "paved dry"), height_ft=height_ft, deviation_k=deviation_k)
        found = fields.take_off(weight_lb * LB_KG, on)
        return found.ground_run_m, found.distance_m

    for part in (0, 1):
        by_book = book[there][part] / book[SEA_LEVEL][part] - 1.0
        by_model = model(there)[part] / model(SEA_LEVEL)[part] - 1.0
        assert by_book > 0.0
        assert by_model > 0.0
        assert 0.5 < by_model / by_book < 2.0, what


def test_the_book_is_read_as_printed(book: ChartFields) -> None:
    """A printed point comes back as printed: 56,000 lb, 2,000 ft, 15 degC above standard, soft, lower grade."""
    lines = [line for line in BOOK_ROWS.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    (row,) = (
        row
        for row in csv.DictReader(lines)
        if (row["fuel_grade"], row["weight_lb"], row["pressure_altitude_ft"], row["isa_deviation_degC"], row["surface"])
        == ("91/96", "56000", "2000", "15", "soft")
    )

    found = book.take_off(56000.0 * LB_KG, strip(height_ft=2000.0, deviation_k=15.0))

    assert found.ground_run_m / FT_M == pytest.approx(float(row["ground_run_ft"]), rel=1e-9)
    assert found.distance_m / FT_M == pytest.approx(float(row["distance_to_50_ft_ft"]), rel=1e-9)


def test_the_book_refuses_weights_outside_it(book: ChartFields) -> None:
    """Nothing is extrapolated: the message names the axis and its range."""
    with pytest.raises(OutOfRangeError, match=r"mass 70,000 lb is outside the chart"):
        book.take_off(70000.0 * LB_KG, strip())


def test_published_factors_stand_in_for_axes_the_chart_lacks(book: ChartFields) -> None:
    """UK CAP 698: 5 % a per cent uphill and nothing for downhill; Safety Sense Leaflet 7: 20 % for a tenth of the speed."""
    level = run_m(book, strip())
    unstick = book.take_off(TRAINING_WEIGHT_KG, strip()).unstick_ias_m_per_s
    assert unstick is not None

    assert run_m(book, strip(slope=0.02)) == pytest.approx(1.10 * level)
    assert run_m(book, strip(slope=-0.02)) == level
    assert run_m(book, strip(headwind_m_per_s=5.0)) == level
    tail_wind = run_m(book, strip(headwind_m_per_s=-0.1 * unstick))
    assert tail_wind == pytest.approx(1.2 * level, rel=0.01)  # the tenth is of the true speed, 2 % above the indicated


def test_a_book_without_a_landing_chart_says_so(book: ChartFields) -> None:
    """A missing chart is an error with its name, not a guess."""
    with pytest.raises(PlanError, match="have no landing chart"):
        book.landing(TRAINING_WEIGHT_KG, strip())


# --- order and limits -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "worse",
    [
        {"deviation_k": 10.0},
        {"height_ft": 2000.0},
        {"slope": 0.01},
        {"headwind_m_per_s": -3.0},
        {"surface": "mud"},
        {"depth_m": 0.01, "surface": "slush"},
    ],
)
def test_what_hinders_lengthens_the_take_off(fields: ModelFields, worse: dict[str, float]) -> None:
    """Heat, height, slope, tail wind, mud and slush all make it longer; so does weight."""
    easy, hard = fields.take_off(TRAINING_WEIGHT_KG, strip("firm turf")), strip(**({"surface": "firm turf"} | worse))  # type: ignore[arg-type]

    assert fields.take_off(TRAINING_WEIGHT_KG, hard).ground_run_m > easy.ground_run_m
    assert fields.take_off(1.05 * TRAINING_WEIGHT_KG, strip("firm turf")).distance_m > easy.distance_m


@pytest.mark.parametrize(("surface", "mass_lb"), [("paved dry", 48000.0), ("soft", 56000.0), ("mud", 63200.0)])
def test_step_halving_moves_the_answer_by_less_than_a_thousandth(
    fields: ModelFields, surface: str, mass_lb: float
) -> None:
    """Also in deep mud at 63,200 lb, where she only just leaves the ground."""
    forces = fields._on(strip(surface))
    flaps = forces.configuration("clean")
    roll = forces.roll(mass_lb * LB_KG, 10.0, flaps)
    unstick = 1.08 * forces.stall(mass_lb * LB_KG, flaps)

    def summed(panels: int) -> float:
        return takeoff.run_marks(roll, lambda tas: 4.0 * forces.thrust(tas), 0.0, unstick, panels).distance_m[-1]

    assert summed(takeoff.PANELS) == pytest.approx(summed(2 * takeoff.PANELS), rel=1e-3)


def test_the_thrust_curve_is_the_propeller(fields: ModelFields) -> None:
    """The polynomial the run uses keeps to 0.1 % of engine and propeller solved at each speed."""
    forces: StripForces = fields._on(strip())

    for speed in range(0, 80, 7):
        assert forces.thrust(float(speed)) == pytest.approx(forces.thrust_at(float(speed)), rel=1e-3)


def test_stopping_and_going_on_are_judged_at_one_speed(fields: ModelFields) -> None:
    """The engine-failure speed is not below minimum control and not above unstick; bounded there, stopping is longer."""
    found = fields.take_off(60000.0 * LB_KG, strip("paved dry"))
    assert found.critical_ias_m_per_s is not None
    assert found.accelerate_go_m is not None
    assert found.accelerate_stop_m is not None
    assert found.unstick_ias_m_per_s is not None

    assert found.critical_ias_m_per_s / MPH_M_PER_S + 1e-6 >= 92.0
    assert found.critical_ias_m_per_s <= found.unstick_ias_m_per_s + 1e-6
    assert found.accelerate_stop_m > found.ground_run_m
    assert found.accelerate_go_m > found.distance_m


def test_what_does_not_unstick_says_so_and_a_lighter_weight_does(fields: ModelFields) -> None:
    """High, hot, in mud and uphill the run never ends; the greatest weight for a mile of it is found all the same."""
    on = strip("mud", height_ft=6000.0, deviation_k=30.0, slope=0.04)
    heavy = fields.take_off(63200.0 * LB_KG, on)
    greatest = greatest_mass(
        lambda mass: fields.take_off(mass, on).ground_run_m / 1600.0, 38000.0 * LB_KG, 63200.0 * LB_KG
    )

    assert math.isinf(heavy.ground_run_m)
    assert heavy.fastest_ias_m_per_s is None or heavy.fastest_ias_m_per_s < (heavy.unstick_ias_m_per_s or 0.0)
    assert greatest is not None
    assert run_m(fields, on, greatest) <= 1600.0
    assert run_m(fields, on, greatest + 20.0) > 1600.0


def test_greatest_mass_at_the_ends_of_its_range(fields: ModelFields) -> None:
    """Everything fits a long runway; nothing fits a very short one."""

    def over(length_m: float) -> float | None:
        return greatest_mass(lambda mass: run_m(fields, strip(), mass) / length_m, 17000.0, 29000.0)

    assert over(9000.0) == 29000.0
    assert over(100.0) is None


def test_landing_is_longer_when_heavy_wet_or_downhill(fields: ModelFields) -> None:
    """Weight, a wet runway, a tail wind and a downhill slope all lengthen it."""
    base = fields.landing(TRAINING_WEIGHT_KG, strip("paved dry")).distance_m

    assert fields.landing(1.1 * TRAINING_WEIGHT_KG, strip("paved dry")).distance_m > base
    assert fields.landing(TRAINING_WEIGHT_KG, strip("paved dry", wet=True)).distance_m > base
    assert fields.landing(TRAINING_WEIGHT_KG, strip("paved dry", headwind_m_per_s=-3.0)).distance_m > base
    assert fields.landing(TRAINING_WEIGHT_KG, strip("paved dry", slope=-0.01)).distance_m > base


def test_brakes_do_nothing_where_the_wheels_ride_on_water(freighter: Aircraft, fields: ModelFields) -> None:
    """With softer tyres the wheels ride from a lower speed, and the landing on standing water is longer."""
    assert freighter.model is not None
    softer = replace(freighter.model, field=replace(freighter.model.field, tyre_pressure_pa=1.0e5))
    on = strip("paved dry", depth_m=0.004)
    soft_tyres = ModelFields(replace(freighter, model=softer), softer, "91/96")

    assert soft_tyres.landing(TRAINING_WEIGHT_KG, on).distance_m > fields.landing(TRAINING_WEIGHT_KG, on).distance_m


@pytest.mark.parametrize(
    ("surface", "depths_m"), [("slush", (0.003, 0.006, 0.012)), ("paved dry", (0.002, 0.01, 0.02))]
)
def test_depth_never_shortens_a_stop(fields: ModelFields, surface: str, depths_m: tuple[float, ...]) -> None:
    """More of it lengthens the run and leaves the stop and the landing as they are: nobody counts on its help."""
    at_depths = [strip(surface, depth_m=depth_m) for depth_m in depths_m]
    landings = [fields.landing(TRAINING_WEIGHT_KG, on).distance_m for on in at_depths]
    forces = [fields._on(on) for on in at_depths]
    rolls = [one.braked(one.roll(TRAINING_WEIGHT_KG, 4.0, one.configuration("clean"))) for one in forces]

    stops = [takeoff.stop_marks(roll, 0.0, 40.0).distance_m[-1] for roll in rolls]
    runs = [run_m(fields, on) for on in at_depths]

    assert landings == sorted(landings)
    assert stops == sorted(stops)
    assert runs == sorted(set(runs))


def test_slush_without_a_depth_is_refused(fields: ModelFields) -> None:
    """Not taken for none: its drag would be left out of the run."""
    with pytest.raises(PlanError, match="runway 09 is 'slush', and its depth is not given"):
        fields.take_off(TRAINING_WEIGHT_KG, strip("slush"))


def test_slush_deeper_than_the_file_allows_is_refused_and_as_deep_as_it_allows_is_not(fields: ModelFields) -> None:
    """An inch in her file (invented): an inch and a half is not flown with the drag of the inch."""
    assert fields.landing(TRAINING_WEIGHT_KG, strip("slush", depth_m=0.0254)).distance_m > 0.0
    with pytest.raises(PlanError, match="deeper than the aircraft file allows"):
        fields.landing(TRAINING_WEIGHT_KG, strip("slush", depth_m=1.5 * 0.0254))


def test_water_without_tyre_data_is_refused(freighter: Aircraft) -> None:
    """An aircraft file without tyre width cannot answer for slush."""
    assert freighter.model is not None
    bare = replace(freighter.model, field=replace(freighter.model.field, tyre_width_m=None))
    fields = ModelFields(replace(freighter, model=bare), bare, "91/96")

    with pytest.raises(PlanError, match="does not give the width and number of the main wheels"):
        fields.take_off(TRAINING_WEIGHT_KG, strip("slush", depth_m=0.01))


def test_an_unknown_surface_is_refused(fields: ModelFields) -> None:
    """The message lists the surfaces of the aircraft file."""
    with pytest.raises(PlanError, match="runway 09 is 'coral', and the aircraft file has no such surface"):
        fields.take_off(TRAINING_WEIGHT_KG, strip("coral"))


@pytest.mark.parametrize(
    ("written", "wet", "first"),
    [
        ("paved dry", False, "paved dry"),
        ("paved", False, "paved"),
        ("paved dry", True, "paved wet"),
        ("paved wet", False, "paved wet"),
        ("firm turf", True, "wet grass"),
        ("soft", True, "soft wet"),
    ],
)
def test_rain_wets_a_runway(written: str, wet: bool, first: str) -> None:
    """Rain turns a dry surface into its wet one and never the other way round."""
    assert surface_names(strip(written, wet=wet))[0] == first


@pytest.fixture(scope="module")
def survey_twin() -> ChartFields:
    aircraft = read_aircraft(SPECS / "aircraft" / "s2-survey.yaml", root=SPECS)
    assert aircraft.charts is not None
    return ChartFields(aircraft, aircraft.charts, aircraft.charts.fuel_grades[0].name)


SURVEY_KG = 6500.0 * LB_KG


def test_a_chart_for_paved_runways_takes_published_factors_on_turf(survey_twin: ChartFields) -> None:
    """UK CAP 698 and Safety Sense Leaflet 7: dry grass 1.2 for take-off and 1.15 for landing, wet grass 1.3 and 1.35."""
    paved, turf = strip("paved dry"), strip("firm turf")
    wet = strip("firm turf", wet=True)

    assert run_m(survey_twin, turf, SURVEY_KG) == pytest.approx(1.2 * run_m(survey_twin, paved, SURVEY_KG))
    assert run_m(survey_twin, wet, SURVEY_KG) == pytest.approx(1.3 * run_m(survey_twin, paved, SURVEY_KG))
    landed = [survey_twin.landing(SURVEY_KG, on).distance_m for on in (paved, turf, wet)]
    assert landed[1:] == [pytest.approx(1.15 * landed[0]), pytest.approx(1.35 * landed[0])]


def test_charts_say_nothing_of_mud_or_standing_water(survey_twin: ChartFields) -> None:
    """Neither chart nor published factor covers them, so they are refused."""
    with pytest.raises(PlanError, match="is 'mud', and neither chart nor factors"):
        survey_twin.take_off(SURVEY_KG, strip("mud"))
    with pytest.raises(PlanError, match="has standing water or slush; the charts"):
        survey_twin.take_off(SURVEY_KG, strip("paved dry", depth_m=0.005))


# --- an engine failed -------------------------------------------------------------------------------------------------


def test_the_fin_holds_her_from_below_the_minimum_control_speed_of_the_file(
    freighter: Aircraft, fields: ModelFields
) -> None:
    """Two entries of one file: minimum control is not slower than the fin can hold an outer engine's loss at take-off power."""
    forces = fields._on(strip("paved dry"))
    control = minimum_control_ias(freighter)
    assert control is not None
    assert freighter.model is not None
    fin = freighter.model.airframe
    pressure_pa = 0.5 * forces.density_kg_per_m3 * control**2
    thrust_n = forces.thrust(control)
    moment_n_m = (thrust_n + pressure_pa * freighter.model.propeller.windmilling_drag_area_m2) * 27.5 * FT_M

    assert moment_n_m < greatest_fin_moment(pressure_pa, fin.fin_area_m2, fin.fin_arm_m)


def test_drag_of_a_failed_engine_term_by_term(fields: ModelFields) -> None:
    """At 60 m/s in calm standard air, by hand: windmilling 10 sq ft, a fin of 17.5 ft, half as good as a wing, on 43.5 ft."""
    forces = fields._on(strip("paved dry"))
    pressure_pa = 0.5 * forces.density_kg_per_m3 * 60.0**2
    windmilling_n = pressure_pa * 10.0 * FT_M**2
    side_n = (12000.0 + windmilling_n) * 27.5 / 43.5

    assert forces.failed_drag(12000.0, 60.0) == pytest.approx(
        windmilling_n + side_n**2 / (0.5 * pressure_pa * math.pi * (17.5 * FT_M) ** 2), rel=1e-9
    )


def test_standing_still_a_failed_engine_has_no_drag(fields: ModelFields) -> None:
    """Below the speed at which the fin holds her the wheels steer: the fin's drag vanishes with the speed."""
    forces = fields._on(strip("paved dry"))

    assert forces.failed_drag(15000.0, 0.0) == 0.0
    assert forces.failed_drag(15000.0, 5.0) < 200.0
