"""Slips in typing a place."""

import pytest

from hushwalk.site.place_mends import Slip, likely_mend


def in_maine(lon: float, lat: float) -> bool:
    return -71 < lon < -67 and 43 < lat < 47.5


@pytest.mark.parametrize(
    ("lon", "lat", "slip"),
    [(69.0, 45.5, Slip.NO_MINUS), (45.5, -69.0, Slip.SWAPPED), (45.5, 69.0, Slip.BOTH)],
)
def test_each_slip_is_known_by_the_place_that_is_meant(lon: float, lat: float, slip: Slip) -> None:
    mend = likely_mend(lon, lat, in_maine)
    assert mend is not None
    assert (mend.slip, mend.lon_deg, mend.lat_deg) == (slip, -69.0, 45.5)


def test_a_place_that_no_slip_explains_gets_no_mend() -> None:
    assert likely_mend(9.5, 47.1, in_maine) is None
    assert likely_mend(120.0, 45.0, in_maine) is None
