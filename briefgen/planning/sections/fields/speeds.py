"""The speed card: runway speeds as worked out, operating speeds of the aircraft file at the two weights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from briefgen.aircraft.interface import Performance
from briefgen.model.ledger import Row
from briefgen.model.mission import Mission
from briefgen.model.record import Record, Ref, figure, rests_on
from briefgen.model.tables import ColumnOf, TableOf, column
from briefgen.planning.ledger.writer import AIRSPEED
from briefgen.planning.sections.basis.groups import AIRFRAME, INSTRUMENTS, LIMITS, POWERPLANT, rest_on_groups
from briefgen.planning.sections.basis.groups import SPEEDS as SPEEDS_OF_FILE
from briefgen.planning.sections.fields.landing import LandingDistance, LandingFigures
from briefgen.planning.sections.fields.take_off import TakeOffFigures, TakeOffSpeeds, UnstickSpeed

SpeedName = Literal[
    "unstick_ias", "critical_ias", "stop_fits_ias", "safe_ias", "threshold_ias", "touchdown_ias", "first_reduction",
    "minimum_control", "climb", "climb_on_instruments", "flaps_limit", "gear_limit", "approach", "base", "final", "never_exceed",
]  # fmt: skip


class SpeedTitle(Record):
    """The name of a speed whose value stands elsewhere."""

    def __init__(self, name: SpeedName, words: str) -> None:
        self.at, self.words = f"speeds.{name}", words

    @figure("Speed", how="name of the speed")
    def title(self) -> str:
        return self.words


class SpeedOfFile(SpeedTitle):
    """A speed of the aircraft file at a weight of the plan."""

    def __init__(self, name: SpeedName, words: str, ias_m_per_s: float, mass: Ref, source: str) -> None:
        super().__init__(name, words)
        self._ias_m_per_s, self._mass, self.source = ias_m_per_s, mass, source

    @figure("%(words)s", AIRSPEED, how="speeds of the aircraft file at that weight", source="%(source)s")
    def ias(self) -> float:
        rests_on(self._mass.value)
        rest_on_groups(SPEEDS_OF_FILE, LIMITS, AIRFRAME, INSTRUMENTS, POWERPLANT)
        return self._ias_m_per_s


IAS = ColumnOf("ias", "Indicated", AIRSPEED)  # worked out with a runway, or of the aircraft file
AT_WEIGHT = ColumnOf("mass", "At weight", "lb")
SPEEDS = TableOf("speeds", "Speeds", (column(SpeedTitle.title, "Speed", name="what"), IAS, AT_WEIGHT))


class SpeedCardFigures(Record):
    """The speeds of the flight, in the order in which they are wanted."""

    def __init__(
        self, mission: Mission, take_off: TakeOffFigures, landing: LandingFigures | None, performance: Performance
    ) -> None:
        self._take_off, self._landing = take_off, landing
        self._leaving = take_off.limits.use.mass
        self._arriving = landing.runway.use.mass if landing is not None else self._leaving
        self._titles: list[tuple[SpeedTitle, Ref, Ref]] = list(self._of_runways())
        self._titles += list(self._of_file(mission, performance))

    def _of_runways(self) -> Sequence[tuple[SpeedTitle, Ref, Ref]]:
        speeds, leaving = self._take_off.speeds, self._leaving
        wanted: list[tuple[SpeedName, str, Ref, Ref]] = [
            ("unstick_ias", "Unstick", UnstickSpeed.unstick_ias.of(self._take_off.unstick), leaving),
            ("critical_ias", "Engine failure", TakeOffSpeeds.critical_ias.of(speeds), leaving),
            ("stop_fits_ias", "A stop fits the runway up to", TakeOffSpeeds.stop_fits_ias.of(speeds), leaving),
            ("safe_ias", "At 50 ft", TakeOffSpeeds.safe_ias.of(speeds), leaving),
        ]
        if self._landing is not None and isinstance(self._landing.distance, LandingDistance):
            down, arriving = self._landing.distance, self._arriving
            wanted += [
                ("threshold_ias", "Over the threshold", LandingDistance.threshold_ias.of(down), arriving),
                ("touchdown_ias", "Touchdown", LandingDistance.touchdown_ias.of(down), arriving),
            ]
        return [(SpeedTitle(name, words), ref, mass) for name, words, ref, mass in wanted if ref.there]

    def _of_file(self, mission: Mission, performance: Performance) -> Sequence[tuple[SpeedTitle, Ref, Ref]]:
        leaving, arriving = self._leaving, self._arriving
        aloft, down = performance.speeds(leaving.value), performance.speeds(arriving.value)
        wanted: tuple[tuple[SpeedName, str, float | None, Ref], ...] = (
            ("first_reduction", "First power reduction", aloft.safe_m_per_s, leaving),
            ("minimum_control", "Minimum control, an outer engine failed", aloft.minimum_control_m_per_s, leaving),
            ("climb", "Climb", aloft.climb_m_per_s, leaving),
            ("climb_on_instruments", "Climb on instruments", aloft.climb_on_instruments_m_per_s, leaving),
            ("flaps_limit", "Flaps not above", down.flaps_limit_m_per_s, arriving),
            ("gear_limit", "Gear not above", down.gear_limit_m_per_s, arriving),
            ("approach", "Downwind", down.approach_m_per_s, arriving),
            ("base", "Base leg", down.base_m_per_s, arriving),
            ("final", "Final approach", down.final_m_per_s, arriving),
            ("never_exceed", "Never exceed", down.never_exceed_m_per_s, arriving),
        )
        found: list[tuple[SpeedTitle, Ref, Ref]] = []
        for name, words, value, mass in wanted:
            if value is not None:
                record = SpeedOfFile(name, words, value, mass, mission.aircraft.source)
                found.append((record, SpeedOfFile.ias.of(record), mass))
        return found

    def parts(self) -> Sequence[Record]:
        return [title for title, _, _ in self._titles]

    def rows(self) -> list[Row]:
        """Return the rows of the card."""
        return [SPEEDS.row(title.words, title, others={IAS: ias, AT_WEIGHT: mass}) for title, ias, mass in self._titles]
