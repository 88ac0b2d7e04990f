"""What the going does to the pace: growth underfoot, snow and darkness.

The pace by slope itself is gait.py's business; the numbers live in data/tables/pace_going.toml.
"""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray


@cache
def _tables() -> dict[str, Any]:
    path = files("hushwalk") / "data" / "tables" / "pace_going.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def off_path_time_factors() -> Mapping[str, float]:
    """Time multipliers of the off-path pace by kind of growth, closed forest being 1.

    Notes
    -----
    Judgements between published extremes: the literature puts woods at 1.3 to 4 times open ground.
    """
    return MappingProxyType({kind: entry["factor"] for kind, entry in _tables()["off_path"].items()})


def night_speed_factor(sun_altitude_deg: ArrayLike, *, on_trail: bool) -> FloatArray:
    """Share of the daylight speed that is left before dawn.

    Parameters
    ----------
    sun_altitude_deg : altitude of the sun's centre [deg], any shape.
    on_trail : whether the feet are on a trail or road.

    Returns
    -------
    ndarray
        0.8 on and 0.67 off the trail in the dark, 1 from civil dawn on, and a straight ramp from nautical dawn between.

    References
    ----------
    night_march_field_guide, fm_21_18

    Examples
    --------
    >>> night_speed_factor([-20.0, -9.0, 0.0], on_trail=True).tolist()
    [0.8, 0.9, 1.0]
    """
    night = _tables()["night"]
    dark = night["on_trail" if on_trail else "off_trail"]["speed_factor"]
    knees = [night["dark_below_deg"]["value"], night["light_above_deg"]["value"]]
    return np.asarray(np.interp(np.asarray(sun_altitude_deg, dtype=float), knees, [dark, 1.0]))


def snow_sinkage_m(depth_m: ArrayLike, density_kg_m3: ArrayLike) -> FloatArray:
    """How deep a boot sinks into snow of one density.

    Parameters
    ----------
    depth_m : snow depth [m].
    density_kg_m3 : density of the snow [kg/m3].

    Returns
    -------
    ndarray
        Sinkage [m], depth (1 - density / 1186), never negative.

    References
    ----------
    snow_sinkage_crrel
    """
    packed = np.asarray(density_kg_m3, dtype=float) / (1000 * _tables()["snow"]["ice_density_g_cm3"])
    return np.asarray(np.asarray(depth_m, dtype=float) * np.maximum(1 - packed, 0.0))


def snow_energy_coefficient(sinkage_m: ArrayLike) -> FloatArray:
    """Terrain coefficient of energy for walking in snow, blacktop being 1.

    Parameters
    ----------
    sinkage_m : how deep a boot sinks [m].

    Notes
    -----
    eta = 0.0005 z^3 + 0.0001 z^2 + 0.1072 z + 1.2604 with z in cm.

    References
    ----------
    snow_sinkage_crrel
    """
    snow = _tables()["snow"]
    z_cm = 100 * np.asarray(sinkage_m, dtype=float)
    return np.asarray(snow["cubic"] * z_cm**3 + snow["square"] * z_cm**2 + snow["linear"] * z_cm + snow["bare"])


def snow_speed_factor(sinkage_m: ArrayLike) -> FloatArray:
    """Share of the snow-free speed that is left, 1 where nothing sinks.

    Parameters
    ----------
    sinkage_m : how deep a boot sinks [m], 0 for bare ground.

    Raises
    ------
    SettingsError
        If the sinkage is negative.

    Notes
    -----
    At the same metabolic power on the flat, speed goes as eta^-0.5.

    References
    ----------
    snow_sinkage_crrel, pandolf_1977
    """
    sinkage = np.asarray(sinkage_m, dtype=float)
    if not np.all(sinkage >= 0):
        raise SettingsError(f"snow sinkage must be 0 m or more, got {sinkage.min():g}")
    slowed = snow_energy_coefficient(sinkage) ** _tables()["snow"]["speed_exponent"]
    return np.where(sinkage > 0, slowed, 1.0)


def usual_sinkage_m(snow: str) -> float:
    """Sinkage to expect for the words of a trip file, ``"none"``, ``"old"`` or ``"fresh"`` [m].

    Raises
    ------
    SettingsError
        If the word is another.
    """
    usual = {k: v for k, v in _tables()["snow"]["usual_sinkage_m"].items() if k != "source"}
    if snow not in usual:
        raise SettingsError(f"weather.snow {snow!r} is not one of {', '.join(usual)}")
    return float(usual[snow])
