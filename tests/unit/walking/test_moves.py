import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.walking.moves import moves_of


@pytest.mark.parametrize("neighbours", [8, 16, 32])
def test_every_move_has_its_opposite_and_another_direction(neighbours: int) -> None:
    steps = moves_of(neighbours).steps
    half = neighbours // 2
    assert len(steps) == neighbours
    assert np.array_equal(steps[half:], -steps[:half])
    assert len(np.unique(np.arctan2(*steps.T))) == neighbours


@pytest.mark.parametrize("neighbours", [8, 16, 32])
def test_the_shares_of_growth_and_height_add_up(neighbours: int) -> None:
    moves = moves_of(neighbours)
    for k, parts in enumerate(moves.n_parts):
        assert moves.growth[k, :parts, :, 2].sum(axis=1) == pytest.approx(np.ones(parts))
        assert moves.knots[k, :parts, :, 2].sum(axis=1) == pytest.approx(np.ones(parts))
        end = (moves.knots[k, parts - 1, :, :2] * moves.knots[k, parts - 1, :, 2:]).sum(axis=0)
        assert end == pytest.approx(moves.steps[k])


def test_a_knight_move_flanks_two_cells() -> None:
    moves = moves_of(16)
    k = moves.steps.tolist().index([1, 2])
    assert {tuple(cell) for cell in moves.touched[k].tolist()} == {(0, 1), (1, 1), (1, 2)}


def test_a_diagonal_grazes_both_corners() -> None:
    moves = moves_of(8)
    k = moves.steps.tolist().index([1, -1])
    assert {tuple(cell) for cell in moves.touched[k].tolist()} == {(0, -1), (1, 0), (1, -1)}


def test_a_step_of_one_and_three_goes_through_a_corner() -> None:
    moves = moves_of(32)
    k = moves.steps.tolist().index([1, 3])
    assert {tuple(cell) for cell in moves.touched[k].tolist()} == {(0, 1), (0, 2), (1, 1), (1, 2), (1, 3)}


def test_another_number_of_neighbours_is_an_error() -> None:
    with pytest.raises(SettingsError, match="8 or 16 or 32"):
        moves_of(4)
