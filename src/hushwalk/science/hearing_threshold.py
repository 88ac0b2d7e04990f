"""What the human ear needs: the threshold in quiet and masking by noise.

The noise itself is found by whoever knows the wind and the water.
"""

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.science.sound_tables import between_bands, sound_table
from hushwalk.types import FloatArray


def threshold_db(bands_hz: FloatArray) -> FloatArray:
    """Threshold of hearing with both ears, from the front, in a free field.

    Parameters
    ----------
    bands_hz : shape (n,) between 20 and 8000 [Hz].

    Returns
    -------
    ndarray, shape (n,)
        [dB re 20 uPa].

    References
    ----------
    iso_226_2023, iso_226_2003

    Examples
    --------
    >>> threshold_db(np.array([40.0, 63.0])).tolist()
    [51.1, 37.5]
    """
    table = sound_table("threshold")
    return between_bands(
        bands_hz, np.array(table["band_hz"], dtype=float), np.array(table["threshold_db"], dtype=float)
    )


def ear_filter_hz(frequency_hz: ArrayLike) -> FloatArray:
    """Equivalent rectangular bandwidth of the ear's filter.

    Parameters
    ----------
    frequency_hz : any shape [Hz].

    Returns
    -------
    ndarray
        [Hz].

    References
    ----------
    glasberg_moore_1990
    """
    width: FloatArray = 24.7 * (4.37 * np.asarray(frequency_hz, dtype=float) / 1000 + 1)
    return width


def ear_filter_excess_db(bands_hz: FloatArray) -> FloatArray:
    """How much more noise the ear's filter lets in than a third of an octave holds.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].

    Returns
    -------
    ndarray, shape (n,)
        [dB].
    """
    third = bands_hz * (2 ** (1 / 6) - 2 ** (-1 / 6))
    excess: FloatArray = 10 * np.log10(ear_filter_hz(bands_hz) / third)
    return excess


def masked_threshold_db(bands_hz: FloatArray, noise_db: FloatArray) -> FloatArray:
    """Level that a sound needs to be heard half of the time over noise.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].
    noise_db : shape (..., n) noise in thirds of an octave [dB re 20 uPa].

    Returns
    -------
    ndarray, shape (..., n)
        Threshold in quiet and noise in the ear's filter, added as energies [dB re 20 uPa].

    References
    ----------
    iso_226_2023, glasberg_moore_1990
    """
    over = sound_table("masking")["masked_above_noise_db"]
    masked = noise_db + ear_filter_excess_db(bands_hz) + over
    level: FloatArray = 10 * np.log10(10 ** (threshold_db(bands_hz) / 10) + 10 ** (masked / 10))
    return level


def summed_db(*levels_db: FloatArray) -> FloatArray:
    """Add levels as energies.

    Parameters
    ----------
    levels_db : arrays that broadcast [dB].

    Returns
    -------
    ndarray
        [dB].
    """
    energy = sum((10 ** (np.asarray(level, dtype=float) / 10) for level in levels_db), start=np.float64(0.0))
    total: FloatArray = 10 * np.log10(energy)
    return total
