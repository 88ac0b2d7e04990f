"""Lines over a piece of ground: they see all of it, lie evenly, and begin where one comes from."""

import numpy as np
import pytest

from hushwalk.birds.search.search_strips import strips_over
from hushwalk.errors import InputError


def cells(width_m: float, height_m: float, cell_m: float = 5.0) -> np.ndarray:
    x, y = np.arange(cell_m / 2, width_m, cell_m), np.arange(cell_m / 2, height_m, cell_m)
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def test_lines_run_along_the_ground_and_see_every_cell() -> None:
    ground = cells(300.0, 60.0)
    lines = strips_over(ground, 5.0, 12.0, (-50.0, -50.0))
    assert len(lines) == 5  # 60 m in strips of 12 m
    assert np.hypot(*np.diff(lines, axis=1)[:, 0].T) == pytest.approx(300.0)
    walked = np.concatenate([np.linspace(a, b, 601) for a, b in lines])
    nearest = [np.hypot(*(walked - xy).T).min() for xy in ground]
    assert max(nearest) <= 6.0 + 0.5
    assert lines[0, 0] == pytest.approx((0.0, 6.0))
    assert lines[1, 0] == pytest.approx((300.0, 18.0))  # to and fro


def test_a_second_pass_runs_across() -> None:
    lines = strips_over(cells(300.0, 60.0), 5.0, 12.0, (350.0, 0.0), along=np.array([0.0, 1.0]))
    assert len(lines) == 25
    assert np.abs(np.diff(lines, axis=1)[:, 0, 0]).max() < 1e-9
    assert lines[0, 0] == pytest.approx((294.0, 0.0))


def test_a_strip_is_parted_where_the_ground_is() -> None:
    ground = cells(300.0, 12.0)
    parted = ground[(ground[:, 0] < 100) | (ground[:, 0] > 200)]
    lines = strips_over(parted, 5.0, 12.0, (0.0, 0.0))
    assert len(lines) == 2
    assert lines[:, :, 0].tolist() == [pytest.approx([0.0, 100.0]), pytest.approx([200.0, 300.0])]


def test_no_ground_and_no_width_are_refused() -> None:
    with pytest.raises(InputError, match="cannot be walked"):
        strips_over(np.empty((0, 2)), 5.0, 12.0, (0.0, 0.0))
    with pytest.raises(InputError, match="cannot be walked"):
        strips_over(cells(20.0, 20.0), 5.0, 0.0, (0.0, 0.0))
