"""Song in bouts: Reidy (2025), Birds (MDPI): golden-cheeked warblers, 60 males, 6,517 minutes.

A male sang in 0.45 of the minutes and was heard within 3, 5 and 10 minutes with 0.61, 0.72 and 0.83; minutes that do
not depend on each other would give 0.83, 0.95 and 0.997. The matrix exponential is that of scipy.
"""

import numpy as np
import pytest
from scipy.linalg import expm
from scipy.optimize import brentq

from hushwalk.science.bouts import Bouts

WARBLER = {1: 0.45, 3: 0.61, 5: 0.72, 10: 0.83}


def test_minutes_that_do_not_depend_on_each_other_would_be_heard_far_more_often() -> None:
    free = [1 - (1 - WARBLER[1]) ** n for n in (3, 5, 10)]
    assert free == pytest.approx([0.83, 0.95, 0.997], abs=0.005)


def test_bouts_fitted_to_one_and_three_minutes_foretell_five_and_ten() -> None:
    def fitted(bout_min: float) -> Bouts:
        def off(share: float) -> float:
            return float(Bouts(2.5, bout_min, share).heard_chance(1.0)) - WARBLER[1]

        return Bouts(2.5, bout_min, brentq(off, 0.05, 0.99))  # judgement: a song every 24 s while he sings

    bout = brentq(lambda b: float(fitted(b).heard_chance(3.0)) - WARBLER[3], 1.0, 200.0)
    model = fitted(bout)
    assert float(model.heard_chance(5.0)) == pytest.approx(WARBLER[5], abs=0.03)
    assert float(model.heard_chance(10.0)) == pytest.approx(WARBLER[10], abs=0.08)


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9, 1.0])
def test_silence_over_stands_is_the_matrix_exponential(share: float) -> None:
    bouts = Bouts(0.26, 35.0, share)
    pause = bouts.pause_min or 1e-9
    generator = np.array([[-1 / 35.0, 1 / 35.0], [1 / pause, -1 / pause]]) if share < 1 else np.zeros((2, 2))
    state = np.array([share, 1 - share])

    def killed(sure: float) -> np.ndarray:
        return generator - np.diag([0.26 * sure, 0.0])

    stands, sure = [(0.0, 5.0), (12.0, 20.0), (90.0, 94.0)], [1.0, 0.4, 0.8]
    for k, (begin, end) in enumerate(stands):
        gap = 0.0 if k == 0 else begin - stands[k - 1][1]
        state = state @ expm(generator * gap) @ expm(killed(sure[k]) * (end - begin))
    assert bouts.silent_chance(stands, sure) == pytest.approx(state.sum(), rel=1e-9)
    assert float(bouts.heard_chance(8.0)) == pytest.approx(1 - bouts.silent_chance([(0.0, 8.0)]), rel=1e-9)


def test_coming_back_an_hour_later_hears_more_than_staying_on() -> None:
    bouts = Bouts(0.2578, 35.0, 0.6)
    longer = bouts.silent_chance([(0.0, 10.0)])
    again = [bouts.silent_chance([(0.0, 5.0), (5.0 + gap, 10.0 + gap)]) for gap in (0.0, 10.0, 40.0, 90.0)]
    assert again[0] == pytest.approx(longer)
    assert again == sorted(again, reverse=True)
    assert again[-1] < 0.8 * longer


def test_without_pauses_displays_come_at_random() -> None:
    assert float(Bouts(0.2578, 35.0, 1.0).heard_chance(4.0)) == pytest.approx(1 - np.exp(-0.2578 * 4))


@pytest.mark.parametrize("numbers", [(0.0, 35.0, 0.5), (0.2, -1.0, 0.5), (0.2, 35.0, 0.0), (0.2, 35.0, 1.1)])
def test_numbers_that_cannot_be_are_refused(numbers: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="expected above 0"):
        Bouts(*numbers)
