import numpy as np
import pytest
import shapely

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.graph import GraphParams, WalkGraph, build_graph, in_the_dark
from hushwalk.walking.ground import build_ground
from hushwalk.walking.shortest_paths import walking_time_from

GRID = Grid(32615, 0.0, 400.0, 10.0, 40, 40)
TRAIL = shapely.LineString([(5.0, 205.0), (395.0, 205.0)])


def graph(**given: object) -> WalkGraph:
    ground = build_ground(Layer("elevation", "m", GRID, np.zeros(GRID.shape)), **given)  # type: ignore[arg-type]
    return build_graph(ground, gait_named("irmischer_clarke_off_path"))


def test_a_trail_is_quicker_than_the_woods_and_draws_the_walk() -> None:
    off = walking_time_from(graph(), (15.0, 205.0)).at(np.array([[385.0, 205.0]]))
    on = walking_time_from(graph(trails=[TRAIL]), (15.0, 205.0)).at(np.array([[385.0, 205.0]]))
    assert off[0] == pytest.approx(370 / 0.7785, rel=1e-3)  # both speeds from the reference notes
    assert on[0] == pytest.approx(370 / 1.0962, rel=1e-3)


def test_open_water_is_walked_round_and_an_island_is_not_reached() -> None:
    water = np.zeros(GRID.shape, dtype=bool)
    water[10:30, 10:30] = True
    water[18:22, 18:22] = False
    times = walking_time_from(graph(water=water), (55.0, 200.0))
    assert np.isnan(times.values[18:30, 10:30]).all()
    assert np.isfinite(times.values[:10]).all()


def test_a_limit_leaves_far_cells_out() -> None:
    times = walking_time_from(graph(), (5.0, 395.0), limit_s=100.0)
    assert np.nanmax(times.values) <= 100.0
    assert np.isnan(times.values[39, 39])
    assert times.values[0, 0] == 0.0


def test_the_dark_slows_by_the_published_factors() -> None:
    day = graph(trails=[TRAIL])
    dark = in_the_dark(day, off_trail=True)
    far = np.array([[385.0, 205.0]])
    shares = walking_time_from(day, (15.0, 205.0)).at(far) / walking_time_from(dark, (15.0, 205.0)).at(far)
    assert shares[0] == pytest.approx(0.8, abs=1e-6)
    woods = np.array([[205.0, 385.0]])
    share = walking_time_from(graph(), (205.0, 15.0)).at(woods) / walking_time_from(
        in_the_dark(graph(), off_trail=True), (205.0, 15.0)
    ).at(woods)
    assert share[0] == pytest.approx(0.67, abs=1e-6)


def test_in_the_dark_only_trails_and_their_sides_are_left() -> None:
    dark = in_the_dark(graph(trails=[TRAIL]), off_trail=False, trailside_m=30.0)
    reached = np.isfinite(walking_time_from(dark, (15.0, 205.0)).values)
    assert np.array_equal(np.flatnonzero(reached.any(axis=1)), [16, 17, 18, 19, 20, 21, 22])
    none = in_the_dark(graph(), off_trail=False)
    assert not none.allowed.any()


def test_trailside_must_not_be_negative() -> None:
    with pytest.raises(SettingsError, match="trailside_m"):
        in_the_dark(graph(), off_trail=False, trailside_m=-1.0)


def test_a_place_deep_in_water_is_named_and_one_at_its_edge_is_moved_ashore() -> None:
    water = np.zeros(GRID.shape, dtype=bool)
    water[10:30, 10:30] = True
    wet = graph(water=water)
    with pytest.raises(PlaceError, match="the car at E 205 N 205 lies in open water"):
        wet.node_at((205.0, 205.0), "the car")
    assert wet.node_xy([wet.node_at((105.0, 205.0), "the car")])[0].tolist() == [95.0, 205.0]
    with pytest.raises(PlaceError, match="outside the ground"):
        wet.node_at((-5.0, 205.0), "the car")


def test_a_car_on_a_bridge_stands_on_the_road() -> None:
    water = np.zeros(GRID.shape, dtype=bool)
    water[:, 15:25] = True
    bridged = graph(water=water, roads=[TRAIL])
    node = bridged.node_at((203.0, 206.0), "the car")
    assert node >= bridged.n_cells
    assert np.hypot(*(bridged.node_xy([node])[0] - [203.0, 206.0])) < 6.0


@pytest.mark.parametrize("neighbours", [8, 16, 32])
def test_more_neighbours_never_make_a_walk_longer(neighbours: int) -> None:
    ground = build_ground(Layer("elevation", "m", GRID, np.zeros(GRID.shape)))
    built = build_graph(ground, gait_named("rees"), GraphParams(neighbours=neighbours))
    reached = walking_time_from(built, (5.0, 395.0)).values
    straight_s = 10 * np.hypot(*np.indices(GRID.shape)) * 0.75 / 0.6  # 0.75 s/m on the flat, slowed off trails
    worst, _ = built.moves.elongation
    inner = straight_s > 0
    assert np.all(reached[inner] >= straight_s[inner] * (1 - 1e-6))
    assert np.all(reached[inner] <= straight_s[inner] * (1 + worst + 1e-6))


def test_a_car_in_a_yard_goes_to_its_street_and_one_deep_in_a_town_without_streets_is_named() -> None:
    houses = np.ones(GRID.shape, dtype=bool)
    street = graph(bars={"houses": houses}, roads=[TRAIL])
    node = street.node_at((203.0, 256.0), "the car")
    assert node >= street.n_cells
    assert np.isinf(street.seconds).all()  # nobody leaves the street
    with pytest.raises(PlaceError, match="lies in ground beside houses"):
        graph(bars={"houses": houses}).node_at((203.0, 256.0), "the car")


def test_the_strip_of_a_motorway_parts_the_ground_and_a_street_joins_it() -> None:
    strip = np.zeros(GRID.shape, dtype=bool)
    strip[:, 18:22] = True
    shut = walking_time_from(graph(bars={"motorway": strip}), (105.0, 205.0)).values
    assert np.isnan(shut[:, 22:]).all()
    crossed = walking_time_from(graph(bars={"motorway": strip}, roads=[TRAIL]), (105.0, 205.0)).values
    assert np.isfinite(crossed[:, 22:]).all()
