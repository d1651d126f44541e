"""A point of the flight, entered: when and where it is, and the fuel there."""

from __future__ import annotations

from briefgen.model.ledger import Column
from briefgen.planning.flight.spots import Spot
from briefgen.planning.ledger.keys import phase_key
from briefgen.planning.ledger.writer import LedgerWriter

SPOT_COLUMNS = (
    Column("time", "At", "UTC"),
    Column("time_local", "At", "local"),
    Column("distance", "Distance run", "NM"),
    Column("latitude", "Latitude", "latitude"),
    Column("longitude", "Longitude", "longitude"),
    Column("fuel_volume", "Fuel there", "US gal"),
)


def write_spot(density_kg_per_m3: float, spot: Spot, key: str, label: str, how: str, writer: LedgerWriter) -> None:
    """Enter when and where a spot is, and the fuel there."""
    node, phase = spot.node, phase_key(spot.phase.ident)
    wanted = (f"{phase}.begin", f"{phase}.end", f"{phase}.fuel_remaining", "way_home.held_back")
    inputs = tuple(name for name in wanted if name in writer)
    writer.put(f"{key}.time", label, node.instant, "UTC", method=how, inputs=inputs)
    writer.put(
        f"{key}.time_local", f"{label}, local", node.instant, "local", method="the same in the mission's zone",
        inputs=(f"{key}.time",),
    )  # fmt: skip
    writer.put(f"{key}.distance", f"{label}: distance run", node.distance_m, "NM", method=how, inputs=inputs)
    writer.put(f"{key}.latitude", f"{label}: latitude", node.lat_deg, "latitude", method=how, inputs=inputs)
    writer.put(f"{key}.longitude", f"{label}: longitude", node.lon_deg, "longitude", method=how, inputs=inputs)
    writer.put(f"{key}.fuel", f"{label}: fuel left", node.fuel_kg, "lb", method=how, inputs=inputs)
    writer.put(
        f"{key}.fuel_volume", f"{label}: fuel left", node.fuel_kg / density_kg_per_m3, "US gal", method="weight over density",
        inputs=(f"{key}.fuel", "fuel.density"),
    )  # fmt: skip
