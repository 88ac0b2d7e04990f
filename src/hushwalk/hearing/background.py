"""What there is to listen over: the quiet of the forest, wind at the ear, running water, traffic.

What the ear can hear over it lives in science/hearing_threshold.py.
"""

from collections.abc import Mapping
from math import isfinite

import numpy as np

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.science.hearing_threshold import summed_db
from hushwalk.science.sound_tables import sound_table
from hushwalk.science.traffic_noise import road_dba, traffic_band_db, traffic_table
from hushwalk.types import FloatArray

SILENT_DB = -200.0
WATERS = ("brook", "creek", "rapids")


def wind_noise_db(bands_hz: FloatArray, wind_ms: float) -> FloatArray:
    """Noise of wind over grass and at the ear, in thirds of an octave.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].
    wind_ms : at the ear [m/s].

    Returns
    -------
    ndarray, shape (n,)
        ``37.9 lg v + 38.2 - 20 lg(f/6.3)`` [dB re 20 uPa].

    References
    ----------
    boersma_1997
    """
    if wind_ms <= 0:
        return np.full(len(bands_hz), SILENT_DB)
    table = sound_table("wind_noise")
    level = table["slope_db"] * np.log10(wind_ms) + table["at_1_ms_db"] - 20 * np.log10(bands_hz / table["from_hz"])
    noise: FloatArray = np.maximum(level, SILENT_DB)
    return noise


def water_noise_db(bands_hz: FloatArray, stream_dba: float) -> FloatArray:
    """Noise of running water in thirds of an octave.

    Parameters
    ----------
    bands_hz : shape (n,); the level falls on either side of the peak at 500 [Hz].
    stream_dba : level at the ear; NaN where there is none [dB(A)].

    Returns
    -------
    ndarray, shape (n,)
        ``L_A - 8 - 20 lg(500/f)`` up to 500 Hz, ``L_A - 8 - 10 lg(f/500)`` above [dB re 20 uPa]; a judgement.
    """
    if not isfinite(stream_dba):
        return np.full(len(bands_hz), SILENT_DB)
    table = sound_table("water_noise")
    octaves = np.log10(np.asarray(bands_hz, dtype=float) / table["peak_hz"])
    shape = np.where(octaves < 0, 20 * octaves, -table["above_db_per_decade"] * octaves)
    noise: FloatArray = stream_dba + table["band_offset_db"] + shape
    return noise


def traffic_noise_db(bands_hz: FloatArray, traffic_dba: float) -> FloatArray:
    """Noise of traffic in thirds of an octave.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].
    traffic_dba : level at the ear; NaN where there is none [dB(A)].

    Returns
    -------
    ndarray, shape (n,)
        [dB re 20 uPa].

    References
    ----------
    jonasson_2007
    """
    if not isfinite(traffic_dba):
        return np.full(len(bands_hz), SILENT_DB)
    return traffic_band_db(np.asarray(bands_hz, dtype=float), traffic_dba)


def band_noise_db(
    bands_hz: FloatArray, wind_ms: float, stream_dba: float = float("nan"), traffic_dba: float = float("nan")
) -> FloatArray:
    """Add up all noise at the ear in thirds of an octave.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].
    wind_ms : at the ear [m/s].
    stream_dba : level of running water at the ear; NaN where there is none [dB(A)].
    traffic_dba : level of traffic at the ear; NaN where there is none [dB(A)].

    Returns
    -------
    ndarray, shape (n,)
        Quiet floor, wind, water and traffic added as energies [dB re 20 uPa].
    """
    floor = np.full(len(bands_hz), float(sound_table("masking")["quiet_floor_db"]))
    wind, water = wind_noise_db(bands_hz, wind_ms), water_noise_db(bands_hz, stream_dba)
    return summed_db(floor, wind, water, traffic_noise_db(bands_hz, traffic_dba))


def stream_noise(distances: Mapping[str, Layer]) -> Layer:
    """Level of running water everywhere, from the distance to each kind of it.

    Parameters
    ----------
    distances : ``"brook"``, ``"creek"`` or ``"rapids"`` -> distance to the nearest of that kind [m]; NaN for none.

    Returns
    -------
    Layer
        [dB(A)], NaN where no water is known.

    Raises
    ------
    InputError
        If a kind is unknown or none is given.
    GridMismatchError
        If the layers lie on different grids.

    Notes
    -----
    ``L(x) = L(10 m) - 10 lg(x / 10)``, a line of sound; not nearer than 3 m; kinds add as energies.
    """
    if not distances:
        raise InputError("stream noise needs the distance to at least one kind of water")
    table = sound_table("water_noise")
    first = next(iter(distances.values()))
    energy = np.zeros(first.grid.shape)
    for kind, layer in distances.items():
        if kind not in WATERS:
            raise InputError(f"water of the kind {kind!r} is unknown; use one of: {', '.join(WATERS)}")
        far = np.maximum(first.checked_against(layer).values, table["nearest_m"])
        level = table[f"{kind}_dba"] - 10 * np.log10(far / table["reference_m"])
        energy += np.where(np.isfinite(level), 10 ** (level / 10), 0.0)
    heard = np.where(energy > 0, 10 * np.log10(np.where(energy > 0, energy, 1.0)), np.nan)
    kinds = ", ".join(distances)
    return first.with_values(heard, name="water noise", unit="dB(A)", step=f"level from the distance to {kinds}")


def road_noise(distances: Mapping[str, Layer]) -> Layer:
    """Level of traffic everywhere, from the distance to each class of busy road.

    Parameters
    ----------
    distances : class of data/tables/traffic.toml -> distance to the nearest road of it [m].

    Returns
    -------
    Layer
        As distance alone lowers it [dB(A)].

    Raises
    ------
    InputError
        If none is given.
    GridMismatchError
        If the layers lie on different grids.

    Notes
    -----
    ``L(x) = L(1 m) - 10 lg x``, a line of sound; not nearer than 5 m; classes add as energies.
    """
    if not distances:
        raise InputError("traffic noise needs the distance to at least one class of road")
    nearest_m = traffic_table()["spectrum"]["nearest_m"]
    first = next(iter(distances.values()))
    levels = [
        road_dba(kind) - 10 * np.log10(np.maximum(first.checked_against(layer).values, nearest_m))
        for kind, layer in distances.items()
    ]
    step = f"level from the distance to {', '.join(distances)}"
    return first.with_values(summed_db(*levels), name="traffic noise", unit="dB(A)", step=step)
