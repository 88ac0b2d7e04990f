"""Rees 2004, Computers and Geosciences 30:203-209; the equation is written out again here."""

import pytest

from hushwalk.science.gait import pace_functions


@pytest.mark.parametrize("s", [-0.5, -0.2, -0.08, -0.07, -0.06, 0.0, 0.05, 0.2, 0.5])
def test_the_equation(s: float) -> None:
    written_ms = 1 / (0.75 + 0.09 * s + 14.6 * s**2)
    assert float(pace_functions()["rees"].speed_ms(s)) == pytest.approx(written_ms, rel=1e-12)
