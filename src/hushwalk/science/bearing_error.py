"""How bearings by ear err: the von Mises law, its concentration and its density.

Where bearings cross is crossing.py's business; the standard deviations of an ear stand in data/tables/field.toml.
"""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray

HALVINGS = 200  # judgement: enough to find a root to the last bit of a double


def bessel_ratio(kappa: ArrayLike) -> FloatArray:
    """Mean cosine of a von Mises error, I1(kappa) / I0(kappa).

    Parameters
    ----------
    kappa : concentration, above 0 [1], any shape.

    Notes
    -----
    Continued fraction I1/I0 = 1 / (2/k + 1 / (4/k + 1 / (6/k + ...))), worked from far below.

    Examples
    --------
    >>> float(bessel_ratio(1.0).round(6))
    0.44639
    """
    k = np.asarray(kappa, dtype=float)
    terms = int(40 + 2 * np.max(k, initial=1.0) ** 0.5 * 8)
    ratio = np.zeros_like(k)
    for n in range(terms, 0, -1):
        ratio = 1.0 / (2.0 * n / k + ratio)
    return np.asarray(ratio, dtype=np.float64)


@cache
def kappa_of_sd(sd_deg: float) -> float:
    """Concentration of a von Mises error with a given circular standard deviation.

    Parameters
    ----------
    sd_deg : circular standard deviation, above 0 [deg].

    Notes
    -----
    Solves I1(k)/I0(k) = exp(-sd^2 / 2), sd in radians, by halving. References: lenth_1981.

    Examples
    --------
    >>> round(kappa_of_sd(10.0), 2)
    33.33
    """
    aim = float(np.exp(-(np.radians(sd_deg) ** 2) / 2))
    low, high = 1e-9, 4.0 / np.radians(sd_deg) ** 2 + 4.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if float(bessel_ratio(middle)) < aim else (low, middle)
    return float((low + high) / 2)


def kappa_of_mean_cosine(mean_cosine: float) -> float:
    """Concentration by Lenth's approximation.

    Parameters
    ----------
    mean_cosine : mean cosine of the residuals, above 0 and below 1 [1].

    Notes
    -----
    1/k = 2 (1 - C) + (1 - C)^2 (0.48794 - 0.82905 C - 1.3915 C^2) / C. References: lenth_1981.

    Examples
    --------
    >>> round(kappa_of_mean_cosine(0.99784), 0)
    232.0
    """
    c = min(mean_cosine, 1.0 - 1e-12)
    return float(1.0 / (2 * (1 - c) + (1 - c) ** 2 * (0.48794 - 0.82905 * c - 1.3915 * c**2) / c))


def von_mises_density(error_deg: ArrayLike, kappa: ArrayLike) -> FloatArray:
    """Density of a bearing error.

    Parameters
    ----------
    error_deg : error, any shape [deg].
    kappa : concentration, broadcast against the errors [1].

    Returns
    -------
    ndarray
        Density [1/rad].

    Notes
    -----
    exp(k (cos e - 1)) / (2 pi I0(k) exp(-k)); for k above 500 the scaled I0 is its asymptotic series.
    """
    return von_mises_of_cosine(np.cos(np.radians(error_deg)), kappa)


def von_mises_of_cosine(cosine: ArrayLike, kappa: ArrayLike) -> FloatArray:
    """Density of a bearing error by its cosine, as :func:`von_mises_density` [1/rad]."""
    k = np.asarray(kappa, dtype=float)
    small = np.minimum(k, 500.0)
    series = (1 + 1 / (8 * k) + 9 / (128 * k**2) + 225 / (3072 * k**3)) / np.sqrt(2 * np.pi * k)
    scaled = np.where(k > small, series, np.i0(small) * np.exp(-small))
    return np.asarray(np.exp(k * (np.asarray(cosine) - 1)) / (2 * np.pi * scaled), dtype=np.float64)
