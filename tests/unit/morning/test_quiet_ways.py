"""Quiet ways in: off the line, ending 65 m from the ground, on the side that lets one through."""

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.morning.quiet_ways import QuietGround, QuietWay, reach_of_stop, side_stand, way_in
from hushwalk.walking.ground import build_ground
from hushwalk.walking.traveller import on_foot

GRID = Grid(32615, 500_000, 5_200_000, 10, 80, 80)
STOP = np.array([500_405.0, 5_199_405.0])


def ground(
    water: np.ndarray | None = None, density: np.ndarray | None = None, no_stop: np.ndarray | None = None
) -> QuietGround:
    traveller = on_foot("irmischer_clarke_off_path")
    made = build_ground(
        Layer("elevation", "m", GRID, np.full(GRID.shape, 300.0)),
        params=traveller.ground_params,
        water=np.zeros(GRID.shape, bool) if water is None else water,
    )
    males = np.zeros(GRID.shape) if density is None else density
    nowhere = np.zeros(GRID.shape, bool) if no_stop is None else no_stop
    return QuietGround(traveller.network(made), Layer("males", "1/km2", GRID, males), 80.0, nowhere)


def north_m(out_m: float) -> np.ndarray:
    return STOP + np.array([0.0, out_m])


def found_way(country: QuietGround, place: np.ndarray) -> QuietWay:
    found = way_in(country, reach_of_stop(country, STOP), STOP, place)
    assert found is not None
    return found


def distance_m(found: QuietWay, place: np.ndarray) -> np.ndarray:
    return np.hypot(*(found.line_m - place).T)


@pytest.mark.parametrize("out_m", [90.0, 110.0, 150.0, 250.0])
def test_the_way_leaves_35_degrees_off_the_line_and_ends_65_m_from_the_ground(out_m: float) -> None:
    place = north_m(out_m)
    found = found_way(ground(), place)
    assert abs(found.turn_deg) == 35.0
    assert distance_m(found, place)[-1] == pytest.approx(65.0, abs=1.0)
    assert distance_m(found, place).min() > 60.0
    if out_m * np.sin(np.radians(35)) > 65.0:  # it turns in where the ground is nearest: 90 - 35 degrees at the ground
        assert found.crossing_deg == pytest.approx(55.0, abs=0.5)
        assert found.length_m == pytest.approx(out_m * (np.cos(np.radians(35)) + np.sin(np.radians(35))) - 65, rel=0.06)


def test_water_on_one_side_sends_one_in_on_the_other() -> None:
    rows, cols = np.indices(GRID.shape)
    east, west = (cols >= 43) & (rows < 57), (cols <= 38) & (rows < 57)
    assert found_way(ground(east), north_m(180.0)).turn_deg == -35.0
    assert found_way(ground(west), north_m(180.0)).turn_deg == 35.0


def test_nobody_is_sent_to_stand_near_a_house() -> None:
    cols = np.indices(GRID.shape)[1]
    east = cols >= 41
    place = north_m(180.0)
    assert found_way(ground(no_stop=east), place).turn_deg == -35.0
    aside = side_stand(ground(no_stop=east), reach_of_stop(ground(), STOP), STOP, place)
    assert aside is not None
    assert aside.end_m[0] < STOP[0]
    assert way_in(ground(no_stop=np.ones(GRID.shape, bool)), reach_of_stop(ground(), STOP), STOP, place) is None


def test_birds_on_one_side_send_one_in_on_the_other() -> None:
    cols = np.indices(GRID.shape)[1]
    assert found_way(ground(density=np.where(cols > 40, 20.0, 0.0)), north_m(180.0)).turn_deg == -35.0
    assert found_way(ground(density=np.where(cols < 40, 20.0, 0.0)), north_m(180.0)).turn_deg == 35.0


def test_ground_beyond_water_has_no_way_in() -> None:
    rows = np.indices(GRID.shape)[0]
    country = ground((rows > 43) & (rows < 50))
    assert way_in(country, reach_of_stop(country, STOP), STOP, north_m(250.0)) is None


def test_the_side_stand_crosses_well_and_keeps_the_stand_off() -> None:
    for out_m in (100.0, 160.0, 300.0):
        country, place = ground(), north_m(out_m)
        found = side_stand(country, reach_of_stop(country, STOP), STOP, place)
        assert found is not None
        assert 60.0 <= found.crossing_deg <= 90.0
        assert distance_m(found, place).min() >= 75.0
        assert distance_m(found, place)[-1] >= 100.0 - 1


def test_no_side_stand_where_logs_are_likely() -> None:
    country = ground(density=np.full(GRID.shape, 40.0))
    assert side_stand(country, reach_of_stop(country, STOP), STOP, north_m(160.0)) is None
