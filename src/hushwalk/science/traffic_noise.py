"""How loud a road is: power of its vehicles, their flow, and the level beside a line of sound.

The numbers live in data/tables/traffic.toml; which roads lie where is the site's business.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from hushwalk.science.hearing_threshold import summed_db
from hushwalk.science.sound_tables import between_bands
from hushwalk.types import FloatArray

CORNERS_HZ = (20.6, 107.7, 737.9, 12194.0)  # found: iec_61672_2013
AT_1_KHZ_DB = 2.0  # found: iec_61672_2013, so that the weighting is 0 at 1 kHz


@cache
def traffic_table() -> dict[str, Any]:
    """Give data/tables/traffic.toml as it stands."""
    path = files("hushwalk") / "data" / "tables" / "traffic.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def a_weighting_db(bands_hz: FloatArray) -> FloatArray:
    """A weighting of bands.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].

    References
    ----------
    iec_61672_2013

    Examples
    --------
    >>> a_weighting_db(np.array([63.0, 1000.0])).round(1).tolist()
    [-26.2, 0.0]
    """
    f2 = np.asarray(bands_hz, dtype=float) ** 2
    a, b, c, d = (corner**2 for corner in CORNERS_HZ)
    ratio = d * f2**2 / ((f2 + a) * np.sqrt((f2 + b) * (f2 + c)) * (f2 + d))
    return np.asarray(20 * np.log10(ratio) + AT_1_KHZ_DB)


def vehicle_power_db(kind: str, speed_kmh: float) -> FloatArray:
    """Power of one vehicle by the bands of the table.

    Parameters
    ----------
    kind : ``"light"`` or ``"heavy"``.
    speed_kmh : [km/h].

    Returns
    -------
    ndarray, shape (27,)
        Rolling and traction noise added as energies [dB re 1 pW].

    References
    ----------
    jonasson_2007
    """
    table = traffic_table()["vehicles"]
    share = speed_kmh / table["reference_kmh"]
    rolling = np.array(table[f"{kind}_rolling_a"]) + np.array(table[f"{kind}_rolling_b"]) * np.log10(share)
    traction = np.array(table[f"{kind}_traction_a"]) + np.array(table[f"{kind}_traction_b"]) * (share - 1)
    return summed_db(rolling, traction)


def road_level_db(vehicles_an_hour: float, speed_kmh: float, heavy_share: float) -> FloatArray:
    """Level one metre beside a long straight road on hard ground, by the bands of the table.

    Parameters
    ----------
    vehicles_an_hour : that pass [1/h].
    speed_kmh : [km/h].
    heavy_share : of the vehicles, 0..1.

    Returns
    -------
    ndarray, shape (27,)
        [dB re 20 uPa]; 10 lg d less at d metres.

    Notes
    -----
    A metre of road holds Q / (1000 v) vehicles. An endless line of power W a metre over a reflecting plane gives the
    intensity W / (2 d).

    References
    ----------
    jonasson_2007
    """
    mix = (("light", 1 - heavy_share), ("heavy", heavy_share))
    power = summed_db(*(vehicle_power_db(kind, speed_kmh) + 10 * np.log10(max(share, 1e-9)) for kind, share in mix))
    return np.asarray(power + 10 * np.log10(vehicles_an_hour / (1000 * speed_kmh)) - 10 * np.log10(2))


@cache
def road_dba(kind: str) -> float:
    """Level one metre beside a road of a class at dawn [dB(A)].

    Parameters
    ----------
    kind : a class of data/tables/traffic.toml, such as ``"motorway"``.
    """
    return float(summed_db(*(_class_level_db(kind) + a_weighting_db(_bands_hz()))))


def traffic_band_db(bands_hz: FloatArray, traffic_dba: float) -> FloatArray:
    """Noise of traffic in thirds of an octave, from its level.

    Parameters
    ----------
    bands_hz : shape (n,) [Hz].
    traffic_dba : level at the ear as distance alone lowers it [dB(A)].

    Returns
    -------
    ndarray, shape (n,)
        [dB re 20 uPa].

    Notes
    -----
    Woods and soft ground take more from high tones than this says; the low ones, in which a drum lies, they let pass.
    """
    like = traffic_table()["spectrum"]["like"]
    return traffic_dba + between_bands(bands_hz, _bands_hz(), _class_level_db(like)) - road_dba(like)


def _bands_hz() -> FloatArray:
    return np.array(traffic_table()["vehicles"]["band_hz"], dtype=float)


def _class_level_db(kind: str) -> FloatArray:
    table = traffic_table()["classes"]
    road = table[kind]
    return road_level_db(road["daily"] * table["dawn_share_an_hour"], road["speed_kmh"], road["heavy_share"])
