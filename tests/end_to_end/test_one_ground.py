"""A trip is a region of one window: the same layers give the same suitability and males, whichever story reads them."""

from dataclasses import replace
from pathlib import Path

import geopandas as gpd
import numpy as np
import pytest
import rasterio
from rasterio.transform import from_origin
from scipy import ndimage
from shapely import LineString, Point

from hushwalk.regions.region_file import AreaSettings, parse_area_file
from hushwalk.regions.region_grid import region_grid
from hushwalk.regions.surface import MALES_PARTS, WideParams, score_region
from hushwalk.regions.window import PARTS, UNKNOWN
from hushwalk.site.inputs import read_inputs
from hushwalk.site.scoring import score_habitat
from hushwalk.site.settings import GroundSettings, PlaceSettings, TripSettings
from hushwalk.site.species import read_card

WEST, NORTH, CELL, SIZE = 500_010.0, 5_200_020.0, 30.0, 150
UTM, ALBERS = "EPSG:32615", "EPSG:5070"
AREA_FILE = """
species = "ruffed_grouse"

[region]
name = "Invented country"
region = "lake_states"

[morning]
date = 2027-04-25
time_zone = "America/Chicago"
back_by = 08:30:00

[places]
spacing_m = 1500.0
"""
LAYERS = {
    "cover": 'legend = "nlcd"',
    "elevation": "",
    "stand_age": 'unit = "yr"',
    "canopy_cover": 'unit = "%"',
    "canopy_height": "",
    "streams": "",
    "water": "",
    "wetlands": "",
}
RASTERS = ("cover", "elevation", "stand_age", "canopy_cover", "canopy_height")


def blotches(seed: int, grain: float) -> np.ndarray:
    """Ranks 0..1 of a smooth random surface."""
    rough = ndimage.gaussian_filter(np.random.default_rng(seed).random((SIZE, SIZE)), grain)
    return np.asarray(rough.ravel().argsort().argsort().reshape(rough.shape) / rough.size)


def write(path: Path, values: np.ndarray, step: float = 1.0, shift_m: float = 0.0) -> None:
    """Write a raster; ``step`` and ``shift_m`` take it off the lattice of the cover."""
    lattice = from_origin(WEST - shift_m, NORTH + shift_m, CELL * step, CELL * step)
    profile = {"driver": "GTiff", "crs": UTM, "transform": lattice, "count": 1, "nodata": 255}
    with rasterio.open(path, "w", width=values.shape[1], height=values.shape[0], dtype=values.dtype, **profile) as out:
        out.write(values, 1)


@pytest.fixture(scope="module")
def country(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Woods of every age with lakes and bogs, heights with holes, and lattices that differ."""
    folder = tmp_path_factory.mktemp("country")
    palette = np.array([11, 41, 42, 43, 52, 71, 90, 95, 81], dtype=np.uint8)
    cover = palette[(blotches(1, 4) * 8.999).astype(int)]
    cover[3, 3] = 255
    write(folder / "cover.tif", cover)
    hills = (300 + 120 * blotches(2, 6)).astype(np.float32)
    hills[60:64, 70:75] = np.nan
    write(folder / "elevation.tif", hills, shift_m=11.0)
    write(folder / "stand_age.tif", (blotches(3, 3) * 90).astype(np.uint8))
    fine = np.kron(blotches(4, 3) * 100, np.ones((3, 3))).astype(np.uint8)
    write(folder / "canopy_cover.tif", fine, step=1 / 3)
    write(folder / "canopy_height.tif", (blotches(5, 3) * 28).astype(np.float32), step=1.4, shift_m=200.0)
    x, y = WEST + np.array([300.0, 1500.0, 4200.0]), NORTH - np.array([200.0, 2600.0, 4000.0])
    shapes = {
        "streams": LineString(np.stack([x, y], axis=1)),
        "water": Point(WEST + 2500, NORTH - 1400).buffer(170),
        "wetlands": Point(WEST + 1100, NORTH - 3300).buffer(240),
    }
    for kind, shape in shapes.items():
        gpd.GeoDataFrame({"name": [""]}, geometry=[shape], crs=UTM).to_file(folder / f"{kind}.gpkg")
    return folder


def settings_of(country: Path, *without: str) -> AreaSettings:
    tables = [
        f'[[layer]]\nkind = "{kind}"\npath = "{kind}.{"tif" if kind in RASTERS else "gpkg"}"\n{more}\n'
        for kind, more in LAYERS.items()
        if kind not in without
    ]
    return replace(parse_area_file(AREA_FILE + "\n".join(tables)), folder=country)


def trip_of(settings: AreaSettings) -> TripSettings:
    """A trip over the layers of a region, on the same morning."""
    ground = GroundSettings(region=settings.region.region, cycle=settings.region.cycle)
    place = PlaceSettings("Invented country", "46.9, -92.9")
    return TripSettings(place, settings.morning, settings.layers, ground=ground, folder=settings.folder)


def stored(path: Path, parts: float) -> np.ndarray:
    with rasterio.open(path) as data:
        values = data.read(1).astype(float)
    return np.where(values == UNKNOWN, np.nan, values / parts)


@pytest.mark.parametrize("without", [(), *((kind,) for kind in LAYERS if kind != "cover"), ("water", "wetlands")])
def test_region_and_trip_agree_whatever_layer_is_left_out(
    country: Path, tmp_path: Path, without: tuple[str, ...]
) -> None:
    settings = settings_of(country, *without)
    region = score_region(settings, tmp_path, WideParams(workers=1))
    trip = trip_of(settings)
    if "elevation" in without:
        assert np.isfinite(stored(region.surface, PARTS)).any()
        return  # no trip is planned without heights
    card = read_card(settings.species)
    habitat = score_habitat(trip, read_inputs(trip, region_grid(settings)), card, region.scoring.region)
    assert region.grid == habitat.suitability.grid
    np.testing.assert_allclose(
        stored(region.surface, PARTS), habitat.suitability.values, rtol=0, atol=0.5 / PARTS + 1e-12
    )
    per_km2 = stored(region.density, MALES_PARTS)
    rounded = 0.5 / MALES_PARTS + 0.5 / PARTS * region.males.middle_per_km2 + 1e-9
    np.testing.assert_allclose(per_km2, habitat.density_per_km2.values, rtol=0, atol=rounded)
    assert np.nansum(per_km2) > 100


@pytest.mark.parametrize("without", [(), ("streams",), ("water", "wetlands")])
def test_windows_of_a_region_agree_with_one_window(country: Path, tmp_path: Path, without: tuple[str, ...]) -> None:
    settings = settings_of(country, *without)
    one = score_region(settings, tmp_path / "one", WideParams(workers=1))
    many = score_region(settings, tmp_path / "many", WideParams(window_cells=48, workers=2))
    differ = stored(one.surface, PARTS) != stored(many.surface, PARTS)
    known = np.isfinite(stored(one.surface, PARTS))
    if without == ("streams",):  # only ground of one window is asked where water gathers
        assert any("lie of the land is not asked" in words for words in many.notices)
        assert any("heights only hint" in words for words in one.notices)
    else:
        assert not (differ & known).any()
