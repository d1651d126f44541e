"""What a phase meets on its way: the sheets of cloud with where she is to them, and the worst of both kinds of ice."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from itertools import pairwise
from typing import Generic, TypeVar

from briefgen.frozen import dataclass
from briefgen.model.plan import Node, Phase
from briefgen.weather.air import Sky
from briefgen.weather.cloud import CloudCover
from briefgen.weather.hazards import (
    AirframeIce,
    CarburettorIce,
    CloudRelation,
    airframe_ice,
    carburettor_ice,
    relation_to,
)

Ice = TypeVar("Ice", CarburettorIce, AirframeIce)
BETWEEN_NODES = 6  # parts a stretch between two nodes is looked at in


@dataclass(frozen=True)
class Sample:
    """The aircraft between two nodes."""

    instant: datetime
    lat_deg: float
    lon_deg: float
    distance_m: float
    altitude_m: float
    pressure_altitude_m: float


@dataclass(frozen=True)
class Met:
    """What a phase meets: sheets with where she is to them, and the worst of both kinds of ice."""

    clouds: dict[str, set[CloudRelation]]
    carburettor: CarburettorIce
    airframe: AirframeIce
    highest_m: float
    cloud_from: datetime | None  # when she first enters cloud
    airframe_from: datetime | None  # since when the worst of it is met


def samples_of(nodes: tuple[Node, ...], edges_m: tuple[float, ...]) -> Iterator[Sample]:
    """Yield the nodes and points between them on straight lines, the bases and tops of sheets in between among them."""
    for before, after in pairwise(nodes):
        parts = {part / BETWEEN_NODES for part in range(BETWEEN_NODES)}
        climb_m = after.altitude_m - before.altitude_m
        if climb_m:
            crossed = ((edge_m - before.altitude_m) / climb_m for edge_m in edges_m)
            parts |= {part for part in crossed if 0.0 < part < 1.0}
        yield from (_between(before, after, part) for part in sorted(parts))
    yield _between(nodes[-1], nodes[-1], 0.0)


def _between(before: Node, after: Node, part: float) -> Sample:
    def mixed(name: str) -> float:
        first, last = float(getattr(before, name)), float(getattr(after, name))
        return first + (last - first) * part

    turn_deg = (after.lon_deg - before.lon_deg + 180.0) % 360.0 - 180.0
    return Sample(
        before.instant + (after.instant - before.instant) * part,
        mixed("lat_deg"),
        (before.lon_deg + turn_deg * part + 180.0) % 360.0 - 180.0,
        mixed("distance_m"),
        mixed("altitude_m"),
        mixed("pressure_altitude_m"),
    )


def met_by(cloud: CloudCover, sky: Sky, phase: Phase) -> Met:
    """Return what a phase meets: cloud of the written sheets and of the aerodrome forecasts alike.

    Raises:
        OutOfRangeError: The weather file does not cover a place, height or time of it.
    """
    clouds: dict[str, set[CloudRelation]] = {}
    carburettor, airframe = _Worst(CarburettorIce.OUTSIDE), _Worst(AirframeIce.DRY)
    highest_m, cloud_from = phase.start.pressure_altitude_m, None
    for sample in samples_of(phase.nodes, cloud.edges_m):
        highest_m = max(highest_m, sample.pressure_altitude_m)
        relations = _relations(cloud, sample)
        for name, relation in relations.items():
            clouds.setdefault(name, set()).add(relation)
        in_cloud = CloudRelation.IN in relations.values()
        cloud_from = cloud_from or (sample.instant if in_cloud else None)
        air = sky.air_at(sample.lat_deg, sample.lon_deg, sample.pressure_altitude_m, sample.instant)
        carburettor.meet(carburettor_ice(air.temperature_k, None, in_cloud=in_cloud), sample.instant)
        airframe.meet(airframe_ice(air.temperature_k, in_cloud=in_cloud), sample.instant)
    return Met(clouds, carburettor.found, airframe.found, highest_m, cloud_from, airframe.since)


class _Worst(Generic[Ice]):
    """The worst of one kind of ice so far, and since when; the kinds are ordered worst first."""

    def __init__(self, mildest: Ice) -> None:
        self.found: Ice = mildest
        self.since: datetime | None = None

    def meet(self, found: Ice, instant: datetime) -> None:
        """Count what is met at an instant."""
        order = list(type(found))
        if order.index(found) < order.index(self.found):
            self.found, self.since = found, instant


def _relations(cloud: CloudCover, sample: Sample) -> dict[str, CloudRelation]:
    sheets = cloud.over(sample.lat_deg, sample.lon_deg, sample.instant)
    return {sheet.name: relation_to(sheet, sample.altitude_m) for sheet in sheets}
