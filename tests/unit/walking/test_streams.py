import numpy as np
import pytest
import shapely

from hushwalk.grid.grid import Grid
from hushwalk.walking.streams import build_streams, count_fords

GRID = Grid(32615, 0.0, 100.0, 10.0, 10, 10)


def fords(lines: list[shapely.LineString], a: tuple[float, float], b: tuple[float, float]) -> int:
    streams = build_streams(GRID, lines, 60.0)
    return count_fords(*a, *b, 10, 10, streams.pieces, streams.start, streams.filed)


def line(*row_col: tuple[float, float]) -> shapely.LineString:
    return shapely.LineString([((c + 0.5) * 10, 100 - (r + 0.5) * 10) for r, c in row_col])


ACROSS = line((4.3, -0.4), (4.3, 9.4))


def test_a_step_over_a_stream_is_one_ford_and_a_step_beside_it_none() -> None:
    assert fords([ACROSS], (3.0, 3.0), (5.0, 4.0)) == 1
    assert fords([ACROSS], (3.0, 3.0), (3.0, 8.0)) == 0
    assert fords([ACROSS], (0.0, 0.0), (4.0, 9.0)) == 0


def test_a_stream_through_a_cells_middle_is_waded_once_on_the_way_over_it() -> None:
    through = line((4.0, -0.4), (4.0, 9.4))
    there = fords([through], (3.0, 5.0), (4.0, 5.0)) + fords([through], (4.0, 5.0), (5.0, 5.0))
    back = fords([through], (5.0, 5.0), (4.0, 5.0)) + fords([through], (4.0, 5.0), (3.0, 5.0))
    assert (there, back) == (1, 1)
    assert fords([through], (3.0, 5.0), (5.0, 5.0)) == 1


def test_a_bend_cut_twice_is_waded_once_but_two_streams_are_waded_twice() -> None:
    bend = line((0.0, 4.0), (5.2, 4.0), (5.2, 4.6), (0.0, 4.6))
    assert fords([bend], (4.0, 3.0), (4.0, 6.0)) == 1
    two = [line((0.0, 2.0), (9.0, 2.0)), line((0.0, 7.0), (9.0, 7.0))]
    assert fords(two, (4.0, 0.0), (4.0, 9.0)) == 2


def test_no_streams_no_fords() -> None:
    assert fords([], (0.0, 0.0), (9.0, 9.0)) == 0


def test_cells_near_a_stream_are_found() -> None:
    near = build_streams(GRID, [ACROSS], 60.0).near(GRID, 2)
    assert np.array_equal(np.flatnonzero(near.any(axis=1)), [2, 3, 4, 5, 6])


def test_every_piece_is_filed_where_it_lies() -> None:
    streams = build_streams(GRID, [line((0.0, 0.0), (9.0, 7.3))], 60.0)
    for cell in range(GRID.n_cells):
        for piece in streams.pieces[streams.filed[streams.start[cell] : streams.start[cell + 1]]]:
            row, col = divmod(cell, GRID.n_cols)
            assert min(piece[0], piece[2]) <= row + 0.5001
            assert max(piece[1], piece[3]) >= col - 0.5001
    assert np.hypot(*(streams.pieces[:, 2:] - streams.pieces[:, :2]).T).sum() == pytest.approx(np.hypot(9.0, 7.3))
