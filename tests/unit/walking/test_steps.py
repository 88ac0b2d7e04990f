import numpy as np
import pytest
import shapely

from hushwalk.grid.align import burn
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.cost_field import field_of, pace_table
from hushwalk.walking.ground import GroundParams, build_ground
from hushwalk.walking.moves import moves_of
from hushwalk.walking.steps import add_fords, bar_following, step_seconds

GRID = Grid(32615, 0.0, 60.0, 10.0, 6, 6)
FLAT_S_PER_M = 1 / 0.7785  # Irmischer and Clarke off path, flat, from the reference notes
TABLE = pace_table(gait_named("irmischer_clarke_off_path"))
MOVES = moves_of(16)


def move(row: int, col: int) -> int:
    return MOVES.steps.tolist().index([row, col])


def test_a_move_on_the_flat_takes_its_length_times_the_pace() -> None:
    ground = build_ground(Layer("elevation", "m", GRID, np.zeros(GRID.shape)))
    seconds, shortest, longest = step_seconds(field_of(ground, TABLE, ~ground.blocked), MOVES)
    lengths = 10 * np.hypot(*MOVES.steps.T)
    inner = 2 * GRID.n_cols + 2
    assert seconds[inner] == pytest.approx(lengths * FLAT_S_PER_M, rel=1e-4)
    assert (shortest, longest) == pytest.approx((10 * FLAT_S_PER_M, 10 * np.sqrt(5) * FLAT_S_PER_M), rel=1e-4)


def test_no_move_leaves_the_grid() -> None:
    ground = build_ground(Layer("elevation", "m", GRID, np.zeros(GRID.shape)))
    seconds, *_ = step_seconds(field_of(ground, TABLE, ~ground.blocked), MOVES)
    for cell in range(GRID.n_cells):
        ends = np.array(divmod(cell, GRID.n_cols)) + MOVES.steps
        inside = np.all((ends >= 0) & (ends < 6), axis=1)
        assert np.array_equal(np.isfinite(seconds[cell]), inside)


def test_a_knight_move_feels_the_ridge_between_its_ends() -> None:
    z = np.zeros(GRID.shape)
    z[:, 3] = 8.0
    ground = build_ground(Layer("elevation", "m", GRID, z), params=GroundParams(cliff_deg=80.0))
    seconds, *_ = step_seconds(field_of(ground, TABLE, ~ground.blocked), MOVES)
    part_m = 5 * np.sqrt(5)
    gait = gait_named("irmischer_clarke_off_path")
    up, down = gait.off_path_seconds_per_metre([8 / part_m, -8 / part_m])
    assert seconds[2 * 6 + 2, move(1, 2)] == pytest.approx(part_m * (up + down), rel=1e-4)


def test_a_ford_is_added_to_the_moves_that_cross_and_to_no_other() -> None:
    stream = shapely.LineString([(-1.0, 32.0), (61.0, 32.0)])  # between rows 2 and 3
    params = GroundParams(ford_s=100.0)
    ground = build_ground(Layer("elevation", "m", GRID, np.zeros(GRID.shape)), streams=[stream], params=params)
    land = field_of(ground, TABLE, ~ground.blocked)
    dry, *_ = step_seconds(land, MOVES)
    wet = dry.copy()
    longest = add_fords(ground, land, MOVES, wet)
    rows = np.arange(GRID.n_cells)[:, None] // 6
    ends = rows + MOVES.steps[:, 0]
    crosses = ((rows <= 2) & (ends >= 3)) | ((rows >= 3) & (ends <= 2))
    added = np.where(np.isfinite(dry), wet - np.where(np.isfinite(dry), dry, 0), 0)
    assert added == pytest.approx(np.where(crosses & np.isfinite(dry), 100.0, 0.0), abs=1e-4)
    assert longest == pytest.approx(wet[np.isfinite(wet)].max())


@pytest.mark.parametrize("ends", [((5, 0), (5, 11)), ((0, 0), (11, 11)), ((0, 3), (11, 8)), ((3, 0), (5, 11))])
def test_a_way_that_is_only_crossed_is_crossed_anywhere_and_followed_nowhere(
    ends: tuple[tuple[int, int], tuple[int, int]],
) -> None:
    grid = Grid(32615, 0.0, 120.0, 10.0, 12, 12)
    line = shapely.LineString([tuple(grid.xy(*end)) for end in ends])
    drive = burn([line], grid, touched=True)
    ground = build_ground(Layer("elevation", "m", grid, np.zeros(grid.shape)), crossed=drive)
    seconds, *_ = step_seconds(field_of(ground, TABLE, ~ground.blocked), MOVES)
    free = seconds.copy()
    bar_following(ground, MOVES, seconds)
    steps = [
        (cell, cell + int(down) * 12 + int(right), k)
        for cell in range(grid.n_cells)
        for k, (down, right) in enumerate(MOVES.steps)
        if np.isfinite(free[cell, k])
    ]
    mask = drive.ravel()
    for a, b, k in steps:
        assert np.isfinite(seconds[a, k]) == (not (mask[a] and mask[b])), (a, b)
    one_side = next(cell for cell in range(grid.n_cells) if not mask[cell])
    reached = {one_side}
    while more := {b for a, b, k in steps if a in reached and np.isfinite(seconds[a, k])} - reached:
        reached |= more
    assert len(reached) == grid.n_cells  # both sides, and the way itself
