"""How bright a clear sky makes open ground: sun and moon by their altitude, and the night's own light.

Where they stand is the business of sun.py and moon.py; cloud and leaves take their share elsewhere.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray


@cache
def light_table() -> dict[str, Any]:
    """Read the published coefficients and the thresholds of walking by night."""
    text = (files("hushwalk") / "data" / "tables" / "sky_light.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def sun_lux(altitude_deg: ArrayLike) -> FloatArray:
    """Illuminance of open level ground by a clear sky with the sun at an altitude.

    Parameters
    ----------
    altitude_deg : airless altitude of the sun's centre, shape (...) [deg].

    Returns
    -------
    ndarray, shape (...)
        [lux]; 0 below -18 degrees.

    Notes
    -----
    log10 E = l0 + l1 x + l2 x^2 + l3 x^3 with x = altitude / 90, in six pieces. Real dawns vary by a factor of about 2.

    References
    ----------
    usno_circular_171

    Examples
    --------
    >>> float(sun_lux(-6.0).round(2))
    3.41
    """
    return _pieces(light_table()["sun"], altitude_deg)


def moon_lux(altitude_deg: ArrayLike, lit_fraction: ArrayLike) -> FloatArray:
    """Illuminance of open level ground by the moon under a clear sky.

    Parameters
    ----------
    altitude_deg : airless altitude of the moon's centre, shape (...) [deg].
    lit_fraction : lit share of its disc, 0 (new) .. 1 (full), shape (...).

    Returns
    -------
    ndarray, shape (...)
        [lux]; 0 while it is down.

    Notes
    -----
    The full moon's cubic times 10^(-0.00868 f - 2.2e-9 f^4), f the phase angle: a half moon gives an eighth of a full
    one, so say lux, not per cent.

    References
    ----------
    usno_circular_171
    """
    table = light_table()
    phase = np.degrees(np.arccos(np.clip(2 * np.asarray(lit_fraction, dtype=float) - 1, -1, 1)))
    fainter = 10 ** (table["moon_phase_linear"] * phase + table["moon_phase_quartic"] * phase**4)
    return np.asarray(_pieces(table["moon"], altitude_deg) * fainter)


def _pieces(rows: list[list[float]], altitude_deg: ArrayLike) -> FloatArray:
    altitude = np.asarray(altitude_deg, dtype=float)
    x = altitude / 90
    above = [altitude >= low for low, _, *_ in rows]  # from the zenith down: the first piece that begins below holds
    cubics = [np.polynomial.polynomial.polyval(x, coefficients) for _, _, *coefficients in rows]
    exponent = np.select(above, cubics, default=np.where(np.isnan(altitude), np.nan, -np.inf))
    return np.asarray(10.0**exponent)
