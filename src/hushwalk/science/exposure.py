"""From lux to a picture: cloud, crowns and snow on the way to the log, then aperture, shutter and ISO.

The light of sun and moon under a clear sky is sky_light.py's business.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray


@cache
def exposure_table() -> dict[str, Any]:
    """Read the constants of meters, clouds, crowns and grounds."""
    text = (files("hushwalk") / "data" / "tables" / "filming_light.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def cloud_transmittance(oktas: ArrayLike) -> FloatArray:
    """Daylight under cloud over that of a clear sky.

    Parameters
    ----------
    oktas : eighths of the sky covered, 0..8, shape (...).

    Returns
    -------
    ndarray, shape (...)
        0..1.

    Raises
    ------
    SettingsError
        If there are more than eight eighths.

    Notes
    -----
    1 - 0.75 (N / 8)^3.4. Fitted with the sun up; in twilight it is an extrapolation.

    References
    ----------
    kasten_czeplak_1980

    Examples
    --------
    >>> round(float(cloud_transmittance(6)), 3)
    0.718
    """
    n = np.asarray(oktas, dtype=float)
    if not bool(np.all((n >= 0) & (n <= 8))):  # noqa: PLR2004 - definition: eighths
        raise SettingsError(f"cloud cover is counted in oktas 0..8, got {np.asarray(oktas).tolist()}")
    table = exposure_table()["cloud"]
    return np.asarray(1 - table["depth"] * (n / 8) ** table["power"])


def snow_gain(ground_albedo: float, cloud_albedo: float) -> float:
    """Light that ground and cloud throw to and fro, over that which falls once.

    Notes
    -----
    1 / (1 - a_ground a_cloud), the sum of all bounces.

    Examples
    --------
    >>> round(snow_gain(0.8, 0.55), 2)
    1.79
    """
    return 1 / (1 - ground_albedo * cloud_albedo)


def sky_share(sun_altitude_deg: ArrayLike) -> FloatArray:
    """Share of the light of a clear sky that shade still gets: the sky without the sun.

    Parameters
    ----------
    sun_altitude_deg : shape (...) [deg].

    Returns
    -------
    ndarray, shape (...)
        1 while the sun is down, falling as it climbs.

    References
    ----------
    ies_1984
    """
    table = exposure_table()["sky_share"]
    height = np.maximum(np.sin(np.radians(np.asarray(sun_altitude_deg, dtype=float))), 1e-3)
    base, growth = table["sky_klx"]
    sky = base + growth * np.sqrt(height)
    beam = table["beam_klx"] * np.exp(-table["beam_depth"] / height) * height
    return np.asarray(sky / (sky + beam))


def iso_needed(lux: ArrayLike, f_number: float, shutter_s: float) -> FloatArray:
    """ISO that exposes rightly.

    Parameters
    ----------
    lux : at the subject, shape (...).
    f_number : of the lens, extender included.
    shutter_s : [s].

    Returns
    -------
    ndarray, shape (...)
        C N^2 / (E t); infinite in the dark.

    References
    ----------
    iso_2720_1974
    """
    light = np.asarray(lux, dtype=float)
    with np.errstate(divide="ignore"):
        return np.asarray(exposure_table()["meter"]["incident_c"] * f_number**2 / (light * shutter_s))
