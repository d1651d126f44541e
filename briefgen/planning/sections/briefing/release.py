"""What to steer on a pass and where to let the load go: by its course, the wind, and what the packers say of its fall."""

from __future__ import annotations

from briefgen.kernel.magnetism import decimal_year, magnetic_variation_deg, true_to_magnetic
from briefgen.kernel.wind import Release as Point
from briefgen.kernel.wind import Wind, release_point, triangle_from_course, wind_towards
from briefgen.model.mission import Mission
from briefgen.model.plan import Phase
from briefgen.model.record import Absent, Record, figure, working
from briefgen.planning.ledger.absence import said
from briefgen.planning.sections.basis.groups import PLACES, WEATHER, rest_on_groups
from briefgen.planning.sections.basis.phases import PhaseFigures
from briefgen.planning.sections.basis.written_route import RunWritten


def variation_at(phase: Phase) -> float:
    """Return the magnetic variation half way through a phase [deg], east positive."""
    node = phase.nodes[len(phase.nodes) // 2]
    return magnetic_variation_deg(
        node.lat_deg, node.lon_deg, node.pressure_altitude_m, decimal_year(node.instant.date())
    )


class Release(Record):
    """One pass along a course: heading, ground speed, time of fall, and the point of release told from the place."""

    def __init__(self, mission: Mission, flown: PhaseFigures, run: RunWritten, elevation_m: float | None) -> None:
        self.at, self.title, self.flown = f"briefing.release.{flown.phase.ident}", flown.title, flown
        self._run, self._elevation_m, self.file = run, elevation_m, mission.weather.file

    @property
    def _wind(self) -> Wind:
        return wind_towards(self.flown.phase.wind_north_m_per_s, self.flown.phase.wind_east_m_per_s)

    @figure(
        "%(title)s: magnetic heading on the course",
        "degM",
        how="wind triangle, half way through the pass",
        source="%(file)s",
    )
    def heading(self) -> float:
        rest_on_groups(WEATHER, PLACES)
        solved = triangle_from_course(self._run.course, self.flown.tas, self._wind)
        return true_to_magnetic(solved.heading_deg, variation_at(self.flown.phase))

    @figure(
        "%(title)s: ground speed on the course", "kt", how="wind triangle, half way through the pass", source="%(file)s"
    )
    def ground_speed(self) -> float:
        rest_on_groups(WEATHER)
        return triangle_from_course(self._run.course, self.flown.tas, self._wind).ground_speed_m_per_s

    @figure(
        "%(title)s: time of fall",
        "s",
        how="how far the pass lies above the place, over the rate at which the load falls",
    )
    def fall(self) -> float:
        rest_on_groups(PLACES)
        height_m = self.flown.altitude - said(self._elevation_m, "the place has no elevation")
        if height_m <= 0.0:
            raise Absent("the pass is not above the place")
        return height_m / self._run.falls_at

    @working
    def _point(self) -> Point:
        rest_on_groups(WEATHER)
        return release_point(self._run.course, self._wind, self.fall, self._run.throw)

    @figure(
        "%(title)s: release before abeam the place",
        "ft",
        how="forward throw, and what the wind of the pass carries it back while it falls",
    )
    def before(self) -> float:
        return self._point.before_m

    @figure(
        "%(title)s: release from abeam the place",
        "s",
        decimals=1,
        how="that distance over the ground speed, whichever way",
    )
    def seconds(self) -> float:
        return abs(self.before) / self.ground_speed

    @figure(
        "%(title)s: release before or after abeam", how="before where the throw is more than what the wind carries back"
    )
    def when(self) -> str:
        return "before" if self.before >= 0.0 else "after"

    @figure(
        "%(title)s: release beside the place", "ft", how="what the wind of the pass carries it across while it falls"
    )
    def beside(self) -> float:
        return abs(self._point.right_m)

    @figure("%(title)s: release to the", how="the side the wind comes from")
    def side(self) -> str:
        return "right" if self._point.right_m >= 0.0 else "left"
