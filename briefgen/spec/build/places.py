"""A places file to the places it names."""

from __future__ import annotations

from briefgen.model.places import Minima, Obstacle, Place, Runway
from briefgen.spec.tree.reader import Reader
from briefgen.spec.words.coordinates import Position


def build_places(reader: Reader) -> tuple[Place, ...]:
    """Return the places of a checked file without faults, in its order."""
    return tuple(_place(ident, reader.at("places", ident)) for ident in reader.data["places"])


def _place(ident: str, reader: Reader) -> Place:
    position = reader.value("position", Position)
    minima = reader.at("minima") if "minima" in reader else None
    return Place(
        ident=ident,
        name=reader.text("name"),
        kind=reader.text("kind"),
        lat_deg=position.lat_deg,
        lon_deg=position.lon_deg,
        elevation_m=reader.si_or_none("elevation"),
        zone=reader.value_or_none("zone", str),
        runways=tuple(_runway(runway) for runway in reader.each("runways")),
        fuel_grades=reader.texts("fuel"),
        minima=Minima(minima.si("ceiling"), minima.si("visibility")) if minima else None,
        circuit_height_m=reader.si_or_none("circuit height"),
        remarks=reader.text_or("remarks", ""),
    )


def _runway(reader: Reader) -> Runway:
    return Runway(
        name=reader.text("name"),
        heading_true_deg=reader.si("heading"),
        length_m=reader.si("length"),
        width_m=reader.si("width"),
        surface=reader.text("surface"),
        slope_ratio=reader.si("slope"),
        elevation_m=reader.si("elevation"),
        lights=reader.text("lights"),
        obstacles=tuple(
            Obstacle(one.text("name"), one.si("distance"), one.si("height")) for one in reader.each("obstacles")
        ),
        depth_m=reader.si_or_none("depth") or 0.0,
    )
