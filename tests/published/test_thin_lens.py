"""The thin lens: distances and depths to the millimetre against closed forms worked out by hand, and printed values.

Printed: hyperfocal distances of 15.625 m (50 mm, f/8, 0.02 mm) and 3.712 m (35 mm, f/11, 0.03 mm) in the usual short
form f^2 / (N c), open accounts after Greenleaf (1950). Rates of wing beats: mean 5 a second published, others assumed.
"""

import pytest

from hushwalk.science.optics import (
    distance_for_width_m,
    f_number_for_depth,
    field_width_m,
    hyperfocal_m,
    magnification,
    sharp_zone,
    shutter_for_blur_s,
    tip_speed_ms,
)

# focal, f-number, confusion, distance -> hyperfocal, near, far [m], magnification, field on 36 mm
DEPTHS = [
    (50, 8, 0.03, 3, 10.47, 2.338, 4.185, 0.0169, 2.124),
    (200, 2.8, 0.03, 6, 476.4, 5.928, 6.074, 0.0345, 1.044),
    (400, 5.6, 0.03, 10, 952.8, 9.900, 10.102, 0.0417, 0.864),
    (500, 5.6, 0.03, 10, 1488.6, 9.937, 10.064, 0.0526, 0.684),
    (600, 4, 0.03, 12, 3000.6, 11.955, 12.046, 0.0526, 0.684),
    (600, 6.3, 0.03, 8, 1905.4, 7.969, 8.031, 0.0811, 0.444),
    (840, 5.6, 0.03, 12, 4200.8, 11.968, 12.032, 0.0753, 0.478),
]


@pytest.mark.parametrize(("focal", "n", "c", "s", "h", "near", "far", "m", "field"), DEPTHS)
def test_depths_of_field(
    focal: float, n: float, c: float, s: float, h: float, near: float, far: float, m: float, field: float
) -> None:
    zone = sharp_zone(focal, n, c, s)
    assert hyperfocal_m(focal, n, c) == pytest.approx(h, abs=0.05)
    assert (zone.near_m, zone.far_m) == (pytest.approx(near, abs=0.001), pytest.approx(far, abs=0.001))
    assert magnification(focal, s) == pytest.approx(m, abs=6e-5)
    assert field_width_m(focal, 36, s) == pytest.approx(field, abs=0.001)
    # the limits are where a point is blurred to c: c = f^2 |s - x| / (N x (s - f)), the definition itself
    for x in (zone.near_m, zone.far_m):
        assert focal**2 * abs(s - x) / (n * x * (s * 1000 - focal)) == pytest.approx(c, rel=1e-9)


def test_printed_hyperfocal_distances() -> None:
    assert hyperfocal_m(50, 8, 0.02) - 0.050 == pytest.approx(15.625, abs=5e-4)
    assert hyperfocal_m(35, 11, 0.03) - 0.035 == pytest.approx(3.712, abs=5e-4)
    assert sharp_zone(50, 8, 0.02, 16).far_m == float("inf")


@pytest.mark.parametrize(
    ("sensor", "by_focal"),
    [
        (36.0, {200: 5.76, 300: 8.63, 400: 11.51, 500: 14.39, 600: 17.27, 840: 24.17}),
        (23.5, {200: 8.71, 300: 13.07, 400: 17.42, 500: 21.78, 600: 26.13, 840: 36.58}),
    ],
)
def test_distances_for_a_field_of_one_metre(sensor: float, by_focal: dict[float, float]) -> None:
    for focal, metres in by_focal.items():
        assert distance_for_width_m(focal, sensor, 1.0) == pytest.approx(metres, abs=0.0051)
        assert distance_for_width_m(focal, sensor, 1.0) == pytest.approx(focal / 1000 + focal / sensor, abs=1e-9)
    assert distance_for_width_m(400, 36, 1.5) == pytest.approx(17.067, abs=0.001)
    assert distance_for_width_m(600, 36, 1.5) == pytest.approx(25.600, abs=0.001)


def test_the_aperture_for_a_whole_bird() -> None:
    """0.40 m deep at 10 m with 400 mm on full frame is about f/11; the closed form is within 0.5 % of the exact one."""
    n = f_number_for_depth(400, 0.03, 10, 0.40)
    assert n == pytest.approx(11, abs=0.2)
    assert sharp_zone(400, n, 0.03, 10).depth_m == pytest.approx(0.40, rel=0.005)


def test_wings() -> None:
    assert [round(tip_speed_ms(hz, 90, 0.25), 1) for hz in (5, 10, 20)] == [6.2, 12.3, 24.7]
    for shutter, dots in ((60, 790), (250, 189), (1000, 47), (4000, 12)):
        assert 1 / shutter_for_blur_s(tip_speed_ms(10, 90, 0.25), dots, 1.0, 3840) == pytest.approx(shutter, rel=0.05)
    for hz, shutter in ((5, 2400), (10, 4700), (20, 9500)):
        assert 1 / shutter_for_blur_s(tip_speed_ms(hz, 90, 0.25), 10, 1.0, 3840) == pytest.approx(shutter, rel=0.02)
