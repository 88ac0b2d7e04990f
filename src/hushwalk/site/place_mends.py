"""Slips in typing a place: a longitude without its minus sign, latitude and longitude swapped, or both.

Whether a slip is likely is for the reader of layers and the range of the bird to say.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum


class Slip(Enum):
    """What may have gone wrong in typing a place."""

    NO_MINUS = "the minus sign of the longitude is missing"
    SWAPPED = "latitude and longitude are swapped"
    BOTH = "latitude and longitude are swapped, and the minus sign of the longitude is missing"


@dataclass(frozen=True)
class Mend:
    """The place that is meant if a slip was made [deg]."""

    slip: Slip
    lon_deg: float
    lat_deg: float


def likely_mend(lon_deg: float, lat_deg: float, fits: Callable[[float, float], bool]) -> Mend | None:
    """Give the first slip whose mend fits, or None.

    Parameters
    ----------
    lon_deg, lat_deg : as read.
    fits : tells of a longitude and latitude whether the place can be meant.

    Returns
    -------
    Mend or None
    """
    swapped = abs(lon_deg) <= 90  # noqa: PLR2004 - else it is no latitude
    mends = [Mend(Slip.NO_MINUS, -lon_deg, lat_deg)]
    mends += [Mend(Slip.SWAPPED, lat_deg, lon_deg), Mend(Slip.BOTH, -lat_deg, lon_deg)] if swapped else []
    return next((mend for mend in mends if fits(mend.lon_deg, mend.lat_deg)), None)
