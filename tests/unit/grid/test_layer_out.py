"""A layer leaves as numpy, xarray and cloud-optimised GeoTIFF; other libraries read back what was in it."""

import sys
from pathlib import Path

import numpy as np
import pytest
import rasterio
from pyproj import CRS

from hushwalk.errors import InputError, OutputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer

GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 600, 520)


@pytest.fixture
def layer() -> Layer:
    values = np.add.outer(np.arange(600.0), np.arange(520.0) / 1000)
    values[10:20, 30:40] = np.nan
    return Layer("height of things", "m", GRID, values, ("made", "with a hole"))


def test_numpy_takes_a_layer_as_an_array(layer: Layer) -> None:
    assert np.asarray(layer) is layer.values or np.shares_memory(np.asarray(layer), layer.values)
    assert np.nanmax(layer) == np.nanmax(layer.values)
    assert np.array(layer, dtype=np.float32).dtype == np.float32
    assert not np.asarray(layer).flags.writeable


def test_xarray_holds_cell_centres_and_a_reference_system_that_pyproj_reads_back(layer: Layer) -> None:
    array = layer.to_xarray()
    assert array.shape == GRID.shape
    assert float(array.x[0]) == 500_005.0
    assert float(array.y[0]) == 5_199_995.0
    assert float(array.sel(x=500_005.0, y=5_199_985.0)) == 1.0
    assert CRS.from_cf(array.spatial_ref.attrs).to_epsg() == 32615
    assert array.attrs["units"] == "m"
    assert array.attrs["history"] == "made\nwith a hole"


def test_rasterio_reads_a_geotiff_back_with_unit_tags_and_tiles(layer: Layer, tmp_path: Path) -> None:
    path = layer.to_geotiff(tmp_path / "things.tif", {"SOURCES": "judgement: made up"})
    with rasterio.open(path) as data:
        assert data.crs.to_epsg() == 32615
        assert data.transform == GRID.transform
        assert data.units == ("m",)
        assert data.descriptions == ("height of things",)
        assert np.isnan(data.nodata)
        assert data.tags(ns="IMAGE_STRUCTURE")["LAYOUT"] == "COG"
        assert data.overviews(1) == [2]
        assert data.block_shapes == [(512, 512)]
        assert data.tags() | {"SOURCES": "judgement: made up", "UNIT": "m", "STORY": "made\nwith a hole"} == data.tags()
        np.testing.assert_array_equal(data.read(1), layer.values.astype(np.float32))
    assert [file.name for file in tmp_path.iterdir()] == ["things.tif"]
    again = layer.to_geotiff(tmp_path / "again.tif", {"SOURCES": "judgement: made up"})
    assert again.read_bytes() == path.read_bytes()


def test_a_file_that_cannot_be_written_is_named(layer: Layer, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="cannot be written"):
        layer.to_geotiff(tmp_path / "nowhere" / "things.tif")


def test_without_xarray_it_is_said_how_to_get_it(layer: Layer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "xarray", None)
    with pytest.raises(InputError, match=r"hushwalk\[xarray\]"):
        layer.to_xarray()
