"""Heights at points are gridded, and heights that lie far apart are remarked on."""

from pathlib import Path

import geopandas as gpd
import numpy as np
import pytest
import rasterio
import shapely
from rasterio.transform import from_origin
from tests.unit.site.test_inputs import settings_in
from tests.unit.site.test_partial_cover import grid_of

from hushwalk.errors import InputError
from hushwalk.site.inputs import Inputs, read_inputs
from hushwalk.site.settings import LayerSettings

FOOT_M = 0.3048  # the international foot


def write_points(folder: Path, feet: bool, apart_m: float = 40.0, **more: list[float]) -> None:
    """Write heights of a plane that rises 1 m in 10 to the east, and 1 m in 20 to the north."""
    west, south, east, north = grid_of(folder).bounds
    x, y = np.meshgrid(np.arange(west - 200, east + 200, apart_m), np.arange(south - 200, north + 200, apart_m))
    height = 300 + (x.ravel() - west) / 10 + (y.ravel() - south) / 20
    table = {"Elevation": height / FOOT_M if feet else height, **more}
    points = gpd.GeoDataFrame({**table, "geometry": shapely.points(x.ravel(), y.ravel())}, crs=grid_of(folder).crs)
    points.to_file(folder / "spots.gpkg")


def read(folder: Path, **more: object) -> Inputs:
    settings = settings_in(folder, LayerSettings("elevation", "spots.gpkg", **more))  # type: ignore[arg-type]
    return read_inputs(settings, grid_of(folder))


@pytest.mark.parametrize("feet", [False, True])
def test_points_of_a_plane_give_the_plane(tmp_path: Path, feet: bool) -> None:
    write_points(tmp_path, feet)
    got = read(tmp_path, unit="ft" if feet else "m")
    grid = got.grid
    rows, cols = np.indices(grid.shape)
    xy = grid.xy(rows.ravel(), cols.ravel())
    plane = 300 + (xy[:, 0] - grid.bounds[0]) / 10 + (xy[:, 1] - grid.bounds[1]) / 20
    np.testing.assert_allclose(got.elevation.values.ravel(), plane, atol=0.01)
    assert any("were gridded: linear between them" in words for words in got.notices)
    assert not any("show no hollow" in words for words in got.notices)


def test_feet_that_are_not_said_are_asked_for_and_far_points_are_remarked_on(tmp_path: Path) -> None:
    write_points(tmp_path, feet=False, apart_m=90.0)
    said = "\n".join(read(tmp_path).notices)
    assert 'taken as metres; give unit = "ft" if they are feet' in said
    assert "show no hollow, bank or ledge smaller than that" in said


def test_points_without_a_field_of_heights_are_refused_with_their_fields(tmp_path: Path) -> None:
    write_points(tmp_path, feet=False)
    points = gpd.read_file(tmp_path / "spots.gpkg").rename(columns={"Elevation": "reading"})
    points.to_file(tmp_path / "spots.gpkg")
    with pytest.raises(InputError, match=r'name the field with field = "..." \(reading\)'):
        read(tmp_path)
    assert np.isfinite(read(tmp_path, field="reading").elevation.values).all()


def test_points_in_one_line_make_no_surface(tmp_path: Path) -> None:
    west, south, _, _ = grid_of(tmp_path).bounds
    line = shapely.points(np.arange(20) * 20 + west, np.full(20, south + 100))
    gpd.GeoDataFrame({"z": np.arange(20.0), "geometry": line}, crs=grid_of(tmp_path).crs).to_file(
        tmp_path / "spots.gpkg"
    )
    with pytest.raises(InputError, match="in one line"):
        read(tmp_path)


@pytest.mark.parametrize(("cell_m", "coarse"), [(30.0, False), (100.0, True)])
def test_a_coarse_raster_of_heights_is_a_remark_with_its_consequence(
    tmp_path: Path, cell_m: float, coarse: bool
) -> None:
    west, _, _, north = grid_of(tmp_path).bounds
    profile = {"driver": "GTiff", "height": 40, "width": 40, "count": 1, "dtype": "float32"}
    corner = from_origin(west - 5 * cell_m, north + 5 * cell_m, cell_m, cell_m)
    with rasterio.open(tmp_path / "dem.tif", "w", crs=grid_of(tmp_path).crs, transform=corner, **profile) as file:
        file.write(np.arange(1600, dtype=np.float32).reshape(40, 40), 1)
    said = "\n".join(read_inputs(settings_in(tmp_path), grid_of(tmp_path)).notices)
    assert ("heights every 100 m show no hollow" in said) == coarse
