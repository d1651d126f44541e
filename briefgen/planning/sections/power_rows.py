"""The rows of the power table: each setting, where it begins, and the levers that are moved for it."""

from __future__ import annotations

from datetime import datetime

from briefgen.model.mission import Mission
from briefgen.model.performance import LeverMove, PowerSetting
from briefgen.model.plan import Node, PhaseKind
from briefgen.model.reading import SHE_HAS_NONE
from briefgen.model.record import Absent, Figure, Record, figure, note, rests_on, working
from briefgen.planning.ledger.absence import NOT_PRINTED, said
from briefgen.planning.ledger.writer import AIRSPEED
from briefgen.planning.sections.basis.groups import FLOWN_BY, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures

RATED: tuple[PhaseKind, ...] = ("take-off", "climb")  # flown at a rating, not at the power that holds level
OF_RATING = "the rating of the aircraft file, as far as the air lets it be drawn"
LEAST_ENGINE_SPEED = "lowest engine speed whose permitted manifold pressure gives the power needed"
BY_LIMITS = "by the limits of the fuel grade"


class PowerRow(Record):
    """One row of the power table: a setting that begins at a moment of a phase."""

    def __init__(self, name: str, mission: Mission, flown: PhaseFigures, node: Node, setting: PowerSetting) -> None:
        self.at, self.name = f"power.{name}", name
        self.flown, self.node, self.setting = flown, node, setting
        self.origin, self.kind, self._mission = setting.source, flown.phase.kind, mission
        self.solved = OF_RATING if self.kind in RATED else LEAST_ENGINE_SPEED
        self.moves: tuple[LeverMove, ...] = ()  # how the levers get here from the setting before
        self.mixture_change = False  # the mixture changes here, within a phase
        self.ice = False  # the levers against carburettor ice move here, within a phase
        self.within = False  # another phase of the aircraft file begins here within that of the flight: the final

    @property
    def _without(self) -> str:
        """Why a lever is not told: a model tells all she has, charts may leave one out."""
        return NOT_PRINTED if self._mission.aircraft.model is None else SHE_HAS_NONE

    @property
    def title(self) -> str:
        """The phase of the flight, and that of the aircraft file where it begins within."""
        if self.ice:
            return f"{self.flown.title}: {'in icing cloud' if self.setting.air.icing else 'clear of the icing cloud'}"
        return f"{self.flown.title}: {self.setting.phase}" if self.within else self.flown.title

    def fuel_density(self) -> float:
        note("fuel.density")
        return self._mission.fuel.density_kg_per_m3

    @working
    def _drivers(self) -> None:
        """Read what the setting is solved from."""
        rests_on(PhaseFigures.ias.or_none(self.flown), PhaseFigures.temperature.or_none(self.flown))
        rests_on(self.mass, self.altitude)
        note("fuel.grade")
        rest_on_groups(*FLOWN_BY)

    @figure("Phase", how="from the route as written")
    def phase(self) -> str:
        return self.title

    @figure("Set at", "UTC", how="when the stretch begins", name="from")
    def begins(self) -> datetime:
        rests_on(self.flown.begin)
        if self.node is not self.flown.phase.start:
            rests_on(self.flown.end)
        return self.node.instant

    @figure("Weight there", "lb", how="integrated with the fuel burnt")
    def mass(self) -> float:
        rests_on(self.flown.mass)
        return self.node.mass_kg

    @figure("Altitude there", "ft", how="on the altimeter setting in force")
    def altitude(self) -> float:
        rests_on(self.flown.altitude)
        return self.node.altitude_m

    # --- levers -------------------------------------------------------------------------------------------------------

    @figure("Engine speed", "rpm", how="%(solved)s", source="%(origin)s")
    def rpm(self) -> float:
        rests_on(self._drivers)
        return said(self.setting.engine_speed_rpm)

    @figure("Manifold pressure", "inHg", decimals=1, how="%(solved)s", source="%(origin)s")
    def manifold_pressure(self) -> float:
        rests_on(self._drivers)
        return said(self.setting.manifold_pressure_pa)

    @figure("Mixture", how=BY_LIMITS, source="%(origin)s")
    def mixture(self) -> str:
        rests_on(self._drivers)
        return said(self.setting.mixture_name)

    @figure("Cowl flaps", how="by the aircraft file for the phase", source="%(origin)s")
    def cowl_flaps(self) -> str:
        rests_on(self._drivers)
        return said(self.setting.cowl_flaps, self._without)

    @figure("Turbo setting", how=BY_LIMITS, source="%(origin)s")
    def blower(self) -> str:
        rests_on(self._drivers)
        return said(self.setting.blower, self._without)

    @figure("Intercooler", how=BY_LIMITS, source="%(origin)s")
    def intercooler(self) -> str:
        rests_on(self._drivers)
        return said(self.setting.intercooler, self._without)

    @figure("Carburettor heat", how="by the aircraft file, in cloud with ice", source="%(origin)s")
    def carburettor_heat(self) -> str:
        rests_on(self._drivers)
        return said(self.setting.carburettor_heat, self._without)

    @figure("Air filters", how="by the aircraft file, for the phase and the pressure altitude", source="%(origin)s")
    def filters(self) -> str:
        rests_on(self._drivers)
        return said(self.setting.filters, self._without)

    @figure("Boost pumps", how="by the aircraft file for the phase", source="%(origin)s")
    def boost_pumps(self) -> str:
        rests_on(self._drivers)
        return said(self.setting.boost_pumps)

    # --- what the setting gives ---------------------------------------------------------------------------------------

    @figure("Indicated airspeed", AIRSPEED, how="%(solved)s", source="%(origin)s")
    def ias(self) -> float:
        rests_on(self._drivers)
        return self.setting.ias_m_per_s

    @figure("True airspeed", "kt", how="%(solved)s", source="%(origin)s")
    def tas(self) -> float:
        rests_on(self._drivers)
        return self.setting.tas_m_per_s

    @figure("Brake power of each engine", "bhp", how="%(solved)s", source="%(origin)s")
    def power(self) -> float:
        rests_on(self._drivers)
        return said(self.setting.power_w)

    @figure("Fuel flow of each engine", "US gal/h", decimals=1, how="%(solved)s", source="%(origin)s")
    def flow_engine(self) -> float:
        rests_on(self._drivers)
        return self.setting.fuel_flow_per_engine_kg_per_s / self.fuel_density()

    @figure("Fuel flow of all engines", "US gal/h", how="%(solved)s", source="%(origin)s")
    def flow(self) -> float:
        rests_on(self._drivers)
        return self.setting.fuel_flow_kg_per_s / self.fuel_density()

    @figure("Governing limit", how=BY_LIMITS, source="%(origin)s")
    def limit(self) -> str:
        rests_on(self._drivers)
        return said(self.setting.governing_limit)

    @figure("Power in hand to the limit", "%", how="%(solved)s", source="%(origin)s")
    def margin(self) -> float:
        rests_on(self._drivers)
        return said(self.setting.margin_ratio)

    @figure("Time limit", "min", how="%(solved)s", source="%(origin)s")
    def time_limit(self) -> float:
        rests_on(self._drivers)
        if self.setting.time_limit_s is None:
            raise Absent("the setting may be kept without a limit of time")
        return self.setting.time_limit_s


class RegimeSetting(Record):
    """The first setting of one kind of phase, under the name by which a checklist quotes it, such as climb.ias."""

    how = "first setting of this kind in the power table"

    def __init__(self, kind: PhaseKind, rows: list[PowerRow]) -> None:
        self.at, self.regime, self._rows = kind.replace("-", "_"), kind.capitalize(), rows

    @figure("%(regime)s: manifold pressure", "inHg", decimals=1, how=how)
    def manifold_pressure(self) -> float:
        return self._first(PowerRow.manifold_pressure)

    @figure("%(regime)s: engine speed", "rpm", how=how)
    def engine_speed(self) -> float:
        return self._first(PowerRow.rpm)

    @figure("%(regime)s: indicated airspeed", AIRSPEED, how=how)
    def ias(self) -> float:
        return self._first(PowerRow.ias)

    def _first(self, wanted: Figure[PowerRow, float]) -> float:
        for row in self._rows:
            if wanted.of(row).there:
                return wanted.read(row)
        raise Absent(NOT_PRINTED)
