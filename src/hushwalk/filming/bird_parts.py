"""Face and flank of the bird, as far as a camera sees them, each in its own light.

The light itself is log_light.py's business, where the bird faces logs/log.py's.
"""

from collections.abc import Sequence
from enum import StrEnum

import numpy as np

from hushwalk.filming.log_light import LogLight
from hushwalk.logs.criteria import apart_deg
from hushwalk.science.exposure import exposure_table


class BirdPart(StrEnum):
    """An upright part of the bird that may be lit otherwise than the rest."""

    FACE = "face"
    FLANK = "flank"


def parts_seen(facing_deg: Sequence[float], side_deg: float) -> dict[BirdPart, float]:
    """Which parts of the bird a camera sees, each with the azimuth that it looks along [deg].

    Parameters
    ----------
    facing_deg : where he may face; of several the one that shows most of his face counts, none if unknown [deg].
    side_deg : azimuth of the camera from the bird [deg].

    Returns
    -------
    dict
        Face and the nearer flank, without those seen edge on.

    Examples
    --------
    >>> parts_seen((90.0,), 45.0)
    {<BirdPart.FACE: 'face'>: 90.0, <BirdPart.FLANK: 'flank'>: 0.0}
    """
    if not facing_deg:
        return {}
    face = min(facing_deg, key=lambda one: _apart(one, side_deg))
    flank = min(((face + turn) % 360 for turn in (-90.0, 90.0)), key=lambda one: _apart(one, side_deg))
    both = {BirdPart.FACE: face, BirdPart.FLANK: flank}
    most = exposure_table()["parts"]["seen_deg"]
    return {part: azimuth for part, azimuth in both.items() if _apart(azimuth, side_deg) <= most}


def parts_apart(light: LogLight, parts: dict[BirdPart, float], minutes: Sequence[int]) -> dict[BirdPart, LogLight]:
    """Give the light on each part, where two are seen and one is clearly brighter at one of some minutes.

    Parameters
    ----------
    light : at the log.
    parts : of :func:`parts_seen`.
    minutes : since midnight [min].

    Returns
    -------
    dict
        Empty where one reading does for the whole bird.
    """
    lit = {part: light.on_upright(azimuth) for part, azimuth in parts.items()}
    at = np.asarray(minutes, dtype=int)
    stops = np.array([np.log2(np.maximum(one.middle_lux[at], 1e-9)) for one in lit.values()])
    least = exposure_table()["parts"]["apart_stops"]
    return lit if len(lit) > 1 and bool((np.ptp(stops, axis=0) > least).any()) else {}


def _apart(one_deg: float, other_deg: float) -> float:
    return float(apart_deg(one_deg, other_deg))
