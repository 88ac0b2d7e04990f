"""The invented country of the demo behaves like country, and its script makes exactly the files that are kept."""

import csv
import hashlib
import heapq
import json
import subprocess
import sys
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

import geopandas as gpd
import numpy as np
import pytest
import rasterio
from numpy.typing import NDArray
from scipy import ndimage
from shapely.geometry import Point, shape

from hushwalk.files.notes_csv import read_table
from hushwalk.grid.points import parse_place, to_metres
from hushwalk.notes.bearing import NorthAngles
from hushwalk.notes.reading.entry import NoteContext
from hushwalk.notes.reading.walk_table import take_rows
from hushwalk.site.trip_file import read_trip

RASTERS = ("elevation.tif", "cover.tif", "canopy_cover.tif", "stand_age.tif")
LAYERS = ("streams", "water", "wetlands", "trails", "roads")
GROUND = 26915


@pytest.fixture(scope="module")
def height(demo_folder: Path) -> NDArray[np.float64]:
    with rasterio.open(demo_folder / "elevation.tif") as file:
        assert (file.crs.to_epsg(), file.res) == (GROUND, (10.0, 10.0))
        return file.read(1).astype(float)


@pytest.fixture(scope="module")
def affine(demo_folder: Path) -> Any:
    with rasterio.open(demo_folder / "elevation.tif") as file:
        return file.transform


@pytest.fixture(scope="module")
def drainage(height: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Spill levels and draining area, worked out here and not by the script that made the ground."""
    n_rows, n_cols = height.shape
    level, area = height.copy(), np.full(height.size, 1.0)
    rim = [(r, c) for r in range(n_rows) for c in range(n_cols) if r in {0, n_rows - 1} or c in {0, n_cols - 1}]
    heap = [(float(height[p]), n, p) for n, p in enumerate(rim)]
    parent = {p: p for p in rim}
    heapq.heapify(heap)
    order, tick = [], len(rim)
    while heap:
        z, _, (r, c) = heapq.heappop(heap)
        order.append((r, c))
        for rr in range(max(r - 1, 0), min(r + 2, n_rows)):
            for cc in range(max(c - 1, 0), min(c + 2, n_cols)):
                if (rr, cc) not in parent:
                    parent[rr, cc] = (r, c)
                    level[rr, cc] = max(height[rr, cc], z)
                    heapq.heappush(heap, (level[rr, cc], tick, (rr, cc)))
                    tick += 1
    padded = np.pad(height, 1, constant_values=np.inf)
    steps = [(i, j) for i in (-1, 0, 1) for j in (-1, 0, 1) if (i, j) != (0, 0)]
    drops = np.stack(
        [(height - padded[1 + i : 1 + i + n_rows, 1 + j : 1 + j + n_cols]) / np.hypot(i, j) for i, j in steps]
    )
    best, steepest = drops.argmax(axis=0), drops.max(axis=0)
    for r, c in reversed(order):
        i, j = steps[best[r, c]]
        rr, cc = (r + i, c + j) if steepest[r, c] > 0 else parent[r, c]
        if (rr, cc) != (r, c) and parent[r, c] != (r, c):
            area[rr * n_cols + cc] += area[r * n_cols + c]
    return level, area.reshape(height.shape) * 100.0


def layer(demo_folder: Path, name: str) -> gpd.GeoDataFrame:
    return gpd.read_file(demo_folder / "country.gpkg", layer=name).to_crs(GROUND)


def cells(affine: Any, xy: NDArray[np.float64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    cols, rows = ~affine @ (xy[:, 0], xy[:, 1])
    return np.floor(rows).astype(int), np.floor(cols).astype(int)


def burned(affine: Any, shapes: Any, size: tuple[int, int]) -> NDArray[np.bool_]:
    from rasterio.features import rasterize  # noqa: PLC0415

    return rasterize(list(shapes), out_shape=size, transform=affine).astype(bool)


def test_the_script_makes_the_files_that_are_kept(demo_folder: Path, tmp_path: Path) -> None:
    script = demo_folder / "make_country.py"
    said = subprocess.run([sys.executable, script, "--out", tmp_path], capture_output=True, text=True, check=False)
    assert said.returncode == 0, said.stderr
    for name in RASTERS:
        with rasterio.open(demo_folder / name) as kept, rasterio.open(tmp_path / name) as made:
            assert (kept.crs, kept.transform, kept.shape, kept.nodata) == (
                made.crs,
                made.transform,
                made.shape,
                made.nodata,
            )
            assert checksum(kept.read(1)) == checksum(made.read(1)), name
    for name in LAYERS:
        kept, made = (gpd.read_file(f / "country.gpkg", layer=name) for f in (demo_folder, tmp_path))
        assert kept.drop(columns="geometry").equals(made.drop(columns="geometry")), name
        assert kept.geometry.geom_equals_exact(made.geometry, 2e-6).all(), name
    for name in ("closed.geojson", "known_birds.geojson", "bearings.csv"):
        assert (demo_folder / name).read_bytes() == (tmp_path / name).read_bytes(), name


def checksum(values: NDArray[Any]) -> str:
    return hashlib.sha256(np.ascontiguousarray(values).tobytes()).hexdigest()


def test_the_files_are_small(demo_folder: Path) -> None:
    kept = [p for p in demo_folder.iterdir() if p.is_file()]
    assert sum(p.stat().st_size for p in kept) < 2_500_000


def test_every_cell_drains_to_the_edge(height: NDArray[np.float64], drainage: tuple[Any, Any]) -> None:
    level, area = drainage
    assert np.abs(level - height).max() < 1e-6  # a flood from the edge raises nothing: there is no pit
    assert area.max() > 15e6
    assert 60 < np.ptp(height) < 200


def test_streams_run_downhill_in_the_valleys(
    demo_folder: Path, affine: Any, height: NDArray[np.float64], drainage: tuple[Any, Any]
) -> None:
    streams = layer(demo_folder, "streams")
    assert set(streams["kind"]) == {"brook", "creek", "artificialpath"}
    area = ndimage.maximum_filter(drainage[1], 3)  # corners are rounded, so a neighbour's cell may hold the channel
    ground = ndimage.minimum_filter(height, 3)
    for kind, line in zip(streams["kind"], streams.geometry, strict=True):
        rows, cols = cells(affine, np.array(line.coords))
        assert np.diff(ground[rows, cols]).max(initial=0) <= 0.02, kind
        assert height[rows[0], cols[0]] >= height[rows[-1], cols[-1]]
    heads = streams[streams["kind"] == "brook"].geometry
    inner = [
        line for line in heads if 60 < (~affine @ line.coords[0])[0] < 500 and 60 < (~affine @ line.coords[0])[1] < 500
    ]
    assert len(inner) > 20
    for line in inner:
        rows, cols = cells(affine, np.array(line.coords[1:]))
        assert np.median(area[rows, cols]) > 1.5e5
    creek = streams[streams["kind"] == "creek"].geometry
    assert all(area[cells(affine, np.array(line.coords))].max() > 3e6 for line in creek)
    # valleys: ground by the water lies below the ground 250 m away
    wet = burned(affine, streams.geometry, height.shape)
    near, wide = height[wet], ndimage.uniform_filter(height, 51)[wet]
    assert (near < wide).mean() > 0.9


def test_streams_meet_and_leave_as_one_network(demo_folder: Path) -> None:
    streams = layer(demo_folder, "streams").geometry
    starts = {tuple(np.round(line.coords[0], 0)) for line in streams}
    ends = [tuple(np.round(line.coords[-1], 0)) for line in streams]
    loose = [end for end in ends if end not in starts]
    assert 1 <= len(loose) <= 8  # only those that leave the country


def test_ponds_are_level_and_lie_in_hollows(demo_folder: Path, affine: Any, height: NDArray[np.float64]) -> None:
    ponds = layer(demo_folder, "water")
    assert 3 <= len(ponds) <= 12
    for pond in ponds.geometry:
        water = burned(affine, [pond.buffer(-12)], height.shape)
        assert np.ptp(height[water]) == 0
        shore = burned(affine, [pond.buffer(45)], height.shape) & ~burned(affine, [pond.buffer(12)], height.shape)
        above = height[shore] - height[water][0]
        assert (above >= 0).mean() > 0.75
        assert np.median(above) > 0.3


def test_wetlands_are_flatter_and_lower_than_the_rest(
    demo_folder: Path, affine: Any, height: NDArray[np.float64]
) -> None:
    wet = burned(affine, layer(demo_folder, "wetlands").geometry, height.shape)
    slope = np.hypot(*np.gradient(height, 10.0))
    assert 0.03 < wet.mean() < 0.25
    assert slope[wet].mean() < 0.6 * slope[~wet].mean()
    lower = height - ndimage.uniform_filter(height, 41)
    assert lower[wet].mean() < -0.5 < 0 < lower[~wet].mean()


def test_ways_are_gentle_dry_and_outside_the_closed_parcel(
    demo_folder: Path, affine: Any, height: NDArray[np.float64]
) -> None:
    closed = shape(json.loads((demo_folder / "closed.geojson").read_text())["features"][0]["geometry"])
    (parcel,) = gpd.GeoSeries([closed], crs=4326).to_crs(GROUND)
    country = Point(*(affine @ (280, 280))).buffer(2800, cap_style="square")
    assert country.contains(parcel)
    assert 2e5 < parcel.area < 8e5
    ponds = layer(demo_folder, "water").geometry.union_all()
    for name in ("trails", "roads"):
        for line in layer(demo_folder, name).geometry:
            assert country.buffer(1).contains(line)
            assert not line.intersects(parcel)
            assert not line.intersects(ponds)
            rows, cols = cells(affine, np.array([line.interpolate(d).coords[0] for d in np.arange(0, line.length, 30)]))
            assert np.abs(np.diff(height[rows, cols]) / 30).mean() < np.hypot(*np.gradient(height, 10.0)).mean() * 1.2


def test_the_car_stands_at_the_end_of_the_road_where_ways_meet(demo_folder: Path, affine: Any) -> None:
    settings = read_trip(demo_folder / "trip.toml")
    car = Point(*to_metres(GROUND, parse_place(settings.place.car)))
    (road,) = layer(demo_folder, "roads").geometry
    assert car.distance(Point(road.coords[-1])) < 5
    trails = layer(demo_folder, "trails").geometry
    assert min(car.distance(line) for line in trails) < 15
    away = np.abs(np.array(car.coords[0]) - affine @ (280, 280))
    assert away.max() + settings.ground.reach_m <= 2800  # the ground of the trip lies inside the country


def test_woods_have_stands_with_shapes(demo_folder: Path) -> None:
    with rasterio.open(demo_folder / "cover.tif") as file:
        assert (file.crs.to_epsg(), file.res, file.dtypes[0]) == (5070, (10.0, 10.0), "uint8")
        cover = file.read(1)
    known = cover > 0
    shares = {code: (cover[known] == code).mean() for code in np.unique(cover[known])}
    assert set(shares) <= {11, 21, 41, 42, 43, 45, 46, 52, 71, 81, 90, 95}
    assert shares[41] > 0.25
    assert 0.06 < shares[45] + shares[46] < 0.25
    assert all(shares[code] > 0.05 for code in (42, 43, 90))
    marks, count = ndimage.label(np.isin(cover, (45, 46)))
    hectares = ndimage.sum_labels(np.ones(cover.shape), marks, np.arange(1, count + 1)) / 100
    stands = hectares[hectares > 1]
    assert 4 <= np.median(stands) <= 20
    rim = marks.astype(bool) & ~ndimage.binary_erosion(marks > 0)
    straight = [np.convolve(row, np.ones(25), "valid").max() for row in (*rim.astype(int), *rim.T.astype(int))]
    assert np.percentile(straight, 99) < 25  # no long straight edges along the rows or columns


def test_age_goes_with_cover(demo_folder: Path) -> None:
    with rasterio.open(demo_folder / "stand_age.tif") as ages, rasterio.open(demo_folder / "cover.tif") as covers:
        age = ages.read(1)
        rows, cols = np.nonzero(age != ages.nodata)
        keep = np.random.default_rng(1).choice(rows.size, 4000, replace=False)
        from rasterio.warp import transform  # noqa: PLC0415

        x, y = ages.transform @ (cols[keep] + 0.25, rows[keep] + 0.25)
        east, north = transform(ages.crs, covers.crs, x, y)
        code = np.array([int(v[0]) for v in covers.sample(zip(east, north, strict=True))])
    years = age[rows[keep], cols[keep]]
    assert (years[code == 46] <= 3).mean() > 0.95
    assert ((years[code == 45] > 3) & (years[code == 45] <= 20)).mean() > 0.95
    assert years[code == 42].min() >= 20


def test_birds_keep_apart_cluster_and_stand_on_good_ground(demo_folder: Path) -> None:
    features = json.loads((demo_folder / "known_birds.geojson").read_text())["features"]
    assert all(f["properties"]["simulated"] for f in features)
    xy = to_metres(GROUND, [f["geometry"]["coordinates"] for f in features])
    apart = np.hypot(*(xy[:, None] - xy[None]).T) + np.diag(np.full(len(xy), np.inf))
    assert apart.min() >= 129.8
    nearest, random = apart.min(axis=0).mean(), 0.5 / np.sqrt(len(xy) / 31.4e6)
    assert nearest < 1.05 * random  # a hard core alone would push them beyond what chance gives
    with rasterio.open(demo_folder / "cover.tif") as file:
        from rasterio.warp import transform  # noqa: PLC0415

        east, north = transform(GROUND, file.crs, *xy.T)
        code = np.array([int(v[0]) for v in file.sample(zip(east, north, strict=True))])
        cover = file.read(1)
    young = np.isin(code, (45, 46)).mean()
    assert young > 1.5 * np.isin(cover[cover > 0], (45, 46)).mean()
    assert not np.isin(code, (11, 21, 71, 81, 95)).any()


def test_bearings_can_be_taken_in_and_point_at_the_birds(demo_folder: Path) -> None:
    from hushwalk.grid.points import convergence_deg  # noqa: PLC0415
    from hushwalk.notes.reading.walk_table import WALK_COLUMNS  # noqa: PLC0415
    from hushwalk.science.magnetic import declination  # noqa: PLC0415

    def north(lon: float, lat: float, at: datetime, _north: str = "M") -> NorthAngles:
        turned = float(convergence_deg(GROUND, to_metres(GROUND, (lon, lat))))
        return NorthAngles(declination(at.date(), lon, lat).declination_deg, turned)

    table = read_table(demo_folder / "bearings.csv", WALK_COLUMNS, ("stop",))
    assert table.refused == ()
    taken = take_rows(table.rows, "bearings.csv", NoteContext("America/Chicago", north))
    assert taken.refused == ()
    birds = {
        f["properties"]["id"]: f["geometry"]["coordinates"]
        for f in json.loads((demo_folder / "known_birds.geojson").read_text())["features"]
    }
    errors = []
    with (demo_folder / "bearings.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["reading_deg"]:
                lon, lat = parse_place(row["place"])
                here, there = to_metres(GROUND, [(lon, lat), birds[row["bird"]]])
                grid_deg = np.degrees(np.arctan2(*(there - here)))
                turn = north(lon, lat, datetime.fromisoformat(row["date"])).declination_deg
                true_deg = grid_deg + float(convergence_deg(GROUND, here))
                errors.append((float(row["reading_deg"]) + turn - true_deg + 180) % 360 - 180)
    assert len(errors) >= 15
    assert 5 < np.sqrt(np.mean(np.square(errors))) < 19  # drawn with 12 degrees


def test_several_birds_were_heard_from_more_than_one_stop(demo_folder: Path) -> None:
    with (demo_folder / "bearings.csv").open(encoding="utf-8") as file:
        heard = [(row["bird"], row["stop"]) for row in csv.DictReader(file) if row["bird"]]
    several = [bird for bird in {b for b, _ in heard} if len({s for b, s in heard if b == bird}) > 1]
    assert len(several) >= 3
    assert all(a <= b for a, b in pairwise(stop for _, stop in heard))
