import numpy as np
import pytest
from scipy.spatial.distance import pdist

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import DensityParams, density
from hushwalk.habitat.patches import PatchParams, fit_territories, patches

GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 40, 60)
MALES = DensityParams(10.0, 1.0, 1.0, 0.7, 0.4)
PARAMS = PatchParams(good_from=0.5, least_ha=1.0, edge_m=30.0, spacing_m=100.0)


def ground() -> Layer:
    values = np.zeros(GRID.shape)
    values[5:25, 5:25] = 0.6  # a square of 4 ha
    values[25:35, 25:45] = 0.9  # touches its corner: 2 ha more
    values[0:3, 50:53] = 1.0  # too small
    values[30:34, 0:4] = np.nan
    return Layer("suitability", "1", GRID, values)


def test_corners_connect_and_small_pieces_are_left_out() -> None:
    found = patches(ground(), density(ground(), MALES), PARAMS)
    assert len(found.patches) == 1
    assert found.patches[0].area_ha == pytest.approx(6.0)
    assert np.count_nonzero(found.numbers.values == 1) == 600
    assert np.isnan(found.numbers.values[1, 51])


def test_size_core_rim_and_shape_of_a_square() -> None:
    values = np.zeros(GRID.shape)
    values[10:30, 20:40] = 0.8
    square = Layer("suitability", "1", GRID, values)
    (patch,) = patches(square, density(square, MALES), PARAMS).patches
    assert (patch.area_ha, patch.rim_m, patch.shape) == (4.0, 800.0, 1.0)
    assert patch.core_ha == pytest.approx(14 * 14 * 0.01)  # 30 m in from every side, centres farther than that
    assert patch.suitability == pytest.approx(0.8)
    assert patch.males == pytest.approx(8.0 * 0.04)
    assert patch.males_low < patch.males < patch.males_high
    assert patch.centre_m == pytest.approx((500_300.0, 5_199_800.0))


def test_the_patch_with_the_most_males_comes_first() -> None:
    values = np.zeros(GRID.shape)
    values[2:14, 2:22] = 0.5
    values[20:36, 30:46] = 1.0
    two = Layer("suitability", "1", GRID, values)
    found = patches(two, density(two, MALES), PARAMS)
    assert [p.number for p in found.patches] == [1, 2]
    assert found.patches[0].males > found.patches[1].males
    assert found.numbers.values[25, 35] == 1
    assert found.numbers.values[5, 5] == 2


def test_territories_keep_their_distance_and_fill_the_ground() -> None:
    worth = np.random.default_rng(3).random(GRID.shape)
    centres = fit_territories(worth, GRID, 100.0)
    assert pdist(centres).min() >= 100.0
    rows, cols = np.indices(GRID.shape)
    every = GRID.xy(rows.ravel(), cols.ravel())
    reach = np.min(np.hypot(*(every[:, None] - centres[None]).transpose(2, 0, 1)), axis=1)
    assert reach.max() < 100.0  # none is left out that would still fit
    assert worth[GRID.rowcol(centres[:1])] == worth.max()


def test_no_ground_no_territory() -> None:
    assert fit_territories(np.full(GRID.shape, np.nan), GRID, 100.0).shape == (0, 2)
    bare = Layer("suitability", "1", GRID, np.zeros(GRID.shape))
    assert patches(bare, density(bare, MALES), PARAMS).patches == ()


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(SettingsError, match="spacing_m > 0"):
        PatchParams(0.5, 1.0, 10.0, 0.0)
