"""Evidence worked out by hand, and against scipy's own statistics."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import mannwhitneyu

from hushwalk.errors import InputError
from hushwalk.habitat.calibration import calibration
from hushwalk.habitat.evidence import auc, boyce_index, continuous_boyce, weigh_evidence
from hushwalk.wording.habitat_words import evidence_sentence

GROUND = np.linspace(0, 1, 1001)


def test_area_under_the_curve_counts_pairs() -> None:
    # by hand: of 2 x 3 pairs the bird is better in 5 and equal in 1
    assert auc([0.9, 0.5], [0.1, 0.2, 0.5]) == pytest.approx(5.5 / 6)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_area_under_the_curve_is_mann_whitneys(seed: int) -> None:
    rng = np.random.default_rng(seed)
    birds, ground = rng.integers(0, 8, 15) / 8, rng.integers(0, 8, 60) / 8
    assert auc(birds, ground) == pytest.approx(mannwhitneyu(birds, ground).statistic / (15 * 60))


def test_birds_spread_evenly_say_nothing() -> None:
    found = weigh_evidence(GROUND, np.arange(1001), GROUND, np.ones(1001), np.random.default_rng(1))
    assert found.auc.value == pytest.approx(0.5)
    assert not found.boyce.value > 0.9 or np.isnan(found.boyce.value)
    assert "cannot be told" in evidence_sentence(found) or "too few" in evidence_sentence(found)


def test_birds_on_good_ground_are_seen() -> None:
    rng = np.random.default_rng(2)
    birds = np.sqrt(rng.random(300))  # as many as the ground is good
    found = weigh_evidence(birds, np.arange(300), GROUND, GROUND, rng)
    assert found.continuous.low > 0.6
    assert found.auc.low < 2 / 3 < found.auc.high  # closed form: P(bird better) = int 2s x s ds
    assert all(step.ratio.low < 1 < step.ratio.high for step in found.bins)
    assert "better than chance" in evidence_sentence(found)
    worse = weigh_evidence(1 - birds, np.arange(300), GROUND, GROUND, rng)
    assert worse.continuous.high < 0
    assert "at odds" in evidence_sentence(worse)


def test_a_handful_is_no_validation() -> None:
    rng = np.random.default_rng(3)
    few = weigh_evidence(np.full(20, 0.9), np.arange(20), GROUND, GROUND, rng)
    assert not few.enough
    assert "no validation" in evidence_sentence(few)
    same = weigh_evidence(np.full(200, 0.9), np.arange(200) // 50, GROUND, GROUND, rng)  # four birds, noted often
    assert same.birds == 4
    assert "no validation" in evidence_sentence(same)


def test_calibration_by_hand() -> None:
    steps = calibration(np.array([0.1, 0.9, 0.95]), np.array([0.2, 0.2, 0.8, 0.8]), np.array([1.0, 1.0, 3.0, 3.0]), 2)
    assert [step.birds for step in steps] == [1, 2]
    assert [step.expected for step in steps] == pytest.approx([3 * 0.25, 3 * 0.75])
    assert [step.ratio.value for step in steps] == pytest.approx([1 / 0.75, 2 / 2.25])


def test_what_cannot_be_weighed_is_refused() -> None:
    with pytest.raises(InputError, match="0 points"):
        boyce_index([], GROUND)
    with pytest.raises(InputError, match="unknown"):
        continuous_boyce([np.nan], GROUND)
    with pytest.raises(InputError, match="some male"):
        calibration(np.array([0.5]), GROUND, np.zeros(1001))
