import numpy as np
import pytest

from hushwalk.birds.alternate_logs import AlternateLogs
from hushwalk.grid.grid import Grid

GRID = Grid(32615, 0.0, 1000.0, 10.0, 100, 100)


def test_another_log_lies_as_far_off_as_it_says():
    kernel = AlternateLogs(GRID, 0.1, 115.0, 20.0).kernel()
    half = kernel.shape[0] // 2
    y, x = np.mgrid[-half : half + 1, -half : half + 1] * 10.0
    away = np.hypot(x, y)
    assert kernel.sum() == pytest.approx(1)
    assert (away * kernel).sum() == pytest.approx(115, abs=2)
    assert np.sqrt((away**2 * kernel).sum() - (away * kernel).sum() ** 2) == pytest.approx(20, abs=2)


def test_a_morning_at_one_place_is_spread_to_the_main_log():
    logs = AlternateLogs(GRID, 0.1, 115.0, 20.0)
    log_chance = np.full(GRID.n_cells, -50.0)
    middle = 50 * 100 + 50
    log_chance[middle] = -3.0
    found = np.exp(logs.spread(np.arange(GRID.n_cells), log_chance, GRID.n_cells) + 3.0)
    assert found[middle] == pytest.approx(0.9, abs=1e-3)
    assert found.sum() == pytest.approx(1.0, abs=1e-3)
    assert found[50 * 100 + 61] > 20 * found[50 * 100 + 55]  # 110 m off against 50 m
