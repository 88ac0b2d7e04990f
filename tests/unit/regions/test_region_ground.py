"""The ground of a region as drawn: the same suitability that ranking writes, coarser where a screen tells no more.

What is ranked on it is tests/end_to_end/test_areas.py's.
"""

import importlib.util
import tomllib
from pathlib import Path

import numpy as np
import pytest
import rasterio
import shapely

from hushwalk.errors import ElsewhereError
from hushwalk.regions import region_ground as room
from hushwalk.regions.area_trip import place_trip_text
from hushwalk.regions.region_file import read_area_file
from hushwalk.regions.surface import SURFACE, score_region
from hushwalk.regions.window import PARTS, UNKNOWN

_spec = importlib.util.spec_from_file_location("made_region", Path(__file__).parents[2] / "made_region.py")
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)


@pytest.fixture(scope="module")
def region(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made.make_region(tmp_path_factory.mktemp("region"))


def test_the_picture_of_a_small_region_is_what_ranking_writes(region: Path, tmp_path: Path) -> None:
    settings = read_area_file(region / "areas.toml")
    found = room.region_ground(settings)
    score_region(settings, tmp_path)
    with rasterio.open(tmp_path / SURFACE) as file:
        stored = file.read(1).astype(float)
    ranked = np.where(stored == UNKNOWN, np.nan, stored / PARTS)
    np.testing.assert_allclose(found.country.suitability.values, ranked, atol=0.5 / PARTS)
    assert found.grid.cell_m == found.fine_m
    assert len(found.country.roads) == len(found.country.closed) == 1


def test_a_wide_region_is_drawn_on_fewer_cells_with_fewer_corners(
    region: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(room, "MOST_CELLS", 50)
    monkeypatch.setattr(room, "MOST_CORNERS", 4)
    found = room.region_ground(read_area_file(region / "areas.toml"))
    assert max(found.grid.shape) == 50
    assert found.grid.cell_m == 8 * found.fine_m
    assert sum(shapely.get_num_coordinates(found.country.roads)) <= 4
    assert found.grid.contains(np.array([found.middle.xy_m])).all()


def test_a_region_without_heights_is_drawn_by_its_cover(region: Path, tmp_path: Path) -> None:
    head, _, rest = (region / "areas.toml").read_text().partition('[[layer]]\nkind = "elevation"\npath = "dem.tif"\n')
    text = (head + rest).replace('path = "', f'path = "{region.as_posix()}/')
    (tmp_path / "areas.toml").write_text(text)
    found = room.region_ground(read_area_file(tmp_path / "areas.toml"))
    assert not found.country.elevation.known.any()
    assert found.country.suitability.known.mean() > 0.9


def test_a_trip_starts_at_any_place_of_a_region_and_nowhere_else(region: Path) -> None:
    area_file = region / "areas.toml"
    trip = tomllib.loads(place_trip_text(region, (-92.92, 46.93), area_file))
    assert trip["place"]["car"] == "46.930000, -92.920000"
    assert {layer["kind"] for layer in trip["layer"]} >= {"elevation", "cover", "roads"}
    assert trip["morning"]["back_by"].hour == 8
    with pytest.raises(ElsewhereError, match="point at a place of Made country"):
        place_trip_text(region, (-90.0, 46.93), area_file)
