"""Light of a clear sky by US Naval Observatory Circular 171 (Janiczek and DeYoung 1987), constants typed anew here.

The cubics were cross-checked in two independent public codes. Within 1 %, over the whole range and at listed values.
"""

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from hushwalk.filming.sky_day import sky_day
from hushwalk.science.sky_light import sun_lux

LIST = {
    -18: 6.4e-4,
    -12: 0.00806,
    -10: 0.0421,
    -8: 0.348,
    -6: 3.41,
    -5: 10.4,
    -4: 29.9,
    -3: 79.1,
    -2: 189,
    -1: 405,
    -0.833: 454,
    0: 759,
    1: 1268,
    3: 2689,
    5: 4538,
    10: 11_120,
    20: 27_380,
    30: 46_300,
    60: 103_100,
    90: 128_800,
}


def circular_lux(altitude_deg: float) -> float:
    pieces = (
        (20.0, 3.74, 3.97, -4.07, 1.47),
        (5.0, 3.05, 13.28, -45.98, 64.33),
        (-0.8, 2.88, 22.26, -207.64, 1034.30),
        (-5.0, 2.88, 21.81, -258.11, -858.36),
        (-12.0, 2.70, 12.17, -431.69, -1899.83),
        (-18.0, 13.84, 262.72, 1447.42, 2797.93),
    )
    x = altitude_deg / 90
    for low, *c in pieces:
        if altitude_deg >= low:
            return float(10 ** (c[0] + c[1] * x + c[2] * x**2 + c[3] * x**3))
    return 0.0


def test_the_listed_values_within_one_per_cent() -> None:
    assert sun_lux(list(LIST)) == pytest.approx(list(LIST.values()), rel=0.01)


def test_the_whole_range_within_one_per_cent() -> None:
    altitudes = np.linspace(-18, 90, 2161)
    assert sun_lux(altitudes) == pytest.approx([circular_lux(a) for a in altitudes.tolist()], rel=0.01)


def test_light_by_minute_of_a_dawn_in_april() -> None:
    """46.79 N 92.10 W, 25 April 2026, sunrise 06:03:00 (independent ephemeris): altitudes and open clear light."""
    sky = sky_day(date(2026, 4, 25), ZoneInfo("America/Chicago"), -92.10, 46.79)
    for minutes, altitude, lux in (
        (-30, -5.55, 5.6),
        (-20, -4.00, 30),
        (-10, -2.43, 132),
        (0, -0.83, 454),
        (60, 9.08, 9720),
    ):
        at = 6 * 60 + 3 + minutes
        assert sky.sun_altitude_deg[at] == pytest.approx(altitude, abs=0.01)
        assert sky.lux[at] == pytest.approx(lux, rel=0.02)
