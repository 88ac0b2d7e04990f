"""Damaged layer files: whatever bytes are hit, the layer is read or one message is told, never anything else.

Brute force with a fixed seed; HUSHWALK_DAMAGED_FILES sets how many files of each kind are damaged (20, and 650 with
``HUSHWALK_FULL_CHECKS=1``).
"""

import os
from datetime import date, time
from pathlib import Path
from time import process_time

import numpy as np
import pyogrio
import pytest
import rasterio
import shapely
from tests.peak_memory import memory_taken

from hushwalk.errors import HushwalkError
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.inputs import read_inputs
from hushwalk.site.settings import GroundSettings, LayerSettings, MorningSettings, PlaceSettings, TripSettings

FULL = bool(os.environ.get("HUSHWALK_FULL_CHECKS"))
CASES = int(os.environ.get("HUSHWALK_DAMAGED_FILES", "650" if FULL else "20"))
LIMIT_S, LIMIT_MB = 10, 1000
NAMES = ("dem.tif", "s.gpkg", "s.geojson", "s.fgb", "s.shp", "s.dbf", "s.shx", "s.prj")
CAR = (-91.69, 46.94)


def trip(folder: Path, *layers: LayerSettings) -> TripSettings:
    return TripSettings(
        PlaceSettings("Invented ground", ""),
        MorningSettings(date(2027, 4, 25), time(9, 30), "America/Chicago"),
        layers,
        ground=GroundSettings(reach_m=300.0),
        folder=folder,
    )


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder: Path = tmp_path_factory.mktemp("sound")
    grid = choose_grid(trip(folder, LayerSettings("elevation", "ok.tif")), CAR)
    rng = np.random.default_rng(0)
    heights = rng.normal(400, 3, grid.shape).astype(np.float32)
    profile = {"driver": "GTiff", "height": grid.n_rows, "width": grid.n_cols, "count": 1, "dtype": "float32"}
    for name in ("ok.tif", "dem.tif"):
        with rasterio.open(
            folder / name, "w", crs=grid.crs, transform=grid.transform, compress="lzw", **profile
        ) as file:
            file.write(heights, 1)
    starts = rng.uniform(0, 600, (40, 2)) + np.array(grid.bounds[:2])
    lines = [shapely.LineString(start + np.cumsum(rng.normal(0, 30, (9, 2)), axis=0)) for start in starts]
    wkb = np.array([shapely.to_wkb(line) for line in lines], dtype=object)
    fields = [np.array([f"Creek {k}" for k in range(40)], dtype=object), rng.normal(0, 1, 40)]
    for name in ("s.gpkg", "s.geojson", "s.fgb", "s.shp"):
        pyogrio.raw.write(folder / name, wkb, fields, ["name", "km"], geometry_type="LineString", crs=grid.crs)
    return folder


def damaged(whole: bytes, rng: np.random.Generator) -> bytes:
    broken = bytearray(whole)
    for _ in range(int(rng.choice([1, 3, 10, 100]))):
        at = int(rng.integers(min(len(broken), int(rng.choice([100, 1000, 10**9])))))
        way = rng.random()
        if way < 0.6:
            broken[at] = int(rng.integers(256))
        elif way < 0.75:
            del broken[at : at + int(rng.integers(1, 200))]
        elif way < 0.9:
            broken[at:at] = rng.bytes(int(rng.integers(1, 50)))
        else:
            del broken[max(at, 1) :]
        broken = broken or bytearray(b"x")
    return bytes(broken)


@pytest.mark.parametrize("name", NAMES)
def test_a_damaged_file_is_read_or_told(sound: Path, tmp_path: Path, name: str) -> None:
    rng = np.random.default_rng(NAMES.index(name))
    for path in sound.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    shapes = name if name in {"s.gpkg", "s.geojson", "s.fgb"} else "s.shp"
    layers = [
        LayerSettings("elevation", "dem.tif" if name == "dem.tif" else "ok.tif"),
        LayerSettings("streams", shapes),
    ]
    settings = trip(tmp_path, *layers)
    grid = choose_grid(settings, CAR)
    assert len(read_inputs(settings, grid).features["streams"]) > 10
    said: list[str] = []
    slowest_s = 0.0
    with memory_taken() as taken:
        for _ in range(CASES):
            (tmp_path / name).write_bytes(damaged((sound / name).read_bytes(), rng))
            began = process_time()
            try:
                read_inputs(settings, grid)
            except HushwalkError as fault:
                said.append(str(fault))
            slowest_s = max(slowest_s, process_time() - began)
    print(f"{name}: {CASES} damaged, {len(said)} told, slowest {slowest_s:.2f} s, at most {taken.mb:.0f} MB more")  # noqa: T201
    assert slowest_s < LIMIT_S
    assert taken.mb < LIMIT_MB
    assert all(words.startswith("layer ") and "\n" not in words for words in said), said
