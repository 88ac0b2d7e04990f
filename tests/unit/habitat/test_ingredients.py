import numpy as np
import pytest
from scipy.spatial import cKDTree
from scipy.stats import entropy

from hushwalk.errors import GridMismatchError, InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.ingredients import (
    cover_quality,
    mixture,
    share_of_kinds,
    slope_position,
    water_edge,
    where_kinds,
    wide_mean,
)

GRID = Grid(32615, 0.0, 0.0, 10.0, 30, 40)
RNG = np.random.default_rng(4)
CODES = RNG.choice([1.0, 2.0, 3.0, np.nan], GRID.shape, p=[0.4, 0.3, 0.2, 0.1])
COVER = Layer("cover", "class", GRID, CODES)


def near(row: int, col: int, radius_m: float) -> np.ndarray:
    rows, cols = np.indices(GRID.shape)
    return np.hypot(rows - row, cols - col) * GRID.cell_m <= radius_m + 1e-9


def test_quality_by_kind_takes_the_best_where_the_age_is_known() -> None:
    age = Layer("age", "a", GRID, np.where(np.arange(40) < 20, 8.0, np.nan) + np.zeros(GRID.shape))
    got = cover_quality(COVER, {1: 0.5, 2: 0.7}, {1: 0.9}, age).values
    young = np.zeros(GRID.shape, dtype=bool)
    young[:, :20] = True
    assert (got[(CODES == 1) & young] == 0.9).all()
    assert (got[(CODES == 1) & ~young] == 0.5).all()
    assert (got[CODES == 2] == 0.7).all()
    assert np.isnan(got[(CODES == 3) | np.isnan(CODES)]).all()
    with pytest.raises(GridMismatchError):
        cover_quality(COVER, {1: 0.5}, {1: 0.5}, Layer("age", "a", Grid(32615, 0, 9, 10, 30, 40), CODES))


def test_a_measure_is_kept_on_some_kinds_only() -> None:
    kept = where_kinds(Layer("age", "a", GRID, np.ones(GRID.shape)), COVER, frozenset({2, 3}))
    assert (np.isfinite(kept.values) == np.isin(CODES, [2, 3])).all()


@pytest.mark.parametrize("cell", [(0, 0), (14, 20), (29, 39)])
def test_a_share_leaves_out_what_is_no_land(cell: tuple[int, int]) -> None:
    got = share_of_kinds(COVER, {1: 1.0, 2: 0.25}, 60.0, "wood").values
    disc = near(*cell, 60.0)
    ones, twos = (CODES[disc] == 1).sum(), (CODES[disc] == 2).sum()
    assert got[cell] == pytest.approx((ones + 0.25 * twos) / (ones + twos))
    whole = share_of_kinds(COVER, {1: 0.0, 2: 0.0}, 60.0, "wood", CODES == 2).values
    assert whole[cell] == pytest.approx(twos / (ones + twos))


@pytest.mark.parametrize("cell", [(0, 5), (14, 20)])
def test_mixture_is_the_evenness_that_scipy_gives(cell: tuple[int, int]) -> None:
    got = mixture(COVER, {1: "wood", 2: "bush", 3: "bush", 9: ""}, 80.0).values
    disc = CODES[near(*cell, 80.0)]
    counts = [(disc == 1).sum(), ((disc == 2) | (disc == 3)).sum()]
    assert got[cell] == pytest.approx(entropy(counts) / np.log(2))
    with pytest.raises(InputError, match="two groups"):
        mixture(COVER, {1: "wood"}, 80.0)


def test_one_kind_alone_is_no_mixture_and_equal_parts_are_all() -> None:
    plain = mixture(Layer("cover", "class", GRID, np.ones(GRID.shape)), {1: "a", 2: "b"}, 50.0)
    assert plain.values == pytest.approx(np.zeros(GRID.shape), abs=1e-12)
    halves = Layer("cover", "class", GRID, np.indices(GRID.shape).sum(axis=0) % 2 + 1.0)
    assert mixture(halves, {1: "a", 2: "b"}, 1e4).values == pytest.approx(np.ones(GRID.shape))


def test_distance_to_any_water() -> None:
    marks = RNG.random((2, *GRID.shape)) < 0.004
    rows, cols = np.nonzero(marks.any(axis=0))
    tree = cKDTree(GRID.xy(rows, cols))
    every = GRID.xy(*(index.ravel() for index in np.indices(GRID.shape)))
    assert water_edge(COVER, marks[0], marks[1]).values.ravel() == pytest.approx(tree.query(every)[0])
    dry = water_edge(COVER, np.zeros(GRID.shape, dtype=bool))
    assert (dry.values == np.hypot(300.0, 400.0)).all()


def test_position_on_a_plane_runs_from_bottom_to_top_of_what_is_near() -> None:
    east = np.indices(GRID.shape)[1] * 3.0
    middle = slope_position(Layer("elevation", "m", GRID, east), 50.0).values[:, 5:-5]
    assert middle == pytest.approx(np.full(middle.shape, 0.5))
    assert slope_position(Layer("elevation", "m", GRID, east), 50.0).values[3, 0] == 0.0
    assert np.isnan(slope_position(Layer("elevation", "m", GRID, np.ones(GRID.shape)), 50.0).values).all()


def test_a_hilltop_is_on_top_and_unknown_ground_is_unknown() -> None:
    rows, cols = np.indices(GRID.shape)
    hill = -np.hypot(rows - 15.0, cols - 20.0)
    hill[15, 25] = np.nan
    position = slope_position(Layer("elevation", "m", GRID, hill), 100.0).values
    assert position[15, 20] == 1.0
    assert np.isnan(position[15, 25])
    assert np.isfinite(position[15, 24])


def test_wide_discs_on_coarse_cells_agree_with_the_disc_itself() -> None:
    grid = Grid(32615, 0.0, 0.0, 5.0, 201, 223)
    values = np.where(RNG.random(grid.shape) < 0.1, np.nan, np.add.outer(np.arange(201), np.arange(223)) / 424)
    rows, cols = np.indices(grid.shape)
    for row, col in ((100, 111), (0, 0), (200, 30)):
        disc = np.hypot(rows - row, cols - col) * 5.0 <= 400.0
        got = wide_mean(Layer("tilt", "1", grid, values), 400.0)[row, col]
        assert got == pytest.approx(np.nanmean(values[disc]), abs=0.01)
