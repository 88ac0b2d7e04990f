"""Turning, moving and mirroring the world must turn, move and mirror a fix; norths put on can be taken off."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.special import i0, i1

from hushwalk.notes.bearing import NorthAngles, true_azimuth_deg
from hushwalk.science.bearing_error import bessel_ratio, kappa_of_sd, von_mises_density
from hushwalk.science.crossing import azimuth_to, lenth_crossing, turned

STOPS = np.array([[0.0, 0.0], [250.0, 30.0], [480.0, -40.0], [520.0, 260.0]])
errors = st.lists(st.floats(-12, 12), min_size=4, max_size=4)
angles = st.floats(-360, 360)


def crossed(stops, read):
    return lenth_crossing(stops, read, kappa=23.3)


@settings(max_examples=60, deadline=None)
@given(error=errors, turn=angles, east=st.floats(-1e6, 1e6), north=st.floats(-1e7, 1e7))
def test_a_turned_and_moved_world_gives_a_turned_and_moved_fix(error, turn, east, north):
    read = azimuth_to(STOPS, np.array([200.0, 300.0])) + np.array(error)
    first = crossed(STOPS, read)
    assume(first.converged)
    a = np.radians(turn)
    spin = np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])  # clockwise, as azimuths grow
    second = crossed(STOPS @ spin.T + [east, north], (read + turn) % 360)
    assert second.xy_m == pytest.approx(spin @ first.xy_m + np.array([east, north]), abs=1e-3)
    as_turned = spin @ first.covariance_m2 @ spin.T
    assert second.covariance_m2 == pytest.approx(as_turned, rel=1e-5, abs=1e-6 * np.trace(as_turned))


@settings(max_examples=40, deadline=None)
@given(error=errors)
def test_no_place_near_by_is_likelier(error):
    read = azimuth_to(STOPS, np.array([200.0, 300.0])) + np.array(error)
    found = crossed(STOPS, read)
    assume(found.converged)

    def likely(place):
        return np.cos(np.radians(read - azimuth_to(STOPS, place))).sum()

    for step in ([0.5, 0], [-0.5, 0], [0, 0.5], [0, -0.5]):
        assert likely(found.xy_m) >= likely(found.xy_m + np.array(step))


@given(kappa=st.floats(0.01, 600))
def test_the_mean_cosine_is_that_of_a_reference_library(kappa):
    assert bessel_ratio(kappa) == pytest.approx(i1(kappa) / i0(kappa), rel=1e-9)


@pytest.mark.parametrize("sd_deg", [1.0, 2.0, 2.6, 5.0, 12.0, 30.0, 60.0])
def test_the_density_is_whole_and_has_the_spread_asked_for(sd_deg):
    error = np.linspace(-180, 180, 200_001)
    density = von_mises_density(error, kappa_of_sd(sd_deg))
    step = np.radians(error[1] - error[0])
    assert density[:-1].sum() * step == pytest.approx(1, abs=1e-6)
    mean_cosine = (density * np.cos(np.radians(error)))[:-1].sum() * step
    assert np.degrees(np.sqrt(-2 * np.log(mean_cosine))) == pytest.approx(sd_deg, rel=1e-5)


@given(reading=st.floats(0, 360), north=st.sampled_from("MTG"), d=st.floats(-40, 40), g=st.floats(-3, 3))
def test_a_north_put_on_can_be_taken_off(reading, north, d, g):
    there = true_azimuth_deg(reading, north, NorthAngles(d, g))
    back = true_azimuth_deg(there, north, NorthAngles(-d, -g))
    assert turned(back - reading) == pytest.approx(0, abs=1e-9)
