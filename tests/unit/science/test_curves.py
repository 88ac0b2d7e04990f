import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate

from hushwalk.errors import SettingsError
from hushwalk.science.curves import Curve

IDENTITY = Curve((0.0, 1.0), (0.0, 1.0))


def test_level_beyond_the_ends_and_straight_between() -> None:
    curve = Curve((10.0, 20.0), (0.2, 1.0))
    assert curve([0.0, 10.0, 15.0, 20.0, 99.0]) == pytest.approx([0.2, 0.2, 0.6, 1.0, 1.0])


def test_what_is_not_known_stays_not_known() -> None:
    assert np.isnan(IDENTITY(np.nan))
    assert IDENTITY([[0.3]]).shape == (1, 1)


def test_the_mean_agrees_with_numerical_integration() -> None:
    curve = Curve((0.0, 2.0, 7.0, 9.0), (0.1, 0.9, 0.3, 0.5))
    area, _ = integrate.quad(lambda x: float(curve(x)), -1.0, 12.0, points=[0.0, 2.0, 7.0, 9.0])
    assert curve.mean(-1.0, 12.0) == pytest.approx(area / 13.0, rel=1e-9)


@pytest.mark.parametrize(
    ("values", "scores", "words"),
    [
        ((1.0,), (0.5,), "two knees"),
        ((1.0, 2.0), (0.5,), "two knees"),
        ((2.0, 1.0), (0.5, 1.0), "must rise"),
        ((1.0, float("nan")), (0.5, 1.0), "must rise"),
        ((1.0, 2.0), (0.5, 1.5), "between 0 and 1"),
    ],
)
def test_a_curve_that_cannot_be_is_refused(values: tuple[float, ...], scores: tuple[float, ...], words: str) -> None:
    with pytest.raises(SettingsError, match=words):
        Curve(values, scores)


@settings(max_examples=50, deadline=None)
@given(seed=st.integers(0, 10_000), knees=st.integers(2, 9))
def test_a_curve_is_the_interpolation_of_numpy(seed: int, knees: int) -> None:
    rng = np.random.default_rng(seed)
    x, y = np.cumsum(rng.random(knees) + 0.01), rng.random(knees)
    asked = np.concatenate([x, rng.uniform(x[0] - 1, x[-1] + 1, 50), [-np.inf, np.inf]])
    assert Curve(tuple(x), tuple(y))(asked) == pytest.approx(np.interp(asked, x, y), abs=1e-12)
