"""Declination against the official test values of the World Magnetic Model 2025 (NOAA/NCEI and BGS, report table).

The first twelve rows are those of the report with declination and its yearly change; further rows are from the
hundred-row test file that goes with the coefficients (declination only). One more value is that printed in the manual
of a general numeric toolbox for 1000 m, 42.283 N, 71.35 W, 4 July 2028. Tolerance: half of the last printed digit.
"""

from datetime import date

import numpy as np
import pytest

from hushwalk.science.magnetic import declination, declination_in_year

REPORT = [  # year, height km, latitude, longitude, X, Y [nT], declination, change a year [deg]
    (2025.0, 0, 80, 0, 6521.6, 145.9, 1.28, 0.52),
    (2025.0, 0, 0, 120, 39677.8, -109.6, -0.16, -0.03),
    (2025.0, 0, -80, 240, 6117.5, 15751.9, 68.78, -0.12),
    (2025.0, 100, 80, 0, 6216.0, 92.4, 0.85, 0.52),
    (2025.0, 100, 0, 120, 37688.6, -96.2, -0.15, -0.03),
    (2025.0, 100, -80, 240, 5907.6, 14780.3, 68.21, -0.11),
    (2027.5, 0, 80, 0, 6500.8, 294.5, 2.59, 0.53),
    (2027.5, 0, 0, 120, 39701.6, -167.4, -0.24, -0.03),
    (2027.5, 0, -80, 240, 6200.7, 15730.3, 68.49, -0.12),
    (2027.5, 100, 80, 0, 6196.7, 233.8, 2.16, 0.52),
    (2027.5, 100, 0, 120, 37711.5, -148.7, -0.23, -0.03),
    (2027.5, 100, -80, 240, 5984.0, 14760.1, 67.93, -0.11),
]
FILE = [  # year, height km, latitude, longitude, declination
    (2025.5, 69, 38, -144, 12.93),
    (2025.5, 44, 33, -118, 11.10),
    (2026.5, 12, 33, -145, 11.96),
    (2027.0, 61, 59, -77, -16.48),
    (2027.0, 67, 72, -115, 13.73),
    (2027.0, 44, 22, 174, 6.46),
    (2027.5, 16, 66, -178, 0.37),
    (2027.5, 8, 62, 53, 19.39),
    (2028.5, 28, 54, -120, 15.43),
    (2028.5, 11, 34, 0, 1.57),
    (2029.0, 57, 34, -13, -1.89),
    (2029.0, 19, 46, -22, -5.65),
    (2025.0, 65, 43, 93, 0.50),
    (2025.0, 28, 89, -121, -99.77),
]


def west_negative(lon: float) -> float:
    return lon - 360 if lon > 180 else lon


@pytest.mark.parametrize(("year", "km", "lat", "lon", "x", "y", "d", "rate"), REPORT)
def test_rows_of_the_report(
    year: float, km: float, lat: float, lon: float, x: float, y: float, d: float, rate: float
) -> None:
    found = declination_in_year(year, west_negative(lon), lat, km * 1000)
    assert found.declination_deg == pytest.approx(d, abs=0.0051)
    assert found.horizontal_nt == pytest.approx(np.hypot(x, y), abs=0.1)
    # the report gives the change at the moment; a difference over half a year or a year strays by its curvature
    assert found.rate_deg_per_year == pytest.approx(rate, abs=0.008)
    assert found.error_deg == pytest.approx(np.sqrt(0.26**2 + (5417 / np.hypot(x, y)) ** 2), abs=1e-4)


@pytest.mark.parametrize(("year", "km", "lat", "lon", "d"), FILE)
def test_rows_of_the_test_file(year: float, km: float, lat: float, lon: float, d: float) -> None:
    assert declination_in_year(year, lon, lat, km * 1000).declination_deg == pytest.approx(d, abs=0.0051)


def test_the_value_of_the_toolbox_manual() -> None:
    """The manual's X, Y give D -13.6891 and H 20 727."""
    found = declination(date(2028, 7, 4), -71.35, 42.283, 1000)
    assert found.declination_deg == pytest.approx(-13.6891, abs=2e-4)
    assert found.horizontal_nt == pytest.approx(20_727, abs=1)


def test_the_caution_zones_of_the_report() -> None:
    assert declination_in_year(2025.0, 0, 80).compass == "good"
    assert declination_in_year(2025.0, -120, -80, 100_000).compass == "good"
    assert declination_in_year(2025.0, -121, 89, 28_000).compass in {"doubtful", "useless"}
