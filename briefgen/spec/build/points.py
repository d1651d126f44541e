"""The points of one mission: by position, or by bearing and distance from another place."""

from __future__ import annotations

import math
from collections.abc import Iterable

from briefgen.model.places import Offset, Place
from briefgen.spec.tree.reader import Reader
from briefgen.spec.tree.survey import Survey
from briefgen.spec.words.coordinates import Position
from briefgen.units import Quantity

_WAYS = ("position", "from, bearing and distance")


def point_faults(survey: Survey, idents: Iterable[str]) -> None:
    """Note what is wrong with the points of a mission: each is given in one way, from a place or a point before it."""
    known = list(idents)
    for ident in survey.keys("points"):
        keys = survey.keys("points", ident)
        offset = [key for key in ("from", "bearing", "distance") if key in keys]
        if ident in known:
            survey.fault(("points", ident), f"'{ident}' is already a place", "another identifier", at_key=True)
        if ("position" in keys) == bool(offset) or len(offset) in (1, 2):
            problem = "the point is not given in one way"
            survey.fault(("points", ident), problem, " or ".join(_WAYS), at_key=True)
        survey.known(("points", ident, "from"), known, "a place, or a point given before this one")
        known.append(ident)


def build_points(reader: Reader) -> tuple[Place, ...]:
    """Return the points of a mission without faults; one that is measured from another has no position yet."""
    return tuple(_point(ident, reader.at("points", ident)) for ident in reader.data.get("points", ()))


def _point(ident: str, reader: Reader) -> Place:
    name, remarks = reader.text_or("name", ident.title()), reader.text_or("remarks", "")
    position = reader.value_or_none("position", Position)
    if position is not None:
        return Place(ident, name, "waypoint", position.lat_deg, position.lon_deg, remarks=remarks)
    bearing = reader.value("bearing", Quantity)
    offset = Offset(reader.text("from"), bearing.si_value, bearing.qualifier == "magnetic", reader.si("distance"))
    return Place(ident, name, "waypoint", math.nan, math.nan, remarks=remarks, offset=offset)
