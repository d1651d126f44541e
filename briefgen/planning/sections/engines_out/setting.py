"""Settings with engines stopped: levers, speeds and flows as figures; at the height held, how far the fuel goes on it."""

from __future__ import annotations

from collections.abc import Callable

from briefgen.aircraft.interface import Performance
from briefgen.errors import BriefgenError
from briefgen.model.mission import Mission
from briefgen.model.performance import BestRange, IndicatedAirspeed, PowerSetting, SpeedTarget
from briefgen.model.record import Absent, Record, figure, rests_on, working
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.absence import said
from briefgen.planning.ledger.writer import AIRSPEED, LedgerWriter
from briefgen.planning.sections.basis.groups import FLOWN_BY, rest_on_groups
from briefgen.planning.sections.engines_out.ceilings import FewerFigures, LegFigures
from briefgen.planning.sections.engines_out.legs import NOT_KNOWN, Fewer, LegOut

PIECES = 6  # of the fuel remaining; the weight falls by a few per cent in each, so the middle of it serves
BY_LIMITS = "by the limits of the fuel grade"

SettingAt = Callable[[float], PowerSetting]  # the setting at a mass [kg]


def fuel_goes(setting_at: SettingAt, mass_kg: float, fuel_kg: float) -> tuple[float, float]:
    """Return the still-air distance [m] and time [s] until a mass of fuel is burnt, solved in the middle of each piece."""
    piece_kg = fuel_kg / PIECES
    distance_m = time_s = 0.0
    for piece in range(PIECES):
        setting = setting_at(mass_kg - (piece + 0.5) * piece_kg)
        time_s += piece_kg / setting.fuel_flow_kg_per_s
        distance_m += setting.specific_range_m_per_kg * piece_kg
    return distance_m, time_s


class LevelSetting(Record):
    """A setting in level flight as it is printed, or the word that stands for its flow where there is none."""

    label: str
    how: str
    setting: PowerSetting | None  # None where it cannot be flown or is not known: then `word` says which
    word: str = NOT_KNOWN
    _fuel_density_kg_per_m3: float

    @property
    def origin(self) -> str:
        """Where the setting comes from."""
        return self.setting.source if self.setting else ""

    @working
    def _solved(self) -> PowerSetting:
        """The setting, which rests on what `_drivers` reads."""
        self._drivers()
        rest_on_groups(*FLOWN_BY)
        if self.setting is None:
            raise Absent(self.how)
        return self.setting

    def _drivers(self) -> None:
        raise NotImplementedError

    @figure("%(label)s: indicated airspeed", AIRSPEED, how="%(how)s", source="%(origin)s")
    def ias(self) -> float:
        return self._solved.ias_m_per_s

    @figure("%(label)s: true airspeed", "kt", how="%(how)s", source="%(origin)s")
    def tas(self) -> float:
        return self._solved.tas_m_per_s

    @figure("%(label)s: engine speed", "rpm", how="%(how)s", source="%(origin)s")
    def rpm(self) -> float:
        return said(self._solved.engine_speed_rpm)

    @figure("%(label)s: manifold pressure", "inHg", decimals=1, how="%(how)s", source="%(origin)s")
    def manifold_pressure(self) -> float:
        return said(self._solved.manifold_pressure_pa)

    @figure("%(label)s: mixture", how=BY_LIMITS, source="%(origin)s")
    def mixture(self) -> str:
        return said(self._solved.mixture_name)

    @figure("%(label)s: fuel flow of each engine", "US gal/h", decimals=1, how="%(how)s", source="%(origin)s")
    def flow_engine(self) -> float:
        return self._solved.fuel_flow_per_engine_kg_per_s / self._fuel_density_kg_per_m3

    @figure("%(label)s: fuel flow of all running", "US gal/h", how="%(how)s", source="%(origin)s")
    def flow(self) -> float | str:
        if self.setting is None:
            self._drivers()
            return self.word
        return self._solved.fuel_flow_kg_per_s / self._fuel_density_kg_per_m3


class OneOutSetting(LevelSetting):
    """The setting with one engine stopped at the height held on a leg, and how far the fuel goes on it."""

    def __init__(self, mission: Mission, leg: LegFigures, performance: Performance) -> None:
        self.at, self.leg, self.fewer = leg.at, leg, leg.one
        self.label = f"Engines out, leg to {leg.to}, one out"
        self._performance, self._fuel_density_kg_per_m3 = performance, mission.fuel.density_kg_per_m3
        self.setting, self.how = _solved(leg.out, leg.one.fewer, performance) if self._held else (None, "")

    @property
    def _held(self) -> float | None:
        return self.leg.out.held_m(self.leg.one.fewer)

    def _drivers(self) -> None:
        if self._held is None:
            raise Absent("no altitude is held")
        rests_on(self.leg.mass, self.leg.deviation, self.leg.one.height_held, self.leg.one.engines)

    @working
    def _goes(self) -> tuple[float, float] | str:
        """Return how far [m] and how long [s] the fuel goes, or why that is not known."""
        rests_on(self.leg.fuel, self.ias, self.flow)
        out, air, same = self.leg.out, self._solved.air, IndicatedAirspeed(self._solved.ias_m_per_s)
        engines = self.leg.one.fewer.engines.name
        try:
            return fuel_goes(
                lambda mass_kg: self._performance.as_set(self._performance.cruise(mass_kg, air, same, engines=engines)),
                out.node.mass_kg, self.leg.usable_kg,
            )  # fmt: skip
        except BriefgenError as error:
            return error.problem

    @figure("%(label)s: still-air range", "NM", how="usable fuel burnt at the same indicated speed, the weight falling")
    def range(self) -> float | str:
        goes = self._goes
        return NOT_KNOWN if isinstance(goes, str) else goes[0]

    @figure("%(label)s: endurance", "h:min", how="usable fuel burnt at the same indicated speed, the weight falling")
    def endurance(self) -> float:
        goes = self._goes
        if isinstance(goes, str):
            raise Absent(goes)
        return goes[1]


def _solved(out: LegOut, fewer: Fewer, performance: Performance) -> tuple[PowerSetting | None, str]:
    """Return the setting at the first of the speeds that can be answered, and which it was or why none."""
    held_m = out.held_m(fewer)
    if held_m is None:
        return None, "no altitude is held"
    targets: list[tuple[str, SpeedTarget]] = [("best range", BestRange())]
    if fewer.climb_ias_m_per_s is not None:
        targets.append(("speed of the best climb", IndicatedAirspeed(fewer.climb_ias_m_per_s)))
    targets.append(("waiting speed", IndicatedAirspeed(performance.speeds(out.node.mass_kg).hold_m_per_s)))
    problem = ""
    for name, target in targets:
        try:
            exact = performance.cruise(out.node.mass_kg, out.air(held_m), target, engines=fewer.engines.name)
            return performance.as_set(exact), name
        except BriefgenError as error:
            problem = problem or error.problem
    return None, problem


SETTING = TableOf(
    "engines_out.setting",
    "Setting with one engine stopped",
    (
        column(LegFigures.leg, "Leg", through="leg"),
        column(FewerFigures.engines, "Running", name="running", through="fewer"),
        column(FewerFigures.height_held, "Altitude", name="height_held", through="fewer"),
        column(OneOutSetting.ias, "Indicated airspeed"),
        column(OneOutSetting.tas, "True airspeed"),
        column(OneOutSetting.rpm, "Engine speed"),
        column(OneOutSetting.manifold_pressure, "Manifold pressure"),
        column(OneOutSetting.mixture, "Mixture"),
        column(OneOutSetting.flow_engine, "Flow each"),
        column(OneOutSetting.flow, "Flow total"),
        column(LegFigures.fuel, "Usable fuel", through="leg"),
        column(OneOutSetting.range, "Still-air range"),
        column(OneOutSetting.endurance, "Endurance"),
    ),
    note="Level at the altitude held, best range at the weight with which the leg begins, the same indicated speed until the "
    "usable fuel is gone; no wind, no reserve, the drift down not counted.",
)


def write_settings(mission: Mission, legs: list[LegFigures], performance: Performance, writer: LedgerWriter) -> None:
    """Enter the setting with one engine stopped for every leg on which a height is held."""
    settings = [OneOutSetting(mission, leg, performance) for leg in legs if leg.fewer]
    for one in settings:
        writer.adopt(one)
    if settings:
        writer.tabulate(SETTING.filled([SETTING.row(one.leg.to, one) for one in settings]))
