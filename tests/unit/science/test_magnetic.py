"""Declination outside its life, near the pole, and bearings between the norths."""

from datetime import date

import numpy as np
import pytest

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.science.magnetic import (
    decimal_year,
    declination,
    declination_in_year,
    magnetic_from_true,
)


def test_a_date_outside_the_model_is_refused() -> None:
    for day in (date(2024, 12, 31), date(2030, 1, 1)):
        with pytest.raises(SettingsError, match="2025 to 2030"):
            declination(day, -92.1, 46.79)
    assert declination(date(2025, 1, 1), -92.1, 46.79).compass == "good"
    assert declination(date(2029, 12, 31), -92.1, 46.79).compass == "good"


def test_swapped_axes_are_refused() -> None:
    with pytest.raises(PlaceError, match="longitude first"):
        declination(date(2027, 4, 25), 46.79, -92.1)


def test_the_compass_is_worth_less_near_the_magnetic_pole() -> None:
    near = declination(date(2027, 4, 25), -90.0, 80.0)
    at = declination(date(2027, 4, 25), 140.0, 86.0)
    assert near.compass in {"doubtful", "useless"}
    assert at.compass == "useless"
    assert at.error_deg > 2.7


def test_the_rate_crosses_the_cut_at_180_degrees() -> None:
    """The rate stays that of a few degrees where the declination passes from 180 to -180."""
    for lon in np.arange(-180, 180, 7.0):
        assert abs(declination_in_year(2027.5, float(lon), 88.0).rate_deg_per_year) < 10


def test_the_year_in_decimals() -> None:
    assert decimal_year(date(2028, 1, 1)) == pytest.approx(2028 + 0.5 / 366)
    assert decimal_year(date(2027, 12, 31)) == pytest.approx(2027 + 364.5 / 365)


def test_norths_by_hand() -> None:
    """East declination 10: a compass needle points 10 east of true, so true 100 reads 90."""
    assert magnetic_from_true(100.0, 10.0) == 90
    assert magnetic_from_true(5.0, 10.0) == 355


def test_there_and_back_is_where_one_was() -> None:
    azimuth = np.arange(0, 360, 0.5)
    for angle in (-170.0, -1.23, 0.0, 1e-13, 15.7, 180.0):
        there = magnetic_from_true(azimuth, angle)
        assert ((there >= 0) & (there < 360)).all()
        back = magnetic_from_true(there, -angle)  # the other way by the same angle
        assert np.abs((back - azimuth + 180) % 360 - 180).max() < 1e-9
