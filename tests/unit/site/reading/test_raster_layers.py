"""Numbers of raster files: lattices that are shared, and class codes that become kinds."""

from pathlib import Path

import numpy as np
import pytest
import rasterio
from affine import Affine

from hushwalk.errors import InputError
from hushwalk.files.paths import Address
from hushwalk.files.rasters import RasterFile
from hushwalk.grid.grid import Grid
from hushwalk.site.reading.cover import crosswalk, legends, to_kinds
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layer_values import kinds_by_table
from hushwalk.site.reading.raster_layers import open_raster, shared_corner
from hushwalk.site.settings import LayerSettings

GRID = Grid(32615, 500_000.0, 5_200_000.0, 30.0, 40, 50)


def raster(west: float, north: float, cell_m: float = 30.0, crs: str = "EPSG:32615", **more: object) -> RasterFile:
    said = {
        "address": Address("x", "x"),
        "band": 1,
        "bands": 1,
        "crs": crs,
        "transform": Affine(cell_m, 0, west, 0, -cell_m, north),
        "width": 100,
        "height": 100,
        "nodata": None,
        "kind": "uint8",
        "unit": "",
        "name": "",
        "palette": False,
        "picture": False,
        "scale": 1.0,
        "offset": 0.0,
        "overviews": False,
    }
    return RasterFile(**{**said, **more})  # type: ignore[arg-type]


@pytest.mark.parametrize("legend", sorted(legends()))
def test_every_class_becomes_the_kind_it_becomes_on_a_trip(legend: str) -> None:
    walk = crosswalk(legend)
    codes = np.array(sorted(walk.kinds))
    turned = kinds_by_table(walk, "layer 1", "cover.tif", None)
    kind = np.uint8 if codes.min() >= 0 and codes.max() < 256 else np.int32
    np.testing.assert_array_equal(turned(codes.astype(kind)), to_kinds(codes, walk, "cover.tif"))


def test_unknown_classes_are_named_and_nodata_is_not() -> None:
    turned = kinds_by_table(crosswalk("nlcd"), "layer cover", "cover.tif", 17.0)
    assert turned(np.array([17, 41, 255, 0], dtype=np.uint8)).tolist() == [
        0,
        to_kinds([41], crosswalk("nlcd"), "")[0],
        0,
        0,
    ]
    with pytest.raises(InputError, match="holds class 99"):
        turned(np.array([41, 99], dtype=np.uint8))
    with pytest.raises(InputError, match="holds class 70000"):
        turned(np.array([41, 70_000], dtype=np.int32))


def test_a_lattice_is_shared_only_where_cells_lie_on_cells() -> None:
    assert shared_corner(raster(499_970.0, 5_200_060.0), GRID) == (2, 1)
    assert shared_corner(raster(499_980.0, 5_200_060.0), GRID) is None
    assert shared_corner(raster(499_970.0, 5_200_060.0, crs="EPSG:32616"), GRID) is None
    assert shared_corner(raster(499_970.0, 5_200_060.0, cell_m=10.0), GRID) is None
    assert shared_corner(raster(500_030.0, 5_200_060.0), GRID) is None  # it does not cover the region


@pytest.mark.parametrize("shift_m", [0.0, 7.0])
def test_heights_that_cannot_be_meant_are_refused_and_sentinels_hidden(tmp_path: Path, shift_m: float) -> None:
    values = np.full((40, 50), 300.0, dtype=np.float32)
    values[2, 2:4] = -1.0, -9999.0
    lattice = Affine(30.0, 0, GRID.west_m - shift_m, 0, -30.0, GRID.north_m + shift_m)
    profile = {"driver": "GTiff", "width": 50, "height": 40, "count": 1, "dtype": "float32", "crs": GRID.crs}
    for name, odd in (("dem.tif", -9999.0), ("bad.tif", 12_345.0)):
        values[2, 3] = odd
        with rasterio.open(tmp_path / name, "w", transform=lattice, nodata=-1.0, **profile) as out:
            out.write(values, 1)
    where = Georeference(GRID, tmp_path, network=False)
    layer = open_raster(LayerSettings("elevation", "dem.tif"), "layer 2", where, 2027)
    assert (layer.corner is not None) == (shift_m == 0)
    read = layer.read(where, (0, 0, *GRID.shape))
    assert np.isnan(read[2, 2:4]).all() == (shift_m == 0)
    assert np.nanmin(read) == np.nanmax(read) == 300.0
    with pytest.raises(InputError, match="are these feet"):
        open_raster(LayerSettings("elevation", "bad.tif"), "layer 2", where, 2027).read(where, (0, 0, *GRID.shape))
