from dataclasses import replace

import numpy as np
import pytest
import shapely

from hushwalk.errors import NoPlanError, PlaceError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.graph import WalkGraph, build_graph
from hushwalk.walking.ground import build_ground
from hushwalk.walking.times import travel_times

GRID = Grid(32615, 0.0, 600.0, 10.0, 60, 60)
POSTS = np.array([[55.0, 305.0], [305.0, 305.0], [303.0, 522.0]])
TRAIL = shapely.LineString([(55.0, 305.0), (305.0, 305.0)])


def graph(z: np.ndarray | None = None, **given: object) -> WalkGraph:
    heights = np.zeros(GRID.shape) if z is None else z
    ground = build_ground(Layer("elevation", "m", GRID, heights), **given)  # type: ignore[arg-type]
    return build_graph(ground, gait_named("irmischer_clarke_off_path"))


def test_uphill_and_downhill_differ_and_the_diagonal_is_nought() -> None:
    climbs_east = np.indices(GRID.shape)[1] * 2.0
    times = travel_times(graph(climbs_east), POSTS)
    assert times.day_s[0, 1] == pytest.approx(3600 * 50 / 300, rel=1e-3)  # slope 0.2 up: 300 m an hour, din_33466
    assert times.day_s[1, 0] == pytest.approx(250 / 0.6696, rel=1e-3)  # slope 0.2 down
    assert np.all(np.diag(times.day_s) == 0)


def test_the_few_metres_to_a_post_beside_its_cells_middle_count() -> None:
    times = travel_times(graph(), POSTS)
    assert times.day_s[1, 2] > times.day_s[1, 2] - np.hypot(2, 3) / 0.7785 >= 210 / 0.7785
    assert times.path(1, 2).line_m[-1] == pytest.approx(POSTS[2])
    assert times.path(1, 2).graph_seconds == times.day_s[1, 2]


def test_in_the_dark_a_post_off_the_trail_waits_for_light() -> None:
    kept = travel_times(graph(trails=[TRAIL]), POSTS)
    assert np.isfinite(kept.dark_s[:2, :2]).all()
    assert np.isinf(kept.dark_s[2, :2]).all()
    assert np.isinf(kept.dark_s[:2, 2]).all()
    assert kept.dark_s[0, 1] == pytest.approx(kept.day_s[0, 1] / 0.8, rel=1e-6)
    with pytest.raises(NoPlanError, match="in the dark"):
        kept.path(2, 1, dark=True)
    left = travel_times(graph(trails=[TRAIL]), POSTS, off_trail_in_the_dark=True)
    assert left.dark_s[1, 2] == pytest.approx(left.day_s[1, 2] / 0.67, rel=1e-6)
    assert kept.path(0, 1, dark=True).seconds == pytest.approx(250 / 1.0962 / 0.8, rel=1e-3)


def test_a_persons_own_pace_in_the_dark_is_never_quicker_than_by_day() -> None:
    slow, quick = (replace(graph(trails=[TRAIL]), dark_factor=factor) for factor in (1.2, 0.5))
    times = travel_times(slow, POSTS)
    assert times.dark_s[0, 1] == pytest.approx(1.2 * times.day_s[0, 1] / 0.8, rel=1e-6)
    times = travel_times(quick, POSTS)
    assert times.dark_s[0, 1] == pytest.approx(times.day_s[0, 1], rel=1e-6)


def test_a_limit_cuts_what_is_farther() -> None:
    times = travel_times(graph(), POSTS, limit_s=300.0)
    assert np.isinf(times.day_s[0, 1])
    assert times.day_s[1, 2] < 300.0


def test_no_way_and_a_wrong_post_are_told_by_name() -> None:
    water = np.zeros(GRID.shape, dtype=bool)
    water[:, 15:25] = True
    split = graph(water=water)
    times = travel_times(split, POSTS, names=["the car", "P01", "P02"])
    assert np.isinf(times.day_s[0, 1])
    with pytest.raises(NoPlanError, match="from the car to P01 by day"):
        times.path(0, 1)
    with pytest.raises(PlaceError, match="P01 at E 205 N 305 lies in open water"):
        travel_times(split, np.array([[55.0, 305.0], [205.0, 305.0]]), names=["the car", "P01"])


def test_the_way_back_to_the_car_is_a_path_like_any_other() -> None:
    times = travel_times(graph(), POSTS)
    out, back = times.path(0, 2), times.path(2, 0)
    assert back.length_m == pytest.approx(out.length_m)
    assert back.line_m[0] == pytest.approx(POSTS[2])
