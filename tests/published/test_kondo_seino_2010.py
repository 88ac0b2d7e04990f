"""Kondo and Seino 2010, walking on the Nakasendo; both branches are written out again here."""

import math

import pytest

from hushwalk.science.gait import pace_functions


@pytest.mark.parametrize("s", [-0.5, -0.2, -0.08, -0.07, -0.06, 0.0, 0.05, 0.2, 0.5])
def test_the_equation(s: float) -> None:
    written_ms = 5.1 / 3.6 * math.exp((-2.25 if s >= -0.07 else -1.5) * abs(s + 0.07))
    assert float(pace_functions()["kondo_seino"].speed_ms(s)) == pytest.approx(written_ms, rel=1e-12)
