"""`hushwalk areas` over a made region: from rasters and roads to a ranking, and from the ranking to a trip file."""

import json
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import rasterio
from click.testing import CliRunner
from rasterio.transform import from_origin
from scipy import ndimage
from shapely import LineString, Point, box

from hushwalk.cli import hushwalk
from hushwalk.trip.area_file import parse_area_file
from hushwalk.trip.trip_file import read_trip

WEST, NORTH, CELL, SIZE = 500_010.0, 5_200_020.0, 30.0, 400
UTM = "EPSG:32615"
AREA_FILE = """
species = "ruffed_grouse"

[region]
name = "Made country"

[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 08:30:00
longest_walk_km = 5.0

[places]
spacing_m = 1500.0

[drive]
home = "46.935, -92.962"
speed_kmh = 60.0
longest_min = 120.0

[[layer]]
kind = "cover"
path = "cover.tif"
legend = "nlcd"

[[layer]]
kind = "elevation"
path = "dem.tif"

[[layer]]
kind = "roads"
path = "country.gpkg"
layer = "roads"

[[layer]]
kind = "closed"
path = "country.gpkg"
layer = "closed"
"""


@pytest.fixture(scope="module")
def country(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pines, with young cover in the north-west and in the south-east, which is closed; one road through both."""
    folder = tmp_path_factory.mktemp("country")
    rng = np.random.default_rng(2)
    cover = np.full((SIZE, SIZE), 42, dtype=np.uint8)
    blotches = ndimage.gaussian_filter(rng.random((SIZE, SIZE)), 4)
    for rows, cols in ((slice(40, 150), slice(40, 150)), (slice(250, 360), slice(250, 360))):
        part = blotches[rows, cols]
        cover[rows, cols] = np.where(part > np.quantile(part, 0.4), 52, np.where(part > np.quantile(part, 0.2), 41, 90))
    cover[:, 200:204] = 11
    profile = {"driver": "GTiff", "crs": UTM, "transform": from_origin(WEST, NORTH, CELL, CELL), "count": 1}
    profile |= {"width": SIZE, "height": SIZE, "tiled": True}
    with rasterio.open(folder / "cover.tif", "w", dtype="uint8", **profile) as out:
        out.write(cover, 1)
    hills = (300 + 20 * ndimage.gaussian_filter(rng.normal(size=(SIZE, SIZE)), 8) * 8).astype(np.float32)
    with rasterio.open(folder / "dem.tif", "w", dtype="float32", **profile) as out:
        out.write(hills, 1)
    far = SIZE * CELL
    road = LineString([(WEST + 2850, NORTH - 2000), (WEST + 2850, NORTH - 6000), (WEST + far - 2500, NORTH - 9150)])
    roads = gpd.GeoDataFrame({"kind": ["gravel"]}, geometry=[road], crs=UTM)
    roads.to_file(folder / "country.gpkg", layer="roads", driver="GPKG")
    parcel = box(WEST + 7000, NORTH - 11_500, WEST + 11_500, NORTH - 9_900)
    gpd.GeoDataFrame({"name": ["parcel"]}, geometry=[parcel], crs=UTM).to_file(folder / "country.gpkg", layer="closed")
    (folder / "areas.toml").write_text(AREA_FILE)
    return folder


def run(*words: object) -> str:
    told = CliRunner().invoke(hushwalk, [str(word) for word in words], catch_exceptions=False)
    assert told.exit_code == 0, told.output
    return told.output


@pytest.fixture(scope="module")
def ranked(country: Path) -> Path:
    run("areas", country / "areas.toml", "--window", 128)
    return country / "areas"


def test_the_ranking_begins_where_the_young_cover_is(ranked: Path) -> None:
    table = pd.read_csv(ranked / "areas.csv")
    assert list(table["rank"]) == list(range(1, len(table) + 1))
    assert len(table) >= 4
    assert (table["males_heard_new"] <= table["males_heard"] + 1e-9).all()
    assert table["males_heard_new"].is_monotonic_decreasing
    best = gpd.read_file(ranked / "areas.gpkg", layer="areas").iloc[0].geometry
    assert (
        min(
            np.hypot(best.x - WEST - 2850, best.y - NORTH + 2850), np.hypot(best.x - WEST - 9150, best.y - NORTH + 9150)
        )
        < 2500
    )
    assert table["drive_min"].between(0, 120).all()
    assert table["closed_share"].max() > 0.05
    assert "nothing is heard" in (ranked / "areas.json").read_text() or table["males_heard"].min() > 0


def test_the_files_say_the_same(ranked: Path) -> None:
    table = pd.read_csv(ranked / "areas.csv")
    points = gpd.read_file(ranked / "areas.geojson")
    told = json.loads((ranked / "areas.json").read_text())
    assert [area["rank"] for area in told["areas"]] == list(table["rank"]) == list(points["rank"])
    np.testing.assert_allclose(points.geometry.x, table["longitude_deg"], atol=1e-6)
    own = gpd.read_file(ranked / "areas.gpkg", layer="areas").to_crs("EPSG:4326")
    np.testing.assert_allclose(own.geometry.y, table["latitude_deg"], atol=1e-6)
    patches = pd.read_csv(ranked / "patches.csv")
    assert patches["males"].is_monotonic_decreasing
    with rasterio.open(ranked / "males_per_km2.tif") as data:
        males = data.read(1, masked=True) * data.scales[0]
        assert patches["males"].sum() <= float(males.sum()) * (CELL**2 / 1e6) * 1.01
    assert not (ranked / "windows.part").exists()


def test_another_cut_and_one_worker_give_the_same(country: Path, ranked: Path, tmp_path: Path) -> None:
    run("areas", country / "areas.toml", "--out", tmp_path / "again", "--window", 200, "--workers", 1)
    for name in ("areas.csv", "areas.geojson", "patches.csv"):
        assert (tmp_path / "again" / name).read_text() == (ranked / name).read_text()
    for name in ("suitability.tif", "males_per_km2.tif"):
        with rasterio.open(ranked / name) as one, rasterio.open(tmp_path / "again" / name) as other:
            np.testing.assert_array_equal(one.read(), other.read())


def test_scouted_ground_sends_one_elsewhere(country: Path, ranked: Path) -> None:
    best = gpd.read_file(ranked / "areas.gpkg", layer="areas").iloc[[0]]
    best.to_file(country / "known.gpkg", layer="known", driver="GPKG")
    text = AREA_FILE.replace("[drive]", '[scouted]\npath = "known.gpkg"\nradius_m = 3000.0\n\n[drive]')
    (country / "second.toml").write_text(text)
    run("areas", country / "second.toml", "--out", country / "areas")  # the region itself was judged before
    again = gpd.read_file(country / "areas" / "areas.gpkg", layer="areas").iloc[0]
    assert again.geometry.distance(best.geometry.iloc[0]) > 2000
    run("areas", country / "areas.toml", "--out", country / "areas")


def test_a_trip_starts_from_an_area(country: Path, ranked: Path) -> None:
    table = pd.read_csv(ranked / "areas.csv")
    run("start", country / "trips" / "first", "--from-area", 2, "--areas", ranked / "areas.json")
    trip = read_trip(country / "trips" / "first" / "trip.toml")
    lat, lon = (float(word) for word in trip.place.car.split(","))
    assert lat == pytest.approx(table["latitude_deg"][1], abs=1e-6)
    assert lon == pytest.approx(table["longitude_deg"][1], abs=1e-6)
    assert trip.morning == parse_area_file(AREA_FILE).morning
    closed_reaches = int(table["closed_share"][1] > 0)
    assert [layer.kind for layer in trip.layers] == ["cover", "elevation", "roads", *(["closed"] * closed_reaches)]
    run("start", country / "trips" / "every", "--from-area", 1, "--areas", ranked / "areas.json")
    assert {layer.kind for layer in read_trip(country / "trips" / "every" / "trip.toml").layers} >= {
        "cover",
        "elevation",
    }
    assert all((trip.folder / layer.path).resolve().is_file() for layer in trip.layers)
    told = CliRunner().invoke(
        hushwalk, ["start", str(country / "x"), "--from-area", "99", "--areas", str(ranked / "areas.json")]
    )
    assert "ranks 1 to" in str(told.exception)


def test_given_points_are_taken_as_they_are(country: Path, tmp_path: Path) -> None:
    points = [Point(WEST + 2850, NORTH - 2850), Point(WEST + 9150, NORTH - 9150), Point(WEST + 6060, NORTH - 600)]
    named = gpd.GeoDataFrame({"label": ["pull-off", "gate", "landing"]}, geometry=points, crs=UTM).to_crs("EPSG:4326")
    named.to_file(country / "stops.geojson", driver="GeoJSON")
    text = AREA_FILE.replace("spacing_m = 1500.0", 'path = "stops.geojson"\nname_field = "label"')
    (country / "third.toml").write_text(text)
    told = run("areas", country / "third.toml", "--out", tmp_path / "given")
    assert "pull-off" in told
    assert "landing" not in told  # it stands in the lake


def test_a_fault_is_told_in_one_sentence(country: Path) -> None:
    (country / "bad.toml").write_text(AREA_FILE.replace('legend = "nlcd"', 'legend = "worldcover"'))
    told = CliRunner().invoke(hushwalk, ["areas", str(country / "bad.toml"), "--out", str(country / "bad")])
    assert "cover.tif holds class 11" in str(told.exception)
    (country / "bad.toml").write_text(AREA_FILE.replace("spacing_m", "spacing"))
    told = CliRunner().invoke(hushwalk, ["areas", str(country / "bad.toml")])
    assert "did you mean 'spacing_m'" in str(told.exception)
