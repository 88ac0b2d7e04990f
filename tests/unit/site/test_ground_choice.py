"""The grid of a trip: zone, square, whole hundreds of metres, and not more cells than a laptop holds."""

import re
from datetime import date, time

import pytest

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_metres
from hushwalk.site.grid_choice import check_memory, choose_grid, memory_mb
from hushwalk.site.settings import GroundSettings, LayerSettings, MorningSettings, PlaceSettings, TripSettings


def grid(lon: float, lat: float, **ground: float) -> Grid:
    settings = TripSettings(
        PlaceSettings("x", ""),
        MorningSettings(date(2027, 4, 25), time(9, 30), "UTC"),
        (LayerSettings("elevation", "a.tif"),),
        ground=GroundSettings(**ground),  # type: ignore[arg-type]
    )
    return choose_grid(settings, (lon, lat))


@pytest.mark.parametrize(
    ("lon", "lat", "epsg"),
    [
        (-92.1, 46.79, 32615),
        (-89.9999, 46.0, 32616),
        (-90.0001, 46.0, 32615),
        (170.5, -45.9, 32759),
        (25.0, 68.0, 32635),
    ],
)
def test_the_zone_is_that_of_the_car_on_either_side_of_a_seam_and_of_the_equator(
    lon: float, lat: float, epsg: int
) -> None:
    # zones by the definition of UTM: 6 degrees wide, zone 1 from 180 W
    assert grid(lon, lat).epsg == epsg


@pytest.mark.parametrize("cell_m", [2.0, 10.0, 30.0, 100.0])
@pytest.mark.parametrize("reach_m", [300.0, 2500.0, 2501.0])
def test_the_square_holds_the_reach_and_hardly_more(cell_m: float, reach_m: float) -> None:
    made = grid(-92.1, 46.79, cell_m=cell_m, reach_m=reach_m)
    east, north = to_metres(32615, [-92.1, 46.79])
    west_m, south_m, east_m, north_m = made.bounds
    for low, middle, high in ((west_m, east, east_m), (south_m, north, north_m)):
        assert 0 <= middle - reach_m - low < 100 + cell_m
        assert 0 <= high - middle - reach_m < 100 + cell_m
    assert west_m % 100 == 0
    assert north_m % 100 == 0


def test_there_is_no_ground_at_the_pole() -> None:
    with pytest.raises(PlaceError, match="UTM"):
        grid(0.0, 88.0)


def test_forty_kilometres_at_ten_metres_are_refused_with_what_to_change_and_that_works() -> None:
    wide = grid(-92.1, 46.79, cell_m=10.0, reach_m=20_000.0)
    with pytest.raises(SettingsError, match=r"takes about 2[34]\.\d GB of memory") as caught:
        check_memory(wide)
    cell_m, reach_m = (float(word) for word in re.findall(r"to (\d+) or", str(caught.value)))
    for changed in ({"cell_m": cell_m, "reach_m": 20_000.0}, {"cell_m": 10.0, "reach_m": reach_m}):
        made = grid(-92.1, 46.79, **changed)
        check_memory(made)
        assert 3000 < memory_mb(made.n_cells) <= 4000
