"""Garmy and others, restated by Herzog 2020; the equation is written out again here."""

import math

import pytest

from hushwalk.science.gait import pace_functions


@pytest.mark.parametrize("s", [-0.5, -0.2, -0.08, -0.07, -0.06, 0.0, 0.05, 0.2, 0.5])
def test_the_equation(s: float) -> None:
    written_ms = 4 / 3.6 * math.exp(-0.008 * math.degrees(math.atan(s)) ** 2)
    assert float(pace_functions()["garmy"].speed_ms(s)) == pytest.approx(written_ms, rel=1e-12)
