import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.science.blending import compensating_mean, lift, limiting_product

NAN = float("nan")


def test_limits_multiply_by_their_powers() -> None:
    assert limiting_product([[0.5], [0.25]], [1.0, 0.5]) == pytest.approx([0.25])
    assert limiting_product([[0.5], [0.0]], [1.0, 0.0]) == pytest.approx([0.5])


def test_nothing_makes_good_for_a_limit_of_zero() -> None:
    assert limiting_product([[1.0], [0.0], [1.0]], [1.0, 1.0, 3.0]).tolist() == [0.0]


def test_unknown_scores_are_left_out_and_all_unknown_stays_unknown() -> None:
    assert limiting_product([[NAN, NAN], [0.3, NAN]], [1.0, 1.0])[0] == pytest.approx(0.3)
    assert np.isnan(limiting_product([[NAN], [NAN]], [1.0, 1.0])[0])


def test_weights_are_shared_by_what_is_known() -> None:
    got = compensating_mean([[1.0, NAN, NAN], [0.0, 0.0, NAN], [0.5, 0.5, 0.5]], [2.0, 1.0, 1.0])
    assert got == pytest.approx([0.625, 0.25, 0.5])


def test_a_mean_without_weight_is_unknown() -> None:
    assert np.isnan(compensating_mean([[0.5]], [0.0])[0])


def test_the_lift_keeps_its_floor_and_blames_nothing_unknown() -> None:
    assert lift([0.0, 1.0, NAN], 0.4) == pytest.approx([0.4, 1.0, 1.0])
    with pytest.raises(SettingsError, match="floor"):
        lift([0.5], 1.2)


@pytest.mark.parametrize(
    ("scores", "weights", "words"),
    [
        ([], [], "at least one"),
        ([[0.5]], [1.0, 2.0], "as many weights"),
        ([[0.5]], [-1.0], "0 or more"),
        ([[1.5]], [1.0], "between 0 and 1"),
    ],
)
def test_what_cannot_be_blended_is_refused(scores: list[list[float]], weights: list[float], words: str) -> None:
    with pytest.raises(SettingsError, match=words):
        limiting_product(scores, weights)
