"""Places: aerodromes with their runways, waypoints and targets."""

from __future__ import annotations

from briefgen.frozen import dataclass


@dataclass(frozen=True)
class Obstacle:
    """What stands in the take-off path beyond a runway's end."""

    name: str
    distance_m: float  # from the end of the take-off run available
    height_m: float  # above the runway's end


@dataclass(frozen=True)
class Runway:
    """One landing direction of one strip."""

    name: str
    heading_true_deg: float
    length_m: float
    width_m: float
    surface: str  # paved | firm turf | soft | mud | ...: a surface of the aircraft file's field section
    slope_ratio: float  # rise over run along the heading, uphill positive
    elevation_m: float  # of the start of the take-off run
    lights: str
    obstacles: tuple[Obstacle, ...] = ()
    depth_m: float = 0.0  # of standing water or slush


@dataclass(frozen=True)
class Minima:
    """The lowest cloud base and visibility in which the field may be used."""

    ceiling_m: float
    visibility_m: float


@dataclass(frozen=True)
class Terrain:
    """Ground heights on a grid of equal steps in latitude and longitude, and how a safe altitude is made of them."""

    west_deg: float
    south_deg: float
    cell_deg: float
    rows_m: tuple[tuple[float | None, ...], ...]  # northernmost first; None where the grid has no height
    corridor_m: float
    clearance_m: float
    source: str


@dataclass(frozen=True)
class Offset:
    """Where a point lies from another: bearing and distance along the shortest line."""

    from_ident: str
    bearing_deg: float
    magnetic: bool  # by the variation at the other point on the day of the flight
    distance_m: float


@dataclass(frozen=True)
class Place:
    """A named point; an aerodrome when it has an elevation and runways."""

    ident: str
    name: str
    kind: str  # aerodrome | waypoint | target
    lat_deg: float
    lon_deg: float
    elevation_m: float | None = None
    zone: str | None = None
    runways: tuple[Runway, ...] = ()
    fuel_grades: tuple[str, ...] = ()
    minima: Minima | None = None
    circuit_height_m: float | None = None  # above the field
    remarks: str = ""
    offset: Offset | None = None  # the point is given so; its position is worked out before anything is flown
