"""Closed forms for light through level crowns and on a ball, and figures worked out elsewhere."""

import numpy as np
import pytest
from scipy.special import expn

from hushwalk.science.exposure import sky_share
from hushwalk.science.side_light import (
    around_lux,
    ball_share,
    beam_gap,
    phase_deg,
    sky_gap,
    thickness_of,
    upright_lux,
)


@pytest.mark.parametrize("thickness", [0.05, 0.356, 1.0, 3.0])
def test_an_even_sky_through_level_crowns_is_the_third_exponential_integral(thickness: float) -> None:
    assert sky_gap(thickness) == pytest.approx(2 * expn(3, thickness), rel=1e-4)


@pytest.mark.parametrize("share", [0.059, 0.26, 0.55, 1.0])
def test_the_thickness_is_found_again(share: float) -> None:
    assert sky_gap(thickness_of(share)) == pytest.approx(share, abs=1e-6)


def test_the_beam_of_a_low_sun_is_nearly_gone() -> None:
    """Crowns that let 55 per cent of the sky through: 0.02, 0.10 and 0.33 of the beam at 5, 9 and 19 degrees."""
    assert beam_gap(thickness_of(0.55), [5.0, 9.0, 19.0]) == pytest.approx([0.02, 0.10, 0.33], abs=0.005)
    assert beam_gap(0.5, [90.0, -3.0]) == pytest.approx([np.exp(-0.5), 0.0])


def test_a_ball_in_the_sun_by_adding_up_its_disc() -> None:
    """Mean over the disc of max(0, n . sun), point by point, against the closed form."""
    step = np.linspace(-1, 1, 801)
    y, z = np.meshgrid(step, step)
    inside = y**2 + z**2 < 1
    x = np.sqrt(np.where(inside, 1 - y**2 - z**2, 0))  # the camera looks from x
    for phase in (0.0, 30.0, 90.0, 150.0, 180.0):
        a = np.radians(phase)
        mean = np.maximum(x * np.cos(a) + y * np.sin(a), 0)[inside].mean()
        assert float(ball_share(phase)) == pytest.approx(mean, abs=2e-3)
    assert float(ball_share(0.0)) == pytest.approx(2 / 3)


def test_a_ball_under_an_even_sky_by_adding_up_its_disc() -> None:
    """A point whose normal leans b from the zenith gets (1 + cos b) / 2 of the sky and the rest from the ground."""
    step = np.linspace(-1, 1, 801)
    y, z = np.meshgrid(step, step)
    inside = y**2 + z**2 < 1
    sky, ground = (1 + z[inside]) / 2, (1 - z[inside]) / 2
    mean = float((100 * sky + 0.2 * 130 * ground).mean())
    assert float(around_lux(100.0, 130.0, 0.2)) == pytest.approx(mean, rel=1e-3)


@pytest.mark.parametrize(("altitude", "towards", "away"), [(9, 1.6, -1.4), (19, 1.2, -2.0), (29, 0.7, -2.2)])
def test_a_flank_towards_the_sun_and_one_away_from_it(altitude: float, towards: float, away: float) -> None:
    """Worked out apart from this code: IES 1984 sky and beam, even sky, ground of 0.2, against level ground."""
    share = float(sky_share(altitude))
    beam = (1 - share) / np.sin(np.radians(altitude))
    ambient = float(around_lux(share, 1.0, 0.2))
    assert np.log2(ambient + float(upright_lux(beam, altitude, 0.0))) == pytest.approx(towards, abs=0.05)
    assert np.log2(ambient + float(upright_lux(beam, altitude, 180.0))) == pytest.approx(away, abs=0.05)


def test_the_angle_between_sun_and_camera() -> None:
    assert phase_deg([0.0, 0.0, 90.0], [0.0, 180.0, 40.0]) == pytest.approx([0.0, 180.0, 90.0])
