"""Ages of stands hold up to the bounds of a stand: read on a trip and over wide ground, and dated by disturbance."""

from datetime import date, time
from pathlib import Path

import numpy as np
import pytest
import rasterio
from affine import Affine
from pyproj import Transformer

from hushwalk.errors import InputError
from hushwalk.files.paths import Address
from hushwalk.files.rasters import look_at_raster
from hushwalk.grid.align import way_for
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import carried, transformer
from hushwalk.grid.window_invariant import invariant_stands, positions
from hushwalk.site.grid_choice import choose_grid
from hushwalk.site.inputs import Inputs, read_inputs
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layer_values import DISTURBANCE, meaning_of, sense_of
from hushwalk.site.reading.raster_layers import open_raster
from hushwalk.site.settings import GroundSettings, LayerSettings, MorningSettings, PlaceSettings, TripSettings

CAR = (-91.69, 46.94)
ALBERS = "EPSG:5070"
STANDS = np.random.default_rng(8).choice([4, 9, 31, 95], (60, 60)).astype(np.uint8)


def settings_in(folder: Path, *layers: LayerSettings) -> TripSettings:
    morning = MorningSettings(date(2027, 4, 25), time(9, 30), "America/Chicago")
    return TripSettings(
        PlaceSettings("Invented ground", ""), morning, layers, ground=GroundSettings(reach_m=300.0), folder=folder
    )


def lattice() -> Affine:
    """Cells of 30 m in an Albers projection, turned against the grid of the trip by a few degrees."""
    east, north = Transformer.from_crs("EPSG:4326", ALBERS, always_xy=True).transform(*CAR)
    return Affine(30, 0, east - 900, 0, -30, north + 900)


def write(path: Path, values: np.ndarray, transform: Affine, crs: str) -> None:
    profile = {"driver": "GTiff", "height": values.shape[0], "width": values.shape[1], "count": 1}
    with rasterio.open(path, "w", dtype=values.dtype, crs=crs, transform=transform, **profile) as file:
        file.write(values, 1)


def read(folder: Path, ages: np.ndarray, **more: str) -> Inputs:
    grid = choose_grid(settings_in(folder, LayerSettings("elevation", "dem.tif")), CAR)
    write(folder / "dem.tif", np.full(grid.shape, 420, dtype=np.float32), grid.transform, grid.crs)
    write(folder / "age.tif", ages, lattice(), ALBERS)
    layers = LayerSettings("elevation", "dem.tif"), LayerSettings("stand_age", "age.tif", **more)  # type: ignore[arg-type]
    return read_inputs(settings_in(folder, *layers), grid)


def looked_up(grid: Grid, ages: np.ndarray) -> np.ndarray:
    """The stand in which the middle of each cell lies, carried by pyproj alone."""
    xy = grid.xy(*(index.ravel() for index in np.indices(grid.shape)))
    there = Transformer.from_crs(grid.crs, ALBERS, always_xy=True).transform(xy[:, 0], xy[:, 1])
    cols, rows = ~lattice() @ there
    return ages[np.floor(rows).astype(int), np.floor(cols).astype(int)].reshape(grid.shape)


def test_no_age_lies_between_those_of_two_stands(tmp_path: Path) -> None:
    got = read(tmp_path, STANDS).measures["stand_age"]
    assert set(np.unique(got.values)) == {4.0, 9.0, 31.0, 95.0}
    assert np.mean(got.values != looked_up(got.grid, STANDS)) < 0.01  # middles within 2 % of a cell of a bound
    assert got.story[0].endswith("taken onto cells of 10 m (nearest)")


@pytest.mark.parametrize("source_m", [1.0, 10.0, 90.0])
def test_stands_are_never_blended_whatever_their_cells(source_m: float) -> None:
    assert way_for("stand", source_m, Grid(32615, 0, 0, 10.0, 2, 2)) == "nearest"
    sense, unit = sense_of("stand_age", "layer 1", LayerSettings("stand_age", "age.tif"))
    assert (sense.what, unit) == ("stand", "yr")


def test_wide_ground_takes_the_same_stands_in_any_window(tmp_path: Path) -> None:
    write(tmp_path / "age.tif", STANDS, lattice(), ALBERS)
    grid = choose_grid(settings_in(tmp_path, LayerSettings("elevation", "dem.tif")), CAR)
    where = Georeference(grid, tmp_path, network=False)
    layer = open_raster(LayerSettings("stand_age", "age.tif"), "layer 1", where, 2027)
    whole = layer.read(where, (0, 0, *grid.shape))
    assert np.mean(whole != looked_up(grid, STANDS)) < 0.001
    np.testing.assert_array_equal(layer.read(where, (7, 13, 20, 30)), whole[7:27, 13:43])


def test_beyond_the_raster_no_age_is_known() -> None:
    grid = Grid(32615, 0.0, 0.0, 10.0, 20, 20)
    way = transformer("EPSG:32615", "EPSG:32615", *CAR)
    at = positions(grid, (0, 0, 20, 20), lambda xy: carried(xy, way), Affine(10, 0, 100, 0, -10, 0))
    found = invariant_stands(np.full((20, 10), 8.0), (0, 0), at)
    assert np.isnan(found[:, :10]).all()
    assert (found[:, 10:] == 8.0).all()


def test_dates_of_disturbance_become_ages(tmp_path: Path) -> None:
    codes = np.random.default_rng(9).choice([0, 83, 84, 101, 121, 200], (60, 60)).astype(np.uint8)
    got = read(tmp_path, codes, unit=DISTURBANCE).measures["stand_age"]
    # legend of the NLCD 2021 science products: 84 is 1984, 101 is 2001, 121 is 2021; the trip is in 2027
    assert set(np.unique(got.values[got.known])) == {43.0, 26.0, 6.0}
    assert 0.3 < got.known.mean() < 0.7
    turned, _ = meaning_of(
        LayerSettings("stand_age", "age.tif", unit=DISTURBANCE),
        "layer 2",
        look_at_raster(Address(str(tmp_path / "age.tif"), "age.tif"), "layer 2"),
        2027,
        lambda: 200.0,
    )
    np.testing.assert_array_equal(turned(np.array([84, 83, 200], dtype=np.float32)), [43.0, np.nan, np.nan])


def test_a_code_beyond_the_legend_names_the_layer(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"layer stand_age: .*holds code 150"):
        read(tmp_path, np.full((60, 60), 150, dtype=np.uint8), unit=DISTURBANCE)


def test_codes_without_their_unit_are_not_taken_for_years(tmp_path: Path) -> None:
    codes = np.random.default_rng(9).choice([83, 95, 200], (60, 60)).astype(np.uint8)
    with pytest.raises(InputError, match=r"layer stand_age: .*give unit = 'nlcd_disturbance_date'"):
        read(tmp_path, codes)
    assert read(tmp_path, codes, unit="yr").measures["stand_age"].known.all()
