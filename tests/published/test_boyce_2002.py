"""Boyce et al. 2002 and Hirzel et al. 2006: the index worked out by hand on small samples, as the articles define it.

Neither article was read in full; the definitions are second hand (data/sources/country.toml). The figures below are
worked out by hand from them. The limits of a Poisson mean are those that Garwood 1936 prints, from memory.
"""

import numpy as np
import pytest

from hushwalk.habitat.calibration import poisson_limits
from hushwalk.habitat.evidence import boyce_index, continuous_boyce

# ten cells in each of five bins of 0.2
GROUND = np.repeat([0.1, 0.3, 0.5, 0.7, 0.9], 10) + np.tile(np.linspace(-0.1, 0.099, 10), 5)


def test_the_index_is_one_where_each_better_bin_holds_more_for_its_area() -> None:
    birds = [0.1] * 1 + [0.3] * 2 + [0.5] * 3 + [0.7] * 4 + [0.9] * 5
    assert boyce_index(birds, GROUND, 5) == pytest.approx(1.0)
    assert boyce_index([1.0 - bird for bird in birds], GROUND, 5) == pytest.approx(-1.0)


def test_one_pair_of_bins_changed_over() -> None:
    # ranks of the ratios 1 2 3 5 4 against 1 2 3 4 5: rho = 1 - 6 x 2 / (5 x 24) = 0.9
    birds = [0.1] * 1 + [0.3] * 2 + [0.5] * 3 + [0.7] * 5 + [0.9] * 4
    assert boyce_index(birds, GROUND, 5) == pytest.approx(0.9)


def test_birds_count_by_the_area_of_their_bin() -> None:
    # four birds on the best tenth of the ground, twelve on the other nine: ratios 4.0 and 12 / 16 / 0.9 = 0.83
    ground = np.concatenate([np.linspace(0.0, 0.89, 90), np.linspace(0.901, 1.0, 10)])
    birds = [0.05, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.12, 0.33, 0.52] + [0.95] * 4
    assert boyce_index(birds, ground, 10) > 0
    assert boyce_index(birds[:12], ground, 10) < 0


def test_the_moving_window_is_a_tenth_of_the_range() -> None:
    ground = np.linspace(0, 1, 2001)
    rising = np.sqrt(np.linspace(0, 1, 4001))  # density of birds grows with suitability: the ratio rises throughout
    assert continuous_boyce(rising, ground) == pytest.approx(1.0, abs=0.01)
    assert continuous_boyce(1 - rising, ground) == pytest.approx(-1.0, abs=0.01)


@pytest.mark.parametrize(("count", "low", "high"), [(0, 0.0, 3.689), (1, 0.0253, 5.572), (10, 4.795, 18.39)])
def test_poisson_limits_as_garwood_prints_them(count: int, low: float, high: float) -> None:
    assert poisson_limits(count) == pytest.approx((low, high), rel=1e-3)
