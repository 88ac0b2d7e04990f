"""Transverse Mercator and its convergence against Snyder 1987 (US Geological Survey Professional Paper 1395).

The worked example is on Clarke 1866, zone 18 (EPSG:26718 is that zone on NAD27). The convergence rows were worked out
with the ellipsoid series w sin f [1 + w^2 cos^2 f (1 + 3n + 2n^2)/3 + w^4 cos^4 f (2 - tan^2 f)/15] of the
Gauss-Bomford convention, re-derived here.
"""

import numpy as np
import pytest

from hushwalk.grid.points import convergence_deg, to_metres
from hushwalk.grid.utm import to_lonlat

ROWS = [  # latitude, longitude, zone, convergence [deg]
    (46.79, -92.10, 15, 0.655990),
    (45.5, -84.2, 16, 1.997890),
    (44.0, -71.5, 19, -1.737222),
    (47.5, -89.9, 16, -2.138945),
    (54.0, -114.1, 11, 2.346846),
    (40.8, -77.9, 18, -1.895858),
    (64.84, -147.72, 6, -0.651696),
]


def test_the_worked_example() -> None:
    from pyproj import Transformer  # noqa: PLC0415

    # Clarke 1866 itself, so that no datum shift enters
    utm = Transformer.from_crs("EPSG:4267", "EPSG:26718", always_xy=True)
    assert utm.transform(-73.5, 40.5) == pytest.approx((627_106.5, 4_484_124.4), abs=0.05)


@pytest.mark.parametrize(("lat", "lon", "zone", "gamma"), ROWS)
def test_convergence_in_seven_zones(lat: float, lon: float, zone: int, gamma: float) -> None:
    xy = to_metres(32600 + zone, (lon, lat))
    assert float(convergence_deg(32600 + zone, xy)) == pytest.approx(gamma, abs=1e-6)
    assert series(lat, lon, -183 + 6 * zone) == pytest.approx(gamma, abs=2e-6)


def series(lat: float, lon: float, middle: float) -> float:
    f, w = np.radians(lat), np.radians(lon - middle)
    e2 = 0.00669437999014
    n = e2 / (1 - e2) * np.cos(f) ** 2
    bracket = 1 + (w * np.cos(f)) ** 2 * (1 + 3 * n + 2 * n**2) / 3 + (w * np.cos(f)) ** 4 * (2 - np.tan(f) ** 2) / 15
    return float(np.degrees(w * np.sin(f) * bracket))


def test_the_shape_of_the_answer_follows_the_points() -> None:
    xy = to_metres(32615, [[-92.1, 46.79], [-93.0, 46.79]])
    assert convergence_deg(32615, xy).shape == (2,)
    assert convergence_deg(32615, xy)[1] == pytest.approx(0, abs=1e-9)
    assert to_lonlat(32615, xy).shape == (2, 2)
