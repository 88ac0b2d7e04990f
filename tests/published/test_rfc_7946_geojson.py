"""RFC 7946, the GeoJSON format: order and kind of coordinates, winding of rings, no crs member.

Source: Butler and others 2016, sections 3.1.1, 3.1.6, 4 and 7.1 (rules from memory).
"""

import importlib.util
import json
from pathlib import Path

from shapely import LinearRing

from hushwalk.outputs.walk.walk_data import geojson_text

_spec = importlib.util.spec_from_file_location("made_report", Path(__file__).parents[1] / "made_report.py")
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)

TOLD = json.loads(geojson_text(made.made_report()))


def positions(coordinates: list) -> list:
    if isinstance(coordinates[0], float):
        return [coordinates]
    return [position for part in coordinates for position in positions(part)]


def test_no_crs_and_every_member_that_is_asked_for() -> None:
    assert set(TOLD) == {"type", "features"}
    assert all(set(feature) == {"type", "geometry", "properties"} for feature in TOLD["features"])


def test_longitude_stands_before_latitude_in_degrees() -> None:
    for feature in TOLD["features"]:
        for lon, lat in positions(feature["geometry"]["coordinates"]):
            assert -91.8 < lon < -91.6
            assert 47.5 < lat < 47.7


def test_outer_rings_run_anticlockwise_and_close() -> None:
    rings = [f["geometry"]["coordinates"][0] for f in TOLD["features"] if f["geometry"]["type"] == "Polygon"]
    assert len(rings) == 5
    for ring in rings:
        assert ring[0] == ring[-1]
        assert LinearRing(ring).is_ccw
