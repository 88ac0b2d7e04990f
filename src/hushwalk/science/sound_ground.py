"""What the ground adds or takes: porous or hard soil, and snow on it.

Hills that stand in the way live in sound_screen.py.
"""

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.science.sound_tables import between_bands, sound_table
from hushwalk.types import FloatArray

OCTAVES_HZ = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
REGION_HEIGHTS = 30.0
SNOWS = ("none", "old", "fresh")


def middle_share(distance_m: ArrayLike, bird_height_m: float, ear_height_m: float) -> FloatArray:
    """Share ``q`` of the middle region in the path.

    Parameters
    ----------
    distance_m : any shape [m].
    bird_height_m, ear_height_m : heights above the ground [m].

    Returns
    -------
    ndarray
        ``1 - 30 (hs + hr) / d``, never below 0 [1].

    References
    ----------
    iso_9613_2_1996, table 3.
    """
    d = np.maximum(np.asarray(distance_m, dtype=float), 1e-9)
    q: FloatArray = np.maximum(1 - REGION_HEIGHTS * (bird_height_m + ear_height_m) / d, 0.0)
    return q


def porous_terms(height_m: float, distance_m: ArrayLike) -> FloatArray:
    """Functions a', b', c', d' of ISO 9613-2 for the region round the bird or the ear.

    Parameters
    ----------
    height_m : above the ground [m].
    distance_m : shape (...) [m].

    Returns
    -------
    ndarray, shape (4, ...)
        For 125, 250, 500 and 1000 Hz [dB].

    References
    ----------
    iso_9613_2_1996, table 3.
    """
    d, h = np.asarray(distance_m, dtype=float), height_m
    near = 1 - np.exp(-d / 50)
    a = 1.5 + 3.0 * np.exp(-0.12 * (h - 5) ** 2) * near + 5.7 * np.exp(-0.09 * h**2) * (1 - np.exp(-2.8e-6 * d**2))
    b = 1.5 + 8.6 * np.exp(-0.09 * h**2) * near
    c = 1.5 + 14.0 * np.exp(-0.46 * h**2) * near
    e = 1.5 + 5.0 * np.exp(-0.90 * h**2) * near
    return np.stack([a, b, c, e])


def octave_ground_db(
    distance_m: ArrayLike, bird_height_m: float, ear_height_m: float, ground_factor: float = 1.0
) -> FloatArray:
    """Ground attenuation in the eight octave bands; negative is a gain.

    Parameters
    ----------
    distance_m : shape (...) [m].
    bird_height_m, ear_height_m : heights above the ground [m].
    ground_factor : G, 0 for hard ground to 1 for porous ground, the same all along.

    Returns
    -------
    ndarray, shape (8, ...)
        ``As + Ar + Am`` [dB].

    References
    ----------
    iso_9613_2_1996, equation 9 and table 3.
    """
    d, g = np.asarray(distance_m, dtype=float), ground_factor
    q = middle_share(d, bird_height_m, ear_height_m)
    ends = g * (porous_terms(bird_height_m, d) + porous_terms(ear_height_m, d)) - 3.0
    middle = -3.0 * q * (1 - g)
    lowest = -3.0 - 3.0 * q
    high = -3.0 * (1 - g) + middle
    return np.concatenate([lowest[np.newaxis], ends + middle, np.stack([high] * 3)])


def ground_db(
    bands_hz: FloatArray,
    distance_m: FloatArray,
    bird_height_m: float,
    ear_height_m: float,
    ground_factor: float = 1.0,
) -> FloatArray:
    """Ground attenuation in third-octave bands; negative is a gain.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].
    distance_m : shape (m,) [m].
    bird_height_m, ear_height_m, ground_factor : as in :func:`octave_ground_db`.

    Returns
    -------
    ndarray, shape (n, m)
        Straight between octaves along the logarithm of frequency; below 63 Hz as at 63 Hz [dB].

    References
    ----------
    iso_9613_2_1996
    """
    octaves = octave_ground_db(distance_m, bird_height_m, ear_height_m, ground_factor)
    place = np.interp(np.log2(bands_hz), np.log2(OCTAVES_HZ), np.arange(len(OCTAVES_HZ), dtype=float))
    lower = np.minimum(place.astype(int), len(OCTAVES_HZ) - 2)
    share = (place - lower)[:, np.newaxis]
    blended: FloatArray = octaves[lower] * (1 - share) + octaves[lower + 1] * share
    return blended


def snow_db(bands_hz: FloatArray, snow: str) -> FloatArray:
    """Give the extra loss over deep snow against bare ground.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].
    snow : ``"none"`` (also less than 0.1 m), ``"old"`` (wet or old, 0.5 m) or ``"fresh"`` (soft, 0.3 m or more).

    Returns
    -------
    ndarray, shape (n,)
        [dB]. Low confidence: the table is a judgement.

    Raises
    ------
    ValueError
        If the word for the snow is not one of the three.
    """
    if snow not in SNOWS:
        raise ValueError(f"snow is one of {', '.join(SNOWS)}, not {snow!r}")
    table = sound_table("snow")
    return between_bands(bands_hz, np.array(table["band_hz"], dtype=float), np.array(table[f"{snow}_db"], dtype=float))
