"""Cover given to a region as polygons is judged like the same cover as a raster, window by window."""

from dataclasses import replace
from pathlib import Path

import geopandas as gpd
import numpy as np
import pytest
import rasterio
from rasterio.features import shapes
from rasterio.transform import from_origin
from shapely.geometry import shape

from hushwalk.regions.region_file import parse_area_file
from hushwalk.regions.surface import WideParams, score_region

UTM = "EPSG:32615"
FILE = """\
species = "ruffed_grouse"
[region]
name = "Two covers"
bounds = [-90.39, 47.35, -90.31, 47.40]
region = "lake_states"
[morning]
date = 2027-04-25
back_by = 09:30:00
[[layer]]
kind = "elevation"
path = "heights.tif"
[[layer]]
kind = "cover"
path = "{path}"
legend = "nlcd"
{field}
"""


def region_males(folder: Path, path: str, field: str = "") -> np.ndarray:
    settings = replace(parse_area_file(FILE.format(path=path, field=field)), folder=folder)
    out = folder / Path(path).stem
    score_region(settings, out, WideParams(window_cells=128, workers=1))
    with rasterio.open(out / "males_per_km2.tif") as data:
        return data.read(1, masked=True).filled(0) * data.scales[0]


def test_cover_in_polygons_is_judged_like_the_same_cover_in_cells(tmp_path: Path) -> None:
    transform = from_origin(694_000, 5_256_000, 60.0, 60.0)
    cover = np.full((180, 180), 42, dtype=np.uint8)
    cover[40:90, 30:100] = 41
    cover[90:140, 60:150] = 90
    profile = {"driver": "GTiff", "height": 180, "width": 180, "count": 1, "crs": UTM, "transform": transform}
    with rasterio.open(tmp_path / "cells.tif", "w", dtype="uint8", **profile) as file:
        file.write(cover, 1)
    with rasterio.open(tmp_path / "heights.tif", "w", dtype="float32", **profile) as file:
        file.write(np.full((180, 180), 300, dtype=np.float32), 1)
    drawn = [(shape(one), int(code)) for one, code in shapes(cover, transform=transform)]
    polygons = gpd.GeoDataFrame({"code": [code for _, code in drawn]}, geometry=[one for one, _ in drawn], crs=UTM)
    polygons.to_file(tmp_path / "polygons.gpkg")
    cells, drawn_cells = region_males(tmp_path, "cells.tif"), region_males(tmp_path, "polygons.gpkg", 'field = "code"')
    assert cells.max() > 1
    assert drawn_cells == pytest.approx(cells, abs=0.05)
