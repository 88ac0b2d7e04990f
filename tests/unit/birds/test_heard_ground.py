"""What a count says of the density, against the closed form and a count by simulation."""

import numpy as np
import pytest

from hushwalk.birds.heard_ground import density_after, density_belief
from hushwalk.errors import InputError

SHAPE = 2.0  # of the table of field figures


def test_one_level_is_the_closed_form() -> None:
    belief = density_belief([1.0], [6.0], 3, 1.0)
    assert belief.mean == pytest.approx((SHAPE + 3) / (SHAPE + 6))
    assert belief.weights == (1.0,)
    assert belief.low < belief.mean < belief.high


def test_males_in_groups_say_less_of_the_density() -> None:
    alone, grouped = (density_belief([1.0], [2.0], 8, group).mean for group in (1.0, 4.0))
    assert 1 < grouped < alone


def test_levels_agree_with_a_count_by_simulation() -> None:
    rng = np.random.default_rng(4)
    weights, expected, heard = (0.5, 0.3, 0.2), np.array([4.0, 2.0, 0.5]), 3
    level = rng.choice(3, 400_000, p=weights)
    factor = rng.gamma(SHAPE, 1 / SHAPE, len(level))
    same = rng.poisson(factor * expected[level]) == heard
    belief = density_belief(weights, expected.tolist(), heard, 1.0)
    assert belief.weights == pytest.approx([np.mean(level[same] == k) for k in range(3)], abs=0.01)
    assert belief.mean == pytest.approx(factor[same].mean(), abs=0.02)
    assert (belief.low, belief.high) == pytest.approx(np.quantile(factor[same], [0.05, 0.95]), abs=0.03)


def test_where_nothing_could_be_heard_nothing_is_learnt() -> None:
    assert density_belief([0.6, 0.4], [0.0, 0.0], 0, 3.0).mean == pytest.approx(1.0, abs=1e-5)


def test_a_trust_that_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="above 0"):
        density_after(1.0, 1, shape=0.0)
