"""Lenth (1981), Technometrics 23, 149-154: location by bearings.

The three-station input is statistics question 33352 of a public question-and-answer site; its own estimate was not at
hand, so the place is held by an independent maximisation (scipy) as well as by the value that two ways of solving gave
in the reference notes. Areas of two bearings are closed forms, re-derived here. The paper's own table was not at hand.
"""

import numpy as np
import pytest
from scipy.optimize import minimize

from hushwalk.birds.fix import FixParams, find_bird
from hushwalk.birds.posterior import EarshotParams, centres_m
from hushwalk.grid.grid import Grid
from hushwalk.notes.bearing import Bearing
from hushwalk.science.bearing_error import kappa_of_mean_cosine, kappa_of_sd
from hushwalk.science.crossing import azimuth_to, condition, lenth_crossing

QUESTION = np.array([[554045.0, 2813867.0], [553355.0, 2813873.0], [553207.0, 2814120.0]])
READ = [300.0, 20.0, 90.0]
FIVE = np.array([[x, 0.0] for x in (0.0, 150.0, 300.0, 450.0, 600.0)])
TRUTH = np.array([260.0, 310.0])
HEARD = [45.0, 20.0, 352.0, 329.0, 312.0]


def ellipse(covariance_m2: np.ndarray, share: float) -> tuple[float, float, float, float]:
    """Half axes [m], azimuth of the long one [deg] and area [m2]: -2 ln(1 - share) is the chi-square quantile."""
    spread, axes = np.linalg.eigh(covariance_m2)
    minor, major = np.sqrt(-2 * np.log1p(-share) * spread)
    azimuth = np.degrees(np.arctan2(axes[0, 1], axes[1, 1])) % 180.0
    return major, minor, azimuth, np.pi * major * minor


def test_the_published_input_gives_the_place_of_the_reference_notes():
    found = lenth_crossing(QUESTION, READ)
    assert found.converged
    assert found.xy_m == pytest.approx([553455.137, 2814130.725], abs=0.005)
    assert found.kappa == pytest.approx(231.879, abs=0.001)
    assert found.covariance_m2 == pytest.approx(np.array([[383.174, 71.753], [71.753, 232.242]]), abs=0.001)
    major, minor, azimuth, area = ellipse(found.covariance_m2, 0.95)
    assert (major, minor) == pytest.approx((49.674, 34.924), abs=0.001)
    assert azimuth == pytest.approx(68.22, abs=0.005)
    assert area == pytest.approx(5450.2, abs=0.1)


def test_the_published_input_with_a_fixed_concentration():
    found = lenth_crossing(QUESTION, READ, kappa=51.798)
    assert found.covariance_m2 == pytest.approx(np.array([[1715.317, 321.212], [321.212, 1039.655]]), abs=0.01)
    major, minor, _, area = ellipse(found.covariance_m2, 0.95)
    assert (major, minor) == pytest.approx((105.101, 73.893), abs=0.001)
    assert area == pytest.approx(24398, abs=1)


def test_the_place_is_where_an_independent_search_finds_the_greatest_likelihood():
    centre = QUESTION.mean(axis=0)

    def unlikely(step):
        return -np.cos(np.radians(np.array(READ) - azimuth_to(QUESTION, centre + step))).sum()

    best = minimize(unlikely, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-14})
    assert lenth_crossing(QUESTION, READ).xy_m == pytest.approx(centre + best.x, abs=0.01)


@pytest.mark.parametrize(
    ("sd_deg", "exact", "approximate"),
    [(5, 131.81, 132.00), (8, 51.80, 51.98), (10, 33.33, 33.51), (12, 23.31, 23.48), (15, 15.11, 15.27)],
)
def test_concentration_of_a_standard_deviation(sd_deg, exact, approximate):
    assert kappa_of_sd(sd_deg) == pytest.approx(exact, abs=0.005)
    assert kappa_of_mean_cosine(np.exp(-(np.radians(sd_deg) ** 2) / 2)) == pytest.approx(approximate, abs=0.005)


def test_two_square_bearings_at_equal_range_give_a_round_covariance():
    found = lenth_crossing(np.array([[0.0, -300.0], [-300.0, 0.0]]), [0.0, 90.0], kappa=131.814)
    assert found.xy_m == pytest.approx([0, 0], abs=1e-6)
    assert found.covariance_m2 == pytest.approx(np.diag([300**2 / 131.814] * 2), abs=1e-6)


@pytest.mark.parametrize(("d1", "d2", "angle"), [(300, 300, 90), (300, 300, 60), (250, 400, 45), (200, 500, 30)])
def test_area_of_two_bearings_is_the_closed_form(d1, d2, angle):
    # Closed form: two lines with normals n1, n2, information k n n' / d^2 each, so det Q = d1^2 d2^2 / (k sin b)^2.
    kappa = 1 / np.radians(8.0) ** 2
    azimuth = np.array([0.0, float(angle)])
    outward = np.stack([np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))], axis=1)
    found = lenth_crossing(-outward * np.array([[d1], [d2]]), azimuth, kappa=kappa)
    expected = -2 * np.log(0.05) * np.pi * d1 * d2 / (kappa * np.sin(np.radians(angle)))
    assert ellipse(found.covariance_m2, 0.95)[3] == pytest.approx(expected, rel=1e-9)
    printed = {(300, 300, 90): 33026, (300, 300, 60): 38136, (250, 400, 45): 51896, (200, 500, 30): 73392}
    assert expected == pytest.approx(printed[d1, d2, angle], abs=1)


def test_two_bearings_from_a_line():
    found = lenth_crossing(np.array([[0.0, 0.0], [400.0, 0.0]]), [30.0, 330.0], kappa=50.0)
    assert found.xy_m == pytest.approx([200, 346.410], abs=0.001)
    assert found.covariance_m2 == pytest.approx(np.diag([2133.33, 6400.00]), abs=0.01)


def test_the_five_station_set():
    assert azimuth_to(FIVE, TRUTH) == pytest.approx([39.987, 19.537, 352.648, 328.496, 312.357], abs=0.001)
    plain = lenth_crossing(FIVE, HEARD)
    assert plain.xy_m == pytest.approx([265.829, 292.328], abs=0.001)
    assert plain.kappa == pytest.approx(1180.2, abs=0.1)
    assert lenth_crossing(FIVE, HEARD, huber_c=1.5).xy_m == pytest.approx([265.251, 293.983], abs=0.001)
    assert ellipse(lenth_crossing(FIVE, HEARD, kappa=51.798).covariance_m2, 0.95)[3] == pytest.approx(20778, abs=1)


def test_the_five_station_set_on_the_grid():
    ear = EarshotParams(stray_share=1e-12, shared_sd_deg=0.0, half_m=1e6, cap_m=1200, cell_m=2)
    bearings = [Bearing(str(i), tuple(s), a, 8.0) for i, (s, a) in enumerate(zip(FIVE, HEARD, strict=True))]
    fix = find_bird(bearings, [], Grid(32615, -1000, 2000, 10.0, 400, 300), params=FixParams(earshot=ear))
    places, chance = centres_m(fix.chance.grid), fix.chance.values.ravel()
    assert places[chance.argmax()] == pytest.approx([266, 292], abs=2)
    assert (places * chance[:, None]).sum(axis=0) == pytest.approx([265.2, 309.6], abs=1.0)
    assert fix.ground(0.95).area_m2 == pytest.approx(24008, rel=0.01)


@pytest.mark.parametrize(("last", "plain_m", "huber_m"), [(340.0, 105, {8: 26, 10: 40}), (10.0, 384, {8: 22})])
def test_one_bearing_far_out_is_tamed_by_huber_at_a_fixed_concentration(last, plain_m, huber_m):
    heard = [*HEARD[:4], last]
    for sd_deg, error_m in huber_m.items():
        kappa = kappa_of_sd(sd_deg)
        assert np.hypot(*(lenth_crossing(FIVE, heard, kappa=kappa).xy_m - TRUTH)) == pytest.approx(plain_m, abs=1)
        tamed = lenth_crossing(FIVE, heard, kappa=kappa, huber_c=1.0)
        assert np.hypot(*(tamed.xy_m - TRUTH)) == pytest.approx(error_m, abs=1)
        assert tamed.weight[-1] < 0.5


def test_three_stops_of_the_acoustics_notes():
    # Stops (0,0), (300,0), (600,0), male (250,150), sd 12 deg, kappa 1/sd^2: axes 31.7 x 54.0 m, DRMS 62.6 m, 3.22 ha.
    stops = np.array([[0.0, 0.0], [300.0, 0.0], [600.0, 0.0]])
    found = lenth_crossing(stops, azimuth_to(stops, np.array([250.0, 150.0])), kappa=1 / np.radians(12.0) ** 2)
    spread = np.sqrt(np.linalg.eigvalsh(found.covariance_m2))
    assert spread == pytest.approx([31.7, 54.0], abs=0.05)
    assert np.hypot(*spread) == pytest.approx(62.6, abs=0.05)
    assert ellipse(found.covariance_m2, 0.95)[3] / 1e4 == pytest.approx(3.22, abs=0.005)


def test_parallel_lines_leave_the_place_open():
    found = lenth_crossing(np.array([[0.0, 0.0], [100.0, 0.0]]), [0.0, 0.0], kappa=30.0)
    assert not found.converged or condition(found.covariance_m2) > 1e6
