"""What is done low down and on the way in again: the passes with wind and altimeter setting, and going around."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.errors import BriefgenError
from briefgen.kernel.magnetism import true_to_magnetic
from briefgen.kernel.wind import wind_towards
from briefgen.model.handling import PhaseSetting
from briefgen.model.mission import Action, Mission
from briefgen.model.record import Record, figure, rests_on
from briefgen.model.tables import TableOf, column
from briefgen.planning.flight.route import item_keys
from briefgen.planning.ledger.absence import said
from briefgen.planning.ledger.writer import LedgerWriter
from briefgen.planning.sections.basis.groups import PLACES, SPEEDS, WEATHER, rest_on_groups
from briefgen.planning.sections.basis.navigation import Navigation
from briefgen.planning.sections.basis.phases import MAGNETIC_MODEL, PhaseFigures
from briefgen.planning.sections.basis.written_route import RunWritten
from briefgen.planning.sections.briefing.names import pass_numbers
from briefgen.planning.sections.briefing.release import Release, variation_at
from briefgen.weather.surface import Ground

HALF_WAY = "forecast half way through the pass"


class PassLine(Record):
    """One pass over a place."""

    def __init__(
        self, mission: Mission, flown: PhaseFigures, number: int, setting_pa: float | None, release: Release
    ) -> None:
        self.at, self.flown, self._number, self._setting_pa = f"briefing.pass.{flown.phase.ident}", flown, number, setting_pa  # fmt: skip
        self.title, self.leaving, self.file = flown.title, flown.phase.released, mission.weather.file
        self.release = release

    @figure("Pass", how="counted at its place")
    def name(self) -> str:
        return f"Pass {self._number}"

    @figure("%(title)s: what leaves", how="as written")
    def leaves(self) -> str:
        return said(self.leaving, "nothing leaves")

    @figure("%(title)s: wind from", "degM", how=HALF_WAY, source=MAGNETIC_MODEL)
    def wind_from(self) -> float:
        rests_on(self.flown.begin)
        rest_on_groups(WEATHER, PLACES)
        phase = self.flown.phase
        from_deg = wind_towards(phase.wind_north_m_per_s, phase.wind_east_m_per_s).from_deg
        return true_to_magnetic(from_deg, variation_at(phase))

    @figure("%(title)s: wind", "kt", how=HALF_WAY, source="%(file)s")
    def wind_speed(self) -> float:
        rests_on(self.flown.begin)
        rest_on_groups(WEATHER)
        phase = self.flown.phase
        return wind_towards(phase.wind_north_m_per_s, phase.wind_east_m_per_s).speed_m_per_s

    @figure(
        "%(title)s: altimeter setting", "hPa", how="weather for the ground at that place and time", source="%(file)s"
    )
    def altimeter_setting(self) -> float:
        rests_on(self.flown.begin)
        rest_on_groups(WEATHER)
        return said(self._setting_pa, "the weather gives none there")


PASSES = TableOf(
    "briefing.passes", "Passes",
    (column(PassLine.name, "Pass"), column(PassLine.leaves, "Leaves"), column(PhaseFigures.begin, "From", through="flown"),
     column(PhaseFigures.altitude, "Altitude", through="flown"), column(PhaseFigures.ias, "Speed", through="flown"),
     column(PassLine.wind_from, "Wind"), column(PassLine.wind_speed, "Wind"),
     column(PassLine.altimeter_setting, "Altimeter"), column(Release.heading, "Steer", through="release"),
     column(Release.ground_speed, "Ground speed", through="release"), column(Release.seconds, "Release", through="release"), column(Release.when, "Abeam", through="release"), column(Release.beside, "Beside", through="release"),
     column(Release.side, "To the", through="release")),
)  # fmt: skip


class GoAround(Record):
    """How she is flown away from an approach, as her file says."""

    at = "briefing.go_around"

    def __init__(self, setting: PhaseSetting) -> None:
        self._setting = setting

    @figure("Going around: flaps", how="phase of the aircraft file")
    def flaps(self) -> str:
        rest_on_groups(SPEEDS)
        return self._setting.flaps

    @figure("Going around: power", how="phase of the aircraft file")
    def rating(self) -> str:
        rest_on_groups(SPEEDS)
        return f"{said(self._setting.rating, 'no rating is named')} rating"


def write_work(mission: Mission, log: Navigation, writer: LedgerWriter) -> None:
    """Enter the passes and the going around."""
    passes, ground = pass_numbers(log.phases), Ground(mission.weather)
    lines: list[PassLine] = []
    for flown in log.phases:
        if flown.phase.kind == "run":
            release = Release(mission, flown, *_run(mission, [line.flown for line in lines], flown, writer))
            line = PassLine(mission, flown, passes[flown.phase.ident], _setting(ground, flown), release)
            writer.adopt(line)
            writer.adopt(line.release)
            lines.append(line)
    if lines:
        writer.tabulate(PASSES.filled([PASSES.row(one.at, one) for one in lines]))
    setting = next((one for one in mission.aircraft.phases if one.phase == "go-around"), None)
    if setting is not None:
        writer.adopt(GoAround(setting))


def _run(
    mission: Mission, before: Sequence[PhaseFigures], flown: PhaseFigures, writer: LedgerWriter
) -> tuple[RunWritten, float | None]:
    """Return the run that a phase flies, as written, and the elevation of its place."""
    item = flown.phase.item or 0
    action = mission.route.items[item]
    assert isinstance(action, Action)  # nothing else has runs
    number = len([one for one in before if one.phase.item == item])
    (run,) = writer.records(RunWritten, f"{item_keys(mission.route.items)[item]}.run.{number + 1:02d}")
    return run, action.at.elevation_m


def _setting(ground: Ground, flown: PhaseFigures) -> float | None:
    start = flown.phase.start
    try:
        return ground.altimeter_setting_at(start.lat_deg, start.lon_deg, start.instant)
    except BriefgenError:
        return None
