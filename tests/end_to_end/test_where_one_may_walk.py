"""Two real areas planned with the command itself, and every step held against the source layers.

The check knows nothing of the walking network: it reads the layers again with another reader and measures with shapely.
Heights are made up where there are none, and the layers of the extract are parted here by their tags.
"""

import json
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pyogrio
import pyproj
import pytest
import rasterio
import shapely
from click.testing import CliRunner
from rasterio.transform import from_origin
from scipy.interpolate import griddata

from hushwalk.cli import hushwalk

pytestmark = pytest.mark.real_layers

ON_WAY_M = 8.0  # a step this near the middle of a way is on it: half of a street and a drawing error
CROSSED_M = 45.0  # longest stretch in the 12 m of a private way that still is a crossing and no walk along it
FEET_M = 0.3048


@dataclass
class Sources:
    """The layers as they came, in metres: what may be walked, and what may not."""

    streets: Any
    motorways: Any
    private: Any
    houses: Any
    closed: Any
    water: Any
    streams: list[Any] = field(default_factory=list)


@dataclass
class Walk:
    """What the command wrote, in metres."""

    legs: list[tuple[dict[str, Any], Any]]
    stops: list[Any]
    back: list[Any]
    summary: dict[str, Any]


def shapes(
    file: Path, epsg: int, layer: str | None = None, box: tuple[float, ...] | None = None
) -> tuple[list[Any], dict[str, Any]]:
    meta, _, wkb, columns = pyogrio.raw.read(file, layer=layer, bbox=box)
    way = pyproj.Transformer.from_crs(meta["crs"], epsg, always_xy=True)
    found = shapely.force_2d(shapely.make_valid(shapely.from_wkb(wkb)))
    moved = shapely.transform(found, lambda xy: np.column_stack(way.transform(*xy.T)))
    return list(moved), dict(zip(meta["fields"], columns, strict=True))


def planned(trip: Path, out: Path, epsg: int) -> Walk:
    said = CliRunner().invoke(hushwalk, ["plan", str(trip), "--out", str(out), "--steps", "200", "--proof", "0"])
    assert said.exit_code == 0, said.output
    way = pyproj.Transformer.from_crs(4326, epsg, always_xy=True)
    found = json.loads((out / "walk.geojson").read_text(encoding="utf-8"))["features"]

    def metres(one: dict[str, Any]) -> Any:
        plain = shapely.from_geojson(json.dumps(one["geometry"]))
        return shapely.transform(plain, lambda xy: np.column_stack(way.transform(*xy.T)))

    by_kind: dict[str, list[tuple[dict[str, Any], Any]]] = {}
    for one in found:
        by_kind.setdefault(one["properties"]["kind"], []).append((one["properties"], metres(one)))
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    return Walk(by_kind["leg"], [s for _, s in by_kind["stop"]], [b for _, b in by_kind.get("way back", [])], summary)


def held_against(walk: Walk, sources: Sources, car: Any) -> None:
    """No step on forbidden ground, whatever the plan says of itself."""
    assert len(walk.stops) >= 3
    ways = sources.streets.buffer(ON_WAY_M)
    crossings = sources.streets.intersection(sources.motorways) if not sources.motorways.is_empty else shapely.Point()
    for _, line in [*walk.legs, *(({}, back) for back in walk.back)]:
        away = line.difference(car.buffer(25.0))
        off = away.difference(ways)
        assert off.intersection(sources.houses.buffer(59.5)).length < 1.0, "off the path beside a house"
        assert away.intersection(sources.closed).length < 1.0, "on closed ground"
        assert off.intersection(sources.motorways.buffer(25.0)).length < 1.0, "in the strip of a motorway"
        met = line.intersection(sources.motorways)
        for spot in [] if met.is_empty else shapely.get_parts(met):
            assert spot.distance(crossings) < 15.0, "over a motorway where no street crosses"
        for piece in shapely.get_parts(off.intersection(sources.private.buffer(6.0, cap_style="flat"))):
            assert piece.length < CROSSED_M, "along a private way"
        assert off.intersection(sources.water.buffer(-7.5)).length < 1.0, "through open water"
    for stop in walk.stops:
        for what, least_m in ((sources.houses, 99.5), (sources.motorways, 25.0), (sources.private, 3.0)):
            assert not stop.buffer(least_m).intersects(what)
        assert not stop.intersects(sources.closed)
        assert not stop.intersects(sources.water)


def trip_file(folder: Path, head: str, layers: dict[str, list[Path]]) -> Path:
    text = head + "".join(
        f'\n[[layer]]\nkind = "{kind}"\npath = "{path}"\n' for kind, paths in layers.items() for path in paths
    )
    tomllib.loads(text)
    (folder / "trip.toml").write_text(text, encoding="utf-8")
    return folder / "trip.toml"


def write_heights(file: Path, epsg: int, box: tuple[float, float, float, float], of: Any) -> None:
    west, south, east, north = box
    cell = 20.0
    x, y = np.meshgrid(np.arange(west, east, cell) + cell / 2, np.arange(north, south, -cell) - cell / 2)
    profile = {"driver": "GTiff", "height": x.shape[0], "width": x.shape[1], "count": 1, "dtype": "float32"}
    with rasterio.open(file, "w", crs=f"EPSG:{epsg}", transform=from_origin(west, north, cell, cell), **profile) as out:
        out.write(of(x, y).astype(np.float32), 1)


BANGOR_HEAD = """species = "ruffed_grouse"
[place]
name = "Town wood"
car = "44.82839, -68.76348"
[morning]
date = 2027-04-28
time_zone = "America/New_York"
back_by = 08:00:00
off_trail_in_the_dark = true
[ground]
reach_m = 1500.0
region = "lake_states"
"""


def test_a_town_with_a_motorway_is_walked_on_open_ways_only(shared_data: Path, tmp_path: Path) -> None:
    folder, epsg = shared_data / "areas" / "bangor_me", 32619
    spots, spot_fields = shapes(folder / "spotElevations.geojson", epsg)
    feet = spot_fields["Elevation"].astype(float)
    at = shapely.get_coordinates(spots)[feet > 0]
    car = pyproj.Transformer.from_crs(4326, epsg, always_xy=True).transform(-68.76348, 44.82839)
    box = (car[0] - 1700, car[1] - 1700, car[0] + 1700, car[1] + 1700)
    write_heights(
        tmp_path / "dem.tif", epsg, box, lambda x, y: griddata(at, FEET_M * feet[feet > 0], (x, y), method="nearest")
    )
    named = {
        "trails": "trails",
        "roads": "roads",
        "streams": "streams",
        "water": "ponds",
        "wetlands": "wetland",
        "buildings": "deckPatio",
        "closed": "roadsPrivate",
    }
    layers = {kind: [folder / f"{name}.geojson"] for kind, name in named.items()}
    trip = trip_file(tmp_path, BANGOR_HEAD, {"elevation": [Path("dem.tif")], **layers})
    walk = planned(trip, tmp_path / "out", epsg)
    roads, road_fields = shapes(folder / "roads.geojson", epsg)
    trails, trail_fields = shapes(folder / "trails.geojson", epsg)
    classes = road_fields["CLASS"]
    near = shapely.box(*box)

    def those(*words: str) -> Any:
        return shapely.union_all([r for r, c in zip(roads, classes, strict=True) if c in words]).intersection(near)

    public = [t for t, c in zip(trails, trail_fields["PUBLIC"], strict=True) if c == "Y"]
    sources = Sources(
        streets=shapely.union_all([those("MINOR", "MAJOR", "US HWY", "STATE HWY"), *public]).intersection(near),
        motorways=those("INTERSTATE", "RAMP"),
        private=those("PRIVATE", "DRIVE"),
        houses=shapely.union_all(shapes(folder / "deckPatio.geojson", epsg)[0]).intersection(near.buffer(200)),
        closed=shapely.union_all(shapes(folder / "roadsPrivate.geojson", epsg)[0]).intersection(near),
        water=shapely.union_all(shapes(folder / "ponds.geojson", epsg)[0]).intersection(near),
    )
    assert sources.motorways.length > 3000  # it does run through the ground of this trip
    held_against(walk, sources, shapely.Point(car))
    assert walk.summary["passage"]["motorway_km"] > 3
    assert any("motorways and ramps are not walked" in words for words in walk.summary["assumptions"])
    loud = [stop for stop in walk.summary["stops"] if stop["earshot_m"] < 240]
    assert loud, "within 1.5 km of a motorway some stop loses earshot"


LIECHTENSTEIN_HEAD = """species = "hazel_grouse"
[place]
name = "Wood above the village"
car = "47.1530, 9.5230"
[morning]
date = 2027-04-28
back_by = 08:30:00
off_trail_in_the_dark = true
[ground]
reach_m = 1500.0
"""
PATHS = ("path", "footway", "track", "steps", "cycleway", "bridleway", "pedestrian")
STREETS = ("residential", "unclassified", "tertiary", "secondary", "primary", "service", "living_street", "road")


def tag(text: object, name: str) -> str:
    return text.split(f'"{name}"=>"')[1].split('"')[0] if isinstance(text, str) and f'"{name}"=>"' in text else ""


def test_an_extract_is_walked_on_open_ways_only(shared_data: Path, tmp_path: Path) -> None:
    source, epsg = shared_data / "areas" / "liechtenstein_li" / "liechtenstein-latest.osm.pbf", 32632
    car = pyproj.Transformer.from_crs(4326, epsg, always_xy=True).transform(9.5230, 47.1530)
    box = (car[0] - 1700, car[1] - 1700, car[0] + 1700, car[1] + 1700)
    near = shapely.box(*box)
    # made up: a smooth slope that rises to the east
    write_heights(tmp_path / "dem.tif", epsg, box, lambda x, y: 460 + 0.25 * np.maximum(x - car[0], 0) + 0 * y)
    degrees = (9.495, 47.135, 9.551, 47.171)  # what the ground of the trip lies within
    lines, fields = shapes(source, epsg, "lines", degrees)
    areas, area_fields = shapes(source, epsg, "multipolygons", degrees)

    def written(name: str, chosen: list[int], found: list[Any], columns: dict[str, Any], keep: tuple[str, ...]) -> Path:
        wkb = shapely.to_wkb(np.array([found[k] for k in chosen], dtype=object))
        values = [np.array([columns[one][k] for k in chosen], dtype=object) for one in keep]
        pyogrio.raw.write(tmp_path / name, wkb, values, list(keep), geometry_type="Unknown", crs=f"EPSG:{epsg}")
        return tmp_path / name

    def lines_with(key: str, words: tuple[str, ...]) -> list[int]:
        return [k for k, word in enumerate(fields[key]) if word in words and lines[k].intersects(near)]

    def areas_with(key: str, words: tuple[str, ...] = ()) -> list[int]:
        named = enumerate(area_fields[key])
        return [
            k for k, word in named if word is not None and (word in words or not words) and areas[k].intersects(near)
        ]

    own = ("highway", "name", "other_tags")
    streams = lines_with("waterway", ("stream", "river", "ditch", "drain", "canal"))
    water, houses = areas_with("natural", ("water",)), areas_with("building")
    layers = {
        "elevation": [Path("dem.tif")],
        "trails": [written("trails.gpkg", lines_with("highway", PATHS), lines, fields, own)],
        "roads": [written("roads.gpkg", lines_with("highway", STREETS), lines, fields, own)],
        "streams": [written("streams.gpkg", streams, lines, fields, ("waterway", "name", "other_tags"))],
        "buildings": [written("houses.gpkg", houses, areas, area_fields, ("building",))],
    }
    if water:
        layers["water"] = [written("water.gpkg", water, areas, area_fields, ("natural", "other_tags"))]
    walk = planned(trip_file(tmp_path, LIECHTENSTEIN_HEAD, layers), tmp_path / "out", epsg)
    ways = lines_with("highway", PATHS) + lines_with("highway", STREETS)

    def forbidden(k: int) -> bool:
        tags = fields["other_tags"][k]
        foot, access = tag(tags, "foot"), tag(tags, "access")
        drive = tag(tags, "service") == "driveway" and not (foot or access in {"yes", "permissive", "destination"})
        return foot in {"no", "private"} or (not foot and access in {"no", "private"}) or drive

    sources = Sources(
        streets=shapely.union_all([lines[k] for k in ways if not forbidden(k)]).intersection(near),
        motorways=shapely.MultiLineString(),
        private=shapely.union_all([lines[k] for k in ways if forbidden(k)]).intersection(near),
        houses=shapely.union_all([areas[k] for k in houses]),
        closed=shapely.Polygon(),
        water=shapely.union_all([areas[k] for k in water]),
    )
    assert sources.private.length > 300
    held_against(walk, sources, shapely.Point(car))
    said = walk.summary["assumptions"]
    assert any("who may walk" in words for words in said)
    checked = CliRunner().invoke(hushwalk, ["check", str(tmp_path / "trip.toml")])
    assert checked.exit_code == 0, checked.output
    for words in ("the region is alps", "the clock is that of Europe/Vaduz", "the year of the cycle is unknown"):
        assert any(words in one for one in said)
        assert words in checked.output
    assert "what the law of this country says of seeking the hazel grouse was not looked up" in checked.output
    assert "OUT OF RANGE" not in checked.output
