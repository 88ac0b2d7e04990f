import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from hushwalk.birds.loudness import heard_table, over_loudness, silent_table


@pytest.mark.parametrize(("p", "q", "displayed"), [(0.5, 0.5, 1.0), (0.9, 0.2, 0.7), (0.05, 0.6, 0.4)])
def test_heard_here_and_not_there_is_the_integral_over_loudness(p, q, displayed):
    r = 0.6

    def at(z):
        heard = norm.cdf((norm.ppf(p) + np.sqrt(r) * z) / np.sqrt(1 - r))
        missed = 1 - displayed * norm.cdf((norm.ppf(q) + np.sqrt(r) * z) / np.sqrt(1 - r))
        return heard * missed * norm.pdf(z)

    table = heard_table(np.array([p]), r) * silent_table(np.array([q]), displayed, r)
    assert over_loudness(table)[0] == pytest.approx(quad(at, -8, 8)[0], rel=0.01)


def test_where_nothing_is_heard_silence_tells_nothing():
    assert (silent_table(np.array([0.0, 1e-8]), 1.0, 0.6) == 1).all()
    assert (silent_table(np.array([0.5]), 1.0, 0.6) < 1).all()
