import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.outputs.kit.contours import contour_interval, contours, label_place

GRID = Grid(32615, 500000.0, 5200000.0, 10.0, 60, 80)


def cone() -> Layer:
    rows, cols = np.indices(GRID.shape)
    xy = GRID.xy(rows.ravel(), cols.ravel())
    away = np.hypot(xy[:, 0] - 500400, xy[:, 1] - 5199700).reshape(GRID.shape)
    return Layer("elevation", "m", GRID, 500.0 - away / 4)


def test_the_contours_of_a_cone_are_circles() -> None:
    for contour in contours(cone(), 10.0):
        radius = np.hypot(*(contour.line_m - (500400, 5199700)).T)
        if 40 < (500 - contour.height_m) * 4 < 250:
            assert radius == pytest.approx((500 - contour.height_m) * 4, abs=4.0)
            assert contour.index == (contour.height_m % 50 == 0)


def test_flat_or_unknown_ground_has_no_contours() -> None:
    assert contours(Layer("elevation", "m", GRID, np.full(GRID.shape, 400.0)), 5.0) == ()
    assert contours(Layer("elevation", "m", GRID, np.full(GRID.shape, np.nan)), 5.0) == ()


def test_unknown_ground_is_not_drawn_as_a_cliff() -> None:
    values = np.array(cone().values)
    values[:, 40:] = np.nan
    found = contours(Layer("elevation", "m", GRID, values), 10.0)
    assert found
    assert max(float(c.line_m[:, 0].max()) for c in found) <= GRID.west_m + 400
    inner = [c for c in found if 40 < (500 - c.height_m) * 4 < 250]
    for contour in inner:
        assert np.hypot(*(contour.line_m - (500400, 5199700)).T) == pytest.approx((500 - contour.height_m) * 4, abs=6.0)


@pytest.mark.parametrize(("relief_m", "interval_m"), [(30.0, 2.0), (100.0, 5.0), (220.0, 10.0), (900.0, 50.0)])
def test_the_interval_follows_the_relief(relief_m: float, interval_m: float) -> None:
    slope = np.linspace(0, relief_m, GRID.n_cells).reshape(GRID.shape)
    assert contour_interval(Layer("elevation", "m", GRID, slope)) == interval_m


def test_a_label_stands_upright_on_the_straightest_run() -> None:
    bent = np.c_[np.r_[np.linspace(0, 100, 50), np.full(50, 100.0)], np.r_[np.zeros(50), np.linspace(0, 30, 50)]]
    place = label_place(bent[::-1], 40.0)
    assert place is not None
    assert place.angle_deg == pytest.approx(0.0, abs=1.0)
    assert place.xy_m[1] == pytest.approx(0.0, abs=1.0)
    assert label_place(bent[:3], 40.0) is None
