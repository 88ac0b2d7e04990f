"""What a raster and a vector file say of themselves, and pieces of them; faults live in the gallery."""

from pathlib import Path

import numpy as np
import pyogrio
import pytest
import rasterio
import shapely
from affine import Affine

from hushwalk.errors import InputError
from hushwalk.files.paths import RASTER_ENDINGS, Address, find
from hushwalk.files.rasters import look_at_raster, read_classes, read_measure, window_of
from hushwalk.files.vectors import clean, look_at_vector, read_shapes
from hushwalk.grid.align import NO_CLASS
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import Box, transformer

LATTICE = Affine(10, 0, 600_000, 0, -10, 5_200_000)


def write(path: Path, values: np.ndarray, **more: object) -> Address:
    profile = {
        "driver": "GTiff",
        "height": values.shape[0],
        "width": values.shape[1],
        "count": 1,
        "dtype": values.dtype,
    }
    with rasterio.open(path, "w", crs="EPSG:32615", transform=LATTICE, **(profile | more)) as file:
        file.write(values, 1)
        file.set_band_description(1, "height")
        file.set_band_unit(1, "metre")
    return Address(str(path), path.name)


def test_only_the_asked_piece_is_read(tmp_path: Path) -> None:
    values = np.arange(10_000, dtype=np.float32).reshape(100, 100)
    file = look_at_raster(write(tmp_path / "a.tif", values), "layer 1")
    assert (file.name, file.unit, file.bands, file.turned) == ("height", "metre", 1, False)
    assert file.box == Box(600_000, 5_199_000, 601_000, 5_200_000)
    window = window_of(file, Box(600_500, 5_199_500, 600_600, 5_199_600))
    assert window is not None
    patch = read_measure(file, window, "layer 1")
    assert patch.values.shape == (14, 14)  # ten cells and two on each side
    np.testing.assert_array_equal(patch.values, values[38:52, 48:62])
    assert patch.transform @ (0, 0) == (600_480, 5_199_620)


def test_a_box_beside_the_raster_has_no_window(tmp_path: Path) -> None:
    file = look_at_raster(write(tmp_path / "a.tif", np.zeros((9, 9), dtype=np.float32)), "layer 1")
    assert window_of(file, Box(700_000, 5_100_000, 700_100, 5_100_100)) is None


def test_blocks_are_read_as_their_mean(tmp_path: Path) -> None:
    values = np.random.default_rng(0).normal(0, 1, (100, 100)).astype(np.float32)
    file = look_at_raster(write(tmp_path / "a.tif", values), "layer 1")
    window = window_of(file, file.box)
    assert window is not None
    patch = read_measure(file, window, "layer 1", step=4)
    np.testing.assert_allclose(patch.values, values.reshape(25, 4, 25, 4).mean(axis=(1, 3)), atol=1e-5)
    assert patch.transform.a == 40


def test_scale_and_offset_of_the_file_are_used(tmp_path: Path) -> None:
    path = tmp_path / "a.tif"
    address = write(path, np.full((5, 5), 100, dtype=np.uint8), nodata=255)
    with rasterio.open(path, "r+") as file:
        file.scales, file.offsets = (0.5,), (300.0,)
    found = look_at_raster(address, "layer 1")
    window = window_of(found, found.box)
    assert window is not None
    np.testing.assert_allclose(read_measure(found, window, "layer 1").values, 350.0)


@pytest.mark.parametrize("kind", ["uint8", "int16", "uint16", "int32", "float32"])
def test_classes_are_whole_numbers_of_any_stored_type(tmp_path: Path, kind: str) -> None:
    values = np.array([[11, 41], [90, 200]], dtype=kind)
    file = look_at_raster(write(tmp_path / "a.tif", values, nodata=200), "layer 1")
    window = window_of(file, file.box)
    assert window is not None
    assert read_classes(file, window, "layer 1").values.tolist() == [[11, 41], [90, NO_CLASS]]


def test_a_huge_single_block_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "a.tif"
    profile = {"driver": "GTiff", "width": 20_000, "height": 20_000, "count": 1, "dtype": "float32", "sparse_ok": True}
    with rasterio.open(
        path, "w", crs="EPSG:32615", transform=LATTICE, blockysize=20_000, compress="deflate", **profile
    ):
        pass
    with pytest.raises(InputError, match="in one block"):
        look_at_raster(Address(str(path), "a.tif"), "layer 1")


def test_variables_of_one_file_are_chosen_by_name(tmp_path: Path) -> None:
    for name in ("dem", "veg"):
        more = {} if name == "dem" else {"APPEND_SUBDATASET": "YES"}
        write(tmp_path / "all.gpkg", np.full((5, 5), 7, dtype=np.uint8), driver="GPKG", RASTER_TABLE=name, **more)
    address = find("all.gpkg", tmp_path, "layer 1", RASTER_ENDINGS)
    assert look_at_raster(address, "layer 1", layer="veg").width == 5
    with pytest.raises(InputError, match="holds the layers dem, veg"):
        look_at_raster(address, "layer 1", layer="soil")


def test_the_antimeridian_is_crossed_in_two_boxes(tmp_path: Path) -> None:
    west, east = (
        shapely.LineString([(179.9, 52), (179.99, 52.01)]),
        shapely.LineString([(-179.99, 52), (-179.9, 52.01)]),
    )
    other = shapely.LineString([(0, 52), (1, 52)])
    path = tmp_path / "a.fgb"
    wkb = np.array([shapely.to_wkb(line) for line in (west, east, other)], dtype=object)
    pyogrio.raw.write(path, wkb, [np.arange(3)], ["n"], geometry_type="LineString", crs="EPSG:4326")
    file = look_at_vector(Address(str(path), "a.fgb"), "layer 1")
    shapes = read_shapes(file, (Box(179.8, 51.9, 180, 52.1), Box(-180, 51.9, -179.8, 52.1)), "layer 1")
    assert shapes.columns["n"].tolist() == [0, 1]
    grid = Grid(32601, 280_000.0, 5_790_000.0, 100.0, 400, 400)
    found = clean(shapes, ["line"], transformer("EPSG:4326", "EPSG:32601", 180.0, 52.0), grid)
    assert len(found.singles) == 2
    assert found.faults == ()
    assert found.lost == 0
    assert max(line.length for line, _ in found.singles) < 10_000


def test_a_layer_of_many_features_is_read_by_its_boxes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.gpkg"
    points = [shapely.LineString([(k, 0), (k + 0.5, 1)]) for k in range(300)]
    wkb = np.array([shapely.to_wkb(p) for p in points], dtype=object)
    pyogrio.raw.write(path, wkb, [np.arange(300)], ["n"], geometry_type="LineString", crs="EPSG:32615")
    file = look_at_vector(Address(str(path), "a.gpkg"), "layer 1")
    whole = read_shapes(file, (Box(10.6, 0, 20.6, 2),), "layer 1").columns["n"]
    monkeypatch.setattr("hushwalk.files.vectors.FEW_FEATURES", 10)
    assert (
        read_shapes(file, (Box(10.6, 0, 20.6, 2),), "layer 1").columns["n"].tolist()
        == whole.tolist()
        == [*range(11, 21)]
    )
    monkeypatch.setattr("hushwalk.files.vectors.MOST_FEATURES", 5)
    with pytest.raises(InputError, match="over 5 features"):
        read_shapes(file, (Box(10.6, 0, 20.6, 2),), "layer 1")
