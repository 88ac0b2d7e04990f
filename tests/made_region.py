"""A made region for tests of `hushwalk areas`: pines with two pieces of young cover, one of them closed, and a road."""

from pathlib import Path

import geopandas as gpd
import numpy as np
import rasterio
from rasterio.transform import from_origin
from scipy import ndimage
from shapely import LineString, box

WEST, NORTH, CELL, SIZE = 500_010.0, 5_200_020.0, 30.0, 400
UTM = "EPSG:32615"
AREA_FILE = """
species = "ruffed_grouse"
units = "metric"

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


def make_region(folder: Path) -> Path:
    """Write the layers and the area file; young cover lies in the north-west and in the south-east, which is closed."""
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
