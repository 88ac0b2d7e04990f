"""Numbers of files for wide ground: against the reading of a trip."""

import numpy as np
import pytest
from affine import Affine

from hushwalk.errors import InputError
from hushwalk.files.paths import Address
from hushwalk.files.rasters import RasterFile
from hushwalk.grid.grid import Grid
from hushwalk.regions.tiled_values import kinds_by_table, shared_corner, stored_numbers
from hushwalk.site.cover import crosswalk, legends, to_kinds
from hushwalk.site.raster_layers import Sense

GRID = Grid(32615, 500_000.0, 5_200_000.0, 30.0, 40, 50)


def raster(west: float, north: float, cell_m: float = 30.0, crs: str = "EPSG:32615", **more: object) -> RasterFile:
    told = {
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
    return RasterFile(**{**told, **more})  # type: ignore[arg-type]


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


def test_heights_that_cannot_be_meant_are_refused_and_sentinels_hidden() -> None:
    sense = Sense("measure", -450.0, 9000.0, "are these feet?")
    file = raster(0, 0, nodata=-1.0)
    values = stored_numbers(np.array([[-1.0, 300.0, -9999.0]], dtype=np.float32), file, "layer 2", sense)
    np.testing.assert_array_equal(values, np.array([[np.nan, 300.0, np.nan]], dtype=np.float32))
    with pytest.raises(InputError, match="are these feet"):
        stored_numbers(np.array([[12_345.0]], dtype=np.float32), file, "layer 2", sense)
