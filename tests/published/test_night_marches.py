"""Rates of march by night and day: field guide on roads (3.2 of 4.0 km/h), FM 21-18 off them (1.6 of 2.4, memory)."""

import pytest

from hushwalk.science.going import night_speed_factor


def test_roads() -> None:
    assert float(night_speed_factor(-30.0, on_trail=True)) == pytest.approx(3.2 / 4.0)


def test_cross_country() -> None:
    assert float(night_speed_factor(-30.0, on_trail=False)) == pytest.approx(1.6 / 2.4, abs=0.005)
