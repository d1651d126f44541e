"""Files for other programs keep to their published formats."""

from __future__ import annotations

import csv
import io
import json
import xml.etree.ElementTree as ElementTree

from briefgen.document import downloads
from briefgen.document.parts.format import printed
from tests.shared.invented_plan import PLACES, invented_plan

GPX = "{http://www.topografix.com/GPX/1/1}"


def test_gpx_has_its_elements_in_the_order_of_the_schema() -> None:
    """GPX 1.1: metadata, then waypoints, then routes, then tracks; coordinates in range."""
    root = ElementTree.fromstring(downloads.route_gpx(invented_plan()))
    tags = [child.tag.removeprefix(GPX) for child in root]

    assert root.tag == GPX + "gpx"
    assert root.attrib["version"] == "1.1"
    assert sorted(tags, key=["metadata", "wpt", "rte", "trk"].index) == tags
    assert all(
        -180 <= float(p.attrib["lon"]) < 180 and -90 <= float(p.attrib["lat"]) <= 90 for p in root.iter(GPX + "trkpt")
    )
    assert [p.findtext(GPX + "name") for p in root.iter(GPX + "rtept")] == ["LX01", "MARLIN", "SADDLE", "TERN", "LX01"]


def test_gpx_escapes_what_an_author_may_write() -> None:
    """A mission called A & B does not break the file."""
    root = ElementTree.fromstring(downloads.route_gpx(invented_plan(name="A & B <c>")))

    assert root.find(GPX + "rte").findtext(GPX + "name") == "A & B <c>"  # type: ignore[union-attr]


def test_geojson_is_a_collection_of_longitude_and_latitude() -> None:
    """RFC 7946: a FeatureCollection, positions as longitude, latitude, no coordinate system member."""
    made = json.loads(downloads.route_geojson(invented_plan()))
    points = {
        f["properties"]["ident"]: f["geometry"]["coordinates"]
        for f in made["features"]
        if f["geometry"]["type"] == "Point"
    }

    assert {"type", "features"} == set(made)
    assert made["type"] == "FeatureCollection"
    assert {place.ident: [round(place.lon_deg, 6), place.lat_deg] for place in PLACES.values()} == points


def test_a_line_across_180_degrees_is_cut_there() -> None:
    """RFC 7946 section 3.1.9 and its example: 45 N from 170 E to 170 W becomes two lines meeting at 180."""
    parts = downloads.cut_at_antimeridian([(170.0, 45.0), (-170.0, 45.0)])

    assert parts == [[[170.0, 45.0], [180.0, 45.0]], [[-180.0, 45.0], [-170.0, 45.0]]]


def test_the_navigation_log_is_csv_with_units_in_its_head() -> None:
    """RFC 4180 lines; figures as printed, without the comma of thousands."""
    text = downloads.navigation_log_csv(invented_plan())
    rows = list(csv.reader(io.StringIO(text)))

    assert "\r\n" in text
    assert "Distance [NM]" in rows[0]
    assert "8500" in rows[1]
    assert {len(rows[0])} == {len(row) for row in rows}


def test_plan_json_holds_every_entry_as_printed() -> None:
    """Each entry with value, unit and the figure on the cards; inputs name entries that are there."""
    plan = invented_plan()
    made = json.loads(downloads.plan_json(plan))

    assert dict(printed(plan)) == {key: entry["printed"] for key, entry in made["entries"].items()}
    assert all(name in made["entries"] for entry in made["entries"].values() for name in entry.get("inputs", []))
    assert {key for t in made["tables"].values() for row in t["rows"] for key in row["cells"].values()} <= set(
        made["entries"]
    )
