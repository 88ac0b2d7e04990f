"""Chapa Brunet and others 2008 (Uriarte's function); the equation is written out again here."""

import pytest

from hushwalk.science.gait import pace_functions


@pytest.mark.parametrize("s", [-0.5, -0.2, -0.08, -0.07, -0.06, 0.0, 0.05, 0.2, 0.5])
def test_the_equation(s: float) -> None:
    written_ms = 1 / (0.0277 * 100 * abs(s) + 0.6115)
    assert float(pace_functions()["uriarte"].speed_ms(s)) == pytest.approx(written_ms, rel=1e-12)
