"""Sectors round a stop that probably hold males."""

import numpy as np
import pytest

from hushwalk.morning.likely_ground import likely_sectors

STOP = np.array([1000.0, 2000.0])


def patch(azimuth_deg: float, out_m: float, males: float, cells: int = 9) -> tuple[np.ndarray, np.ndarray]:
    """A small square of cells round a place, the males shared evenly."""
    middle = STOP + out_m * np.array([np.sin(np.radians(azimuth_deg)), np.cos(np.radians(azimuth_deg))])
    side = int(np.sqrt(cells))
    rows, cols = np.mgrid[:side, :side] - (side - 1) / 2
    return middle + 20 * np.column_stack([cols.ravel(), rows.ravel()]), np.full(cells, males / cells)


def joined(*patches: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
    return np.vstack([one for one, _ in patches]), np.concatenate([males for _, males in patches])


def test_two_patches_are_two_sectors_the_better_first() -> None:
    places, males = joined(patch(80.0, 150.0, 0.3), patch(200.0, 220.0, 0.5))
    first, second = likely_sectors(STOP, places, males, 80.0)
    assert (first.males, second.males) == (pytest.approx(0.5), pytest.approx(0.3))
    assert np.hypot(*(first.best_m - patch(200.0, 220.0, 1)[0].mean(axis=0))) < 1
    assert np.hypot(*(second.best_m - patch(80.0, 150.0, 1)[0].mean(axis=0))) < 1


def test_what_lies_nearer_than_a_stop_keeps_off_is_left_out() -> None:
    places, males = joined(patch(80.0, 40.0, 5.0), patch(200.0, 150.0, 0.1))
    (only,) = likely_sectors(STOP, places, males, 80.0)
    assert only.males == pytest.approx(0.1)


def test_a_side_that_holds_next_to_nothing_is_no_sector() -> None:
    places, males = joined(patch(80.0, 150.0, 0.9), patch(200.0, 150.0, 0.1))
    assert len(likely_sectors(STOP, places, males, 80.0)) == 1


def test_birds_all_round_give_at_most_three_sectors_that_do_not_overlap() -> None:
    angle = np.arange(0.0, 360.0, 3.0)
    places = np.vstack(
        [STOP + r * np.column_stack([np.sin(np.radians(angle)), np.cos(np.radians(angle))]) for r in (120, 180)]
    )
    found = likely_sectors(STOP, places, np.full(len(places), 0.01), 80.0)
    assert len(found) == 3
    azimuth = [np.degrees(np.arctan2(*(one.best_m - STOP))) for one in found]
    apart = [abs((a - b + 180) % 360 - 180) for k, a in enumerate(azimuth) for b in azimuth[:k]]
    assert min(apart) > 30
    assert sum(one.males for one in found) <= 0.01 * len(places)


def test_nothing_to_hear_is_no_sector() -> None:
    assert likely_sectors(STOP, np.zeros((0, 2)), np.zeros(0), 80.0) == ()
