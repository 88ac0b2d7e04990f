"""What a trip's inputs say when layers are absent or the surroundings are odd; layers at fault live in the gallery."""

import os
import subprocess
import sys
from datetime import date, time
from pathlib import Path

import numpy as np
import pytest
import rasterio

from hushwalk.errors import SettingsError
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.inputs import Inputs, read_inputs
from hushwalk.site.reading.features import SHAPES
from hushwalk.site.settings import (
    ClosedSettings,
    GroundSettings,
    LayerSettings,
    MorningSettings,
    PlaceSettings,
    TripSettings,
)

CAR = (-91.69, 46.94)


def settings_in(folder: Path, *layers: LayerSettings, **more: object) -> TripSettings:
    return TripSettings(
        PlaceSettings("Invented ground", ""),
        MorningSettings(date(2027, 4, 25), "America/Chicago", time(9, 30)),
        layers or (LayerSettings("elevation", "dem.tif"),),
        ground=GroundSettings(reach_m=300.0),
        folder=folder,
        **more,  # type: ignore[arg-type]
    )


def write_heights(folder: Path) -> None:
    grid = choose_grid(settings_in(folder), CAR)
    profile = {"driver": "GTiff", "height": grid.n_rows, "width": grid.n_cols, "count": 1, "dtype": "float32"}
    with rasterio.open(folder / "dem.tif", "w", crs=grid.crs, transform=grid.transform, **profile) as file:
        file.write(np.full(grid.shape, 420, dtype=np.float32), 1)


def read(folder: Path, *layers: LayerSettings, **more: object) -> Inputs:
    settings = settings_in(folder, *layers, **more)
    return read_inputs(settings, choose_grid(settings, CAR))


def test_heights_alone_are_enough_and_what_is_missing_is_said(tmp_path: Path) -> None:
    write_heights(tmp_path)
    got = read(tmp_path)
    assert got.cover is None
    assert got.measures == {}
    assert set(got.features) == set(SHAPES)
    assert all(got.shapes(kind) == () for kind in SHAPES)
    assert [words.split(" ")[1:3] for words in got.notices] == [
        ["land", "cover"],
        ["streams", "were"],
        ["trails", "were"],
        ["closed", "ground"],
    ]
    (story,) = got.stories
    assert story.startswith("layer elevation (dem.tif): cells of 10 m in EPSG:32615 (WGS 84 / UTM zone 15N)")
    assert story.endswith("interpolated onto cells of 10 m (bilinear)")
    assert got.elevation.story == got.stories


def test_closed_ground_drawn_by_hand_counts_as_given(tmp_path: Path) -> None:
    write_heights(tmp_path)
    ring = ((-91.691, 46.9395), (-91.689, 46.9395), (-91.689, 46.9405))
    got = read(tmp_path, closed=(ClosedSettings("Parcel", ring),))
    assert [f.name for f in got.features["closed"]] == ["Parcel"]
    assert not any("closed ground" in words for words in got.notices)


def test_heights_are_needed(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match='no layer of kind "elevation"'):
        read(tmp_path, LayerSettings("streams", "streams.gpkg"))


def test_tables_of_another_install_are_left_aside_and_it_is_said(tmp_path: Path) -> None:
    write_heights(tmp_path)
    code = (
        "from datetime import date, time; from pathlib import Path\n"
        "from hushwalk.site.settings import *\n"
        "from hushwalk.site.grid_choice import choose_grid; from hushwalk.site.inputs import read_inputs\n"
        "from datetime import time\n"
        "s = TripSettings(PlaceSettings('x', ''), MorningSettings(date(2027, 4, 25), 'UTC', time(9)),"
        " (LayerSettings('elevation', 'dem.tif', crs='EPSG:26915'),), ground=GroundSettings(reach_m=300.0),"
        f" folder=Path({str(tmp_path)!r}))\n"
        f"print(read_inputs(s, choose_grid(s, {CAR})).notices[0])\n"
    )
    foreign = {"PROJ_LIB": str(tmp_path), "PROJ_DATA": str(tmp_path), "GDAL_DATA": str(tmp_path)}
    said = subprocess.run(
        [sys.executable, "-c", code], env={**os.environ, **foreign}, capture_output=True, text=True, check=False
    )
    assert said.returncode == 0, said.stderr
    assert said.stdout.startswith("PROJ_LIB, PROJ_DATA, GDAL_DATA of another install")
