"""Beside the power table: the weight at which the mixture changes, and the slightly lower speed that stays lean."""

from __future__ import annotations

from datetime import datetime

from briefgen.aircraft.interface import Performance
from briefgen.aircraft.physics.advice import LeanAdvice, lean_advice
from briefgen.aircraft.words import MPH_M_PER_S
from briefgen.errors import BriefgenError
from briefgen.model.handling import FlightPhase
from briefgen.model.mission import Action, Hold, Mission
from briefgen.model.performance import IndicatedAirspeed, PowerSetting
from briefgen.model.plan import Phase, PhaseKind
from briefgen.model.record import Absent, Record, Sum, figure, note, rests_on, total, working
from briefgen.model.tables import TableOf, column
from briefgen.planning.ledger.writer import AIRSPEED
from briefgen.planning.sections.basis.groups import BALANCE, FLOWN_BY, rest_on_groups
from briefgen.planning.sections.power_rows import PowerRow

LEVEL_KINDS: tuple[PhaseKind, ...] = ("cruise", "hold", "run")
PHASES: dict[PhaseKind, FlightPhase] = {"hold": "hold", "run": "drop"}  # kinds of phase to phases of the aircraft file
FASTEST_LEAN = (
    "fastest level speed, in whole miles an hour, at which the limits of the fuel grade allow lean, at the weight and altitude "
    "of the row"
)


class Levels:
    """Level flight of one row asked again at another weight or speed: the bank and the flaps of the phase."""

    def __init__(self, mission: Mission, phase: Phase, performance: Performance) -> None:
        item = None if phase.item is None else mission.route.items[phase.item]
        self.performance = performance
        self.bank_deg = item.bank_deg if isinstance(item, Hold) and phase.kind == "hold" else 0.0
        self.configuration = item.configuration if isinstance(item, Action) and phase.kind == "run" else None
        self.phase = PHASES.get(phase.kind, "cruise")

    def change_mass(self, setting: PowerSetting, low_kg: float, high_kg: float) -> float | None:
        """Return the weight between two at which the mixture changes; None for none there."""
        return self.performance.mixture_change_mass(
            setting.air, IndicatedAirspeed(setting.ias_m_per_s), low_kg, high_kg, engines=setting.engines,
            bank_deg=self.bank_deg, configuration=self.configuration, phase=self.phase,
        )  # fmt: skip

    def lean(self, setting: PowerSetting) -> LeanAdvice | None:
        """Return the fastest speed below a rich setting that stays lean."""
        return lean_advice(
            self.performance, setting, bank_deg=self.bank_deg, configuration=self.configuration,
            readable_m_per_s=MPH_M_PER_S, phase=self.phase,
        )  # fmt: skip


class MixtureChange(Record):
    """At which weight the mixture changes at the speed and height of a row; where it does change, when and how high."""

    def __init__(self, mission: Mission, row: PowerRow, levels: Levels) -> None:
        self.at, self.row, self._mission, self._levels = row.at, row, mission, levels
        self.title = f"{row.flown.title}: mixture changes at"
        self.origin = "" if row.mixture_change else row.setting.source
        names = mission.aircraft.mixture_settings
        self.method = (
            f"{row.setting.mixture_name} from here on: the weight has reached the change"
            if row.mixture_change
            else f"{names.rich} above this weight, {names.lean} may be used below it, at this speed and altitude"
        )

    @working
    def _drivers(self) -> None:
        rests_on(self.row.altitude, self.row.ias)
        note("fuel.grade")
        rest_on_groups(*FLOWN_BY, BALANCE)

    def _only_where_it_changes(self) -> None:
        rests_on(self._drivers)
        if not self.row.mixture_change or self.row.kind not in LEVEL_KINDS:
            raise Absent("the mixture does not change here")

    @figure("%(title)s weight", "lb", how="%(method)s", source="%(origin)s")
    def mixture_change_mass(self) -> float:
        if self.row.kind not in LEVEL_KINDS or self.row.setting.mixture is None:
            raise Absent("told of level flight on a mixture alone")
        rests_on(self._drivers)
        return self.row.mass if self.row.mixture_change else self._solved()

    def _solved(self) -> float:
        setting = self.row.setting
        low_kg, high_kg = self._mission.individual.basic_mass_kg, self.row.node.mass_kg
        if setting.mixture == "lean":
            low_kg, high_kg = high_kg, max(high_kg, self._mission.aircraft.balance.limits.ramp_kg)
        try:
            mass_kg = self._levels.change_mass(setting, low_kg, high_kg)
        except BriefgenError as error:  # the aircraft file does not reach that far
            raise Absent(error.problem) from error
        if mass_kg is None:
            raise Absent("no weight at which the mixture changes, from the basic weight to the greatest at the ramp")
        return mass_kg

    @figure("%(title)s altitude", "ft", how="%(method)s")
    def mixture_change_altitude(self) -> float:
        self._only_where_it_changes()
        return self.row.altitude

    @figure("%(title)s time", "UTC", how="%(method)s")
    def mixture_change_time(self) -> datetime:
        self._only_where_it_changes()
        return self.row.begins


class LeanSpeed(Record):
    """The speed that stays lean beside a rich level setting, where it saves fuel over the same distance."""

    def __init__(self, mission: Mission, row: PowerRow, levels: Levels) -> None:
        self.at, self.row, self._levels, self.title = row.at, row, levels, row.flown.title
        self.lean = mission.aircraft.mixture_settings.lean
        self.origin = row.setting.source

    def fuel_density(self) -> float:
        return self.row.fuel_density()

    @working
    def _found(self) -> LeanAdvice:
        row = self.row
        if row.kind not in LEVEL_KINDS or row.setting.mixture != "rich":
            raise Absent("told of level flight on a rich mixture alone")
        found = self._levels.lean(row.setting)
        if found is None or found.fuel_flow_saved_kg_per_s <= 0.0 or found.fuel_over_distance_saved_ratio <= 0.0:
            raise Absent("no slightly lower speed stays lean and saves fuel")
        rests_on(row.mass, row.altitude, row.ias, row.flow)
        rest_on_groups(*FLOWN_BY)
        return found

    @figure("%(title)s: %(lean)s up to", AIRSPEED, how=FASTEST_LEAN, source="%(origin)s")
    def advice_ias(self) -> float:
        return self._found.setting.ias_m_per_s

    @figure("%(title)s: slower by", "kt", decimals=1, how=FASTEST_LEAN, source="%(origin)s")
    def advice_slower(self) -> float:
        return self._found.slower_m_per_s

    @figure("%(title)s: fuel flow there", "US gal/h", how=FASTEST_LEAN, source="%(origin)s")
    def advice_flow(self) -> float:
        return self._found.setting.fuel_flow_kg_per_s / self.fuel_density()

    @total("%(title)s: fuel flow saved", "US gal/h", how="flow of the row less flow there")
    def advice_flow_saved(self) -> Sum:
        return Sum([PowerRow.flow.of(self.row)], [LeanSpeed.advice_flow.of(self)])

    @figure("%(title)s: fuel saved over the same still-air distance", "%", how=FASTEST_LEAN, source="%(origin)s")
    def advice_fuel_saved(self) -> float:
        return self._found.fuel_over_distance_saved_ratio

    @figure("%(title)s: advice", how=FASTEST_LEAN)
    def advice(self) -> str:
        rests_on(self.advice_ias, self.advice_slower, self.advice_flow_saved, self.advice_fuel_saved)
        return (
            f"at {LeanSpeed.advice_ias.of(self)} indicated {self.lean} would do: {LeanSpeed.advice_slower.of(self)} slower, "
            f"{LeanSpeed.advice_flow_saved.of(self)} saved, {LeanSpeed.advice_fuel_saved.of(self)} of the fuel over the "
            "same still-air distance"
        )


ADVICE = TableOf(
    "power.advice",
    "A slightly lower speed that stays lean",
    (
        column(PowerRow.phase, "Phase", through="row"),
        column(PowerRow.begins, "From", through="row"),
        column(LeanSpeed.advice_ias, "Lean up to"),
        column(LeanSpeed.advice_slower, "Slower by"),
        column(LeanSpeed.advice_flow, "Flow there"),
        column(LeanSpeed.advice_flow_saved, "Saves"),
        column(LeanSpeed.advice_fuel_saved, "Over the same distance"),
    ),
    note="Where the planned speed needs rich mixture: the fastest speed at which lean still gives the power, at the same "
    "weight and altitude.",
)
