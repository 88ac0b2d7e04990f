"""Distances from outlines in degrees."""

import pytest

from hushwalk.site.outlines import distance_km


def test_distances_are_those_on_the_ground_also_over_the_date_line() -> None:
    square = [(10.0, 60.0), (11.0, 60.0), (11.0, 61.0), (10.0, 61.0)]
    assert distance_km([square], 10.5, 60.5) == 0
    assert distance_km([square], 9.0, 60.0) == pytest.approx(111.2 * 0.5, rel=1e-6)  # cos 60 degrees is a half
    assert distance_km([[(179.0, -1.0), (180.0, -1.0), (180.0, 1.0), (179.0, 1.0)]], -179.0, 0.0) == pytest.approx(
        111.2
    )
