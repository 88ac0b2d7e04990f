"""Light on the side of a body below crowns: sun through the gaps by its height, sky and ground, by azimuth.

How bright the sky is by the height of the sun is sky_light.py's business; cloud and snow are exposure.py's.
"""

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray

_MU, _WEIGHT = np.polynomial.legendre.leggauss(64)
_MU, _WEIGHT = (_MU + 1) / 2, _WEIGHT / 2
"""Definition: nodes and weights of the integral over the cosine from the zenith, 0..1."""
_HALVINGS = 60
_THICKEST = 20.0  # definition: crowns that let nothing through that a camera could see


def beam_gap(thickness: ArrayLike, altitude_deg: ArrayLike) -> FloatArray:
    """Share of the sun's beam that comes through level crowns of even leaves and twigs, 0..1.

    Parameters
    ----------
    thickness : K = G L, area of leaves and twigs over ground as it meets the beam, shape (...).
    altitude_deg : of the sun, shape (...) [deg].

    Returns
    -------
    ndarray, shape (...)
        exp(-K / sin h); 0 while the sun is down. It is the share of the time, or of the place, that lies in a fleck.

    References
    ----------
    monsi_saeki_1953

    Examples
    --------
    >>> beam_gap(0.35, [5.0, 9.0, 19.0]).round(2).tolist()
    [0.02, 0.11, 0.34]
    """
    height = np.sin(np.radians(np.asarray(altitude_deg, dtype=float)))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.where(height > 0, np.exp(-np.asarray(thickness) / np.maximum(height, 1e-9)), 0.0))


def sky_gap(thickness: float) -> float:
    """Share of the light of an even sky that comes through level crowns, 0..1.

    Notes
    -----
    The integral of exp(-K / m) 2 m dm over m = 0..1, which is 2 E3(K).

    References
    ----------
    monsi_saeki_1953
    """
    return float(2 * (_WEIGHT * _MU) @ np.exp(-thickness / _MU))


def thickness_of(share: float) -> float:
    """Thickness of crowns that let a share of the light of an even sky through; the inverse of :func:`sky_gap`."""
    low, high = 0.0, _THICKEST
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if sky_gap(middle) > share else (low, middle)
    return low


def ball_share(phase_deg: ArrayLike) -> FloatArray:
    """Mean over the disc that a camera sees of a ball of the cosine at which the beam falls on it.

    Parameters
    ----------
    phase_deg : angle at the ball between sun and camera, shape (...) [deg].

    Returns
    -------
    ndarray, shape (...)
        2/3 in front light, 0 with the sun behind.

    Notes
    -----
    2/3 (sin a + (pi - a) cos a) / pi, the phase curve of a ball of even matt white.

    References
    ----------
    lambert_1760
    """
    a = np.radians(np.asarray(phase_deg, dtype=float))
    return np.asarray(2 / 3 * (np.sin(a) + (np.pi - a) * np.cos(a)) / np.pi)


def phase_deg(sun_altitude_deg: ArrayLike, off_deg: ArrayLike) -> FloatArray:
    """Angle at the ball between the sun and a level camera so far off it in azimuth, shape (...) [deg]."""
    cosine = np.cos(np.radians(sun_altitude_deg)) * np.cos(np.radians(off_deg))
    return np.asarray(np.degrees(np.arccos(np.clip(cosine, -1, 1))))


def around_lux(sky_lux: ArrayLike, level_lux: ArrayLike, ground_albedo: float) -> FloatArray:
    """Light of sky and ground on an upright surface, and on the side of a ball that a level camera sees.

    Parameters
    ----------
    sky_lux : of the sky on level ground, shape (...) [lux].
    level_lux : of sky and sun on level ground, shape (...) [lux].
    ground_albedo : 0..1.

    Returns
    -------
    ndarray, shape (...)
        Half of the sky and half of what the ground throws up: both fill half of the view [lux].
    """
    return np.asarray((np.asarray(sky_lux) + ground_albedo * np.asarray(level_lux)) / 2)


def upright_lux(beam_lux: ArrayLike, sun_altitude_deg: ArrayLike, off_deg: ArrayLike) -> FloatArray:
    """Light of the beam on an upright surface.

    Parameters
    ----------
    beam_lux : square to the beam, shape (...) [lux].
    sun_altitude_deg : shape (...) [deg].
    off_deg : azimuth of the sun against the way that the surface looks, shape (...) [deg].

    Returns
    -------
    ndarray, shape (...)
        [lux]; 0 where the sun stands behind it.
    """
    facing = np.cos(np.radians(sun_altitude_deg)) * np.maximum(np.cos(np.radians(off_deg)), 0.0)
    return np.asarray(np.asarray(beam_lux) * facing)
