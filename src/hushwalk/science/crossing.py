"""Where bearings cross: azimuths between places, Lenth's maximum-likelihood estimate.

How bearings err is bearing_error.py's business; what habitat, earshot and silence add is birds/posterior.py's.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.science.bearing_error import kappa_of_mean_cosine
from hushwalk.types import FloatArray

CONVERGED_M = 1e-7  # judgement: far below anything a compass can tell, so that two ways of solving agree
STEPS_MAX = 500  # judgement: a fix that has not converged by then wanders off to infinity
SHARE = 0.8  # definition: of the ellipse of the ground that a fix leaves, as in search and season


@dataclass(frozen=True, eq=False)
class Crossing:
    """A maximum-likelihood place from bearings.

    Parameters
    ----------
    xy_m : shape (2,) easting and northing [m].
    kappa : concentration of the bearing errors [1].
    covariance_m2 : shape (2, 2) [m2]; infinite where the geometry leaves a direction open.
    residual_deg : shape (n,) bearing read minus bearing to the place [deg].
    weight : shape (n,) 0..1; below 1 where a robust rule trusts a bearing less.
    converged : False if the iteration did not come to rest.
    """

    xy_m: FloatArray
    kappa: float
    covariance_m2: FloatArray = field(repr=False)
    residual_deg: FloatArray
    weight: FloatArray
    converged: bool


def azimuth_to(station_m: FloatArray, place_m: FloatArray) -> FloatArray:
    """Azimuth from stations to places, 0..360, clockwise from the north of the grid.

    Parameters
    ----------
    station_m, place_m : shape (..., 2) [m], broadcast against each other.
    """
    step = np.asarray(place_m, dtype=float) - np.asarray(station_m, dtype=float)
    return np.asarray(np.degrees(np.arctan2(step[..., 0], step[..., 1])) % 360.0, dtype=np.float64)


def turned(angle_deg: ArrayLike) -> FloatArray:
    """Bring angles into -180..180 [deg].

    Examples
    --------
    >>> float(turned(350.0))
    -10.0
    """
    return np.asarray((np.asarray(angle_deg, dtype=float) + 180.0) % 360.0 - 180.0, dtype=np.float64)


def crossing_angle_deg(azimuth_deg: ArrayLike) -> float:
    """Largest angle at which any two of the bearing lines cross, 0..90 [deg]; 0 for one bearing.

    Examples
    --------
    >>> crossing_angle_deg([350.0, 50.0])
    60.0
    """
    a = np.asarray(azimuth_deg, dtype=float)
    between = np.abs(turned(a[:, None] - a[None, :]))
    return float(np.minimum(between, 180.0 - between).max(initial=0.0))


def lenth_crossing(
    station_m: FloatArray,
    azimuth_deg: ArrayLike,
    *,
    kappa: ArrayLike | None = None,
    huber_c: float | None = None,
) -> Crossing:
    """Maximum-likelihood place of a source from bearings.

    Parameters
    ----------
    station_m : shape (n, 2), n at least 2, easting and northing [m].
    azimuth_deg : shape (n,) bearings from the north of the same grid [deg].
    kappa : concentration [1], one for all or shape (n,); None estimates one from the residuals.
    huber_c : turning point of Huber's weights [standard deviations]; None trusts all bearings alike.

    Returns
    -------
    Crossing
        With ``converged`` False where the lines do not meet in a place.

    Notes
    -----
    Lenth's iteration: with s, c the sine and cosine of the line, z = s x_i - c y_i, and s* = (y - y_i)/d^3,
    c* = (x - x_i)/d^3, solve [[sum w s* s, -sum w s* c], [-sum w c* s, sum w c* c]] p = [sum w s* z, -sum w c* z].
    Huber: t = sign(e) sqrt(2 k (1 - cos e)), w = min(1, c / |t|). With a fixed kappa the weights are useful even for
    few bearings, with an estimated one they are not. References: lenth_1981.

    Examples
    --------
    >>> found = lenth_crossing(np.array([[0.0, -300.0], [-300.0, 0.0]]), [0.0, 90.0], kappa=50.0)
    >>> bool(np.allclose(found.xy_m, 0.0, atol=1e-6))
    True
    """
    centre = np.mean(station_m, axis=0)
    stations = np.asarray(station_m, dtype=float) - centre
    azimuth = np.asarray(azimuth_deg, dtype=float)
    line = np.radians(90.0 - azimuth)
    s, c = np.sin(line), np.cos(line)
    fixed = None if kappa is None else np.broadcast_to(np.asarray(kappa, dtype=float), s.shape)
    trust = np.ones_like(s) if fixed is None else fixed / fixed.mean()
    weight, k = np.ones_like(s), 1.0
    place, converged = _solve(s, c, s, c, stations, trust), False
    for _ in range(STEPS_MAX):
        if not np.all(np.isfinite(place)):
            break
        error = turned(azimuth - azimuth_to(stations, place))
        k = _shared_kappa(error, weight) if fixed is None else float(fixed.mean())
        if huber_c is not None:
            weight = _huber(error, np.full_like(s, k) if fixed is None else fixed, huber_c)
        distance = np.hypot(*(place - stations).T).clip(1e-6)
        sharp_s, sharp_c = ((place - stations)[:, 1] / distance**3, (place - stations)[:, 0] / distance**3)
        improved = _solve(sharp_s, sharp_c, s, c, stations, trust * weight)
        converged = bool(np.hypot(*(improved - place)) < CONVERGED_M)
        place = improved
        if converged:
            break
    return _crossing(place, centre, stations, azimuth, s, c, weight, fixed, converged=converged)


def _solve(
    sharp_s: FloatArray,
    sharp_c: FloatArray,
    s: FloatArray,
    c: FloatArray,
    stations: FloatArray,
    w: FloatArray,
) -> FloatArray:
    z = s * stations[:, 0] - c * stations[:, 1]
    left = np.array(
        [[(w * sharp_s * s).sum(), -(w * sharp_s * c).sum()], [-(w * sharp_c * s).sum(), (w * sharp_c * c).sum()]]
    )
    right = np.array([(w * sharp_s * z).sum(), -(w * sharp_c * z).sum()])
    try:
        return np.asarray(np.linalg.solve(left, right), dtype=np.float64)
    except np.linalg.LinAlgError:
        return np.full(2, np.nan)


def _huber(error_deg: FloatArray, kappa: FloatArray, turning: float) -> FloatArray:
    t = np.sqrt(2 * kappa * (1 - np.cos(np.radians(error_deg))))
    return np.asarray(np.minimum(1.0, turning / np.maximum(t, 1e-12)), dtype=np.float64)


def _shared_kappa(error_deg: FloatArray, weight: FloatArray) -> float:
    mean = float((weight * np.cos(np.radians(error_deg))).sum() / weight.sum())
    return kappa_of_mean_cosine(mean) if mean > 0 else 1e-3


def _crossing(
    place: FloatArray,
    centre: FloatArray,
    stations: FloatArray,
    azimuth: FloatArray,
    s: FloatArray,
    c: FloatArray,
    weight: FloatArray,
    fixed: FloatArray | None,
    *,
    converged: bool,
) -> Crossing:
    error = turned(azimuth - azimuth_to(stations, place))
    kappa = np.full_like(s, _shared_kappa(error, weight)) if fixed is None else fixed
    step = place - stations
    distance = np.hypot(step[:, 0], step[:, 1]).clip(1e-6)
    sharp_s, sharp_c = step[:, 1] / distance**3, step[:, 0] / distance**3
    w = weight * kappa
    across = -0.5 * (w * (sharp_s * c + sharp_c * s)).sum()
    known = np.array([[(w * sharp_s * s).sum(), across], [across, (w * sharp_c * c).sum()]])
    good = bool(np.all(np.isfinite(known))) and float(np.linalg.det(known)) > 0
    covariance = np.linalg.inv(known) if good else np.full((2, 2), np.inf)
    return Crossing(place + centre, float(kappa.mean()), covariance, error, weight, converged and good)


def condition(covariance_m2: FloatArray) -> float:
    """How unevenly a place is known: largest over smallest eigenvalue of its covariance, infinite if open."""
    if not np.all(np.isfinite(covariance_m2)):
        return float("inf")
    spread = np.linalg.eigvalsh(np.asarray(covariance_m2, dtype=float))
    return float("inf") if spread[0] <= 0 else float(spread[1] / spread[0])


def crossing_area_m2(first_m: FloatArray, second_m: FloatArray, places_m: FloatArray, sd_deg: float) -> FloatArray:
    """Ground that two bearings leave of a source, with a chance of 80 %.

    Parameters
    ----------
    first_m, second_m : shape (2,), where the bearings are read [m].
    places_m : shape (n, 2), where the source is [m].
    sd_deg : error of each bearing [deg].

    Returns
    -------
    ndarray
        Shape (n,); infinite where the lines lie along each other [m2].

    Notes
    -----
    Two lines that miss by ``s d_i`` at distances d_i and cross at the angle g leave the covariance of determinant
    ``s^4 d_1^2 d_2^2 / sin(g)^2``, so that the ellipse of 80 % holds ``-2 ln(0.2) pi s^2 d_1 d_2 / |sin(g)|``.
    """
    places = np.asarray(places_m, dtype=float)
    far = [np.hypot(*(places - np.asarray(one, dtype=float)).T) for one in (first_m, second_m)]
    angle = np.radians(azimuth_to(np.asarray(first_m), places) - azimuth_to(np.asarray(second_m), places))
    with np.errstate(divide="ignore"):
        area = -2 * np.log(1 - SHARE) * np.pi * np.radians(sd_deg) ** 2 * far[0] * far[1] / np.abs(np.sin(angle))
    return np.asarray(area)
