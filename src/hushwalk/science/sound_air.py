"""How much sound the air itself swallows.

Spreading, ground, leaves and screens live in their own files; so does the weather's bending of sound.
"""

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.types import FloatArray

REFERENCE_K = 293.15
TRIPLE_POINT_K = 273.16
ZERO_CELSIUS_K = 273.15
REFERENCE_KPA = 101.325


def water_vapour_pct(
    temperature_c: ArrayLike, humidity_pct: ArrayLike, pressure_kpa: float = REFERENCE_KPA
) -> FloatArray:
    """Molar concentration of water vapour.

    Parameters
    ----------
    temperature_c, humidity_pct : any shape [degrees C], [%].
    pressure_kpa : of the air [kPa].

    Returns
    -------
    ndarray
        [%].

    References
    ----------
    iso_9613_1_1993, annex B.
    """
    kelvin = np.asarray(temperature_c, dtype=float) + ZERO_CELSIUS_K
    exponent = -6.8346 * (TRIPLE_POINT_K / kelvin) ** 1.261 + 4.6151
    vapour: FloatArray = np.asarray(humidity_pct, dtype=float) * 10**exponent * REFERENCE_KPA / pressure_kpa
    return vapour


def air_db_per_m(
    frequency_hz: ArrayLike, temperature_c: ArrayLike, humidity_pct: ArrayLike, pressure_kpa: float = REFERENCE_KPA
) -> FloatArray:
    """Atmospheric absorption of a pure tone.

    Parameters
    ----------
    frequency_hz, temperature_c, humidity_pct : shapes that broadcast [Hz], [degrees C], [%].
    pressure_kpa : of the air [kPa].

    Returns
    -------
    ndarray
        [dB/m].

    Notes
    -----
    ISO 9613-1 equations 3 to 5: classical absorption and the relaxation of oxygen and nitrogen. Below 50 Hz the
    formula is carried on beyond the standard's table; the loss is then less than 0.1 dB in 1 km.

    References
    ----------
    iso_9613_1_1993

    Examples
    --------
    >>> round(float(air_db_per_m(1000.0, 10.0, 70.0)) * 1000, 2)
    3.66
    """
    f = np.asarray(frequency_hz, dtype=float)
    kelvin = np.asarray(temperature_c, dtype=float) + ZERO_CELSIUS_K
    h = water_vapour_pct(temperature_c, humidity_pct, pressure_kpa)
    pressure, warmth = pressure_kpa / REFERENCE_KPA, kelvin / REFERENCE_K
    oxygen_hz = pressure * (24 + 4.04e4 * h * (0.02 + h) / (0.391 + h))
    nitrogen_hz = pressure * warmth**-0.5 * (9 + 280 * h * np.exp(-4.170 * (warmth ** (-1 / 3) - 1)))
    oxygen = 0.01275 * np.exp(-2239.1 / kelvin) / (oxygen_hz + f**2 / oxygen_hz)
    nitrogen = 0.1068 * np.exp(-3352.0 / kelvin) / (nitrogen_hz + f**2 / nitrogen_hz)
    classical = 1.84e-11 / pressure * warmth**0.5
    loss: FloatArray = 8.686 * f**2 * (classical + warmth**-2.5 * (oxygen + nitrogen))
    return loss
