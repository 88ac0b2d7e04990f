"""A stop whose minutes another person shares near by, so that bearings of one display cross.

Which stops these are is found where walks of two people are planned together.
"""

from dataclasses import dataclass
from datetime import datetime

from hushwalk.site.place import Place


@dataclass(frozen=True)
class CrossingStop:
    """Two stops of the same minutes, as one of the two people sees them.

    Parameters
    ----------
    stop : name of the own stop.
    person, other_stop, place : who else listens then, and the name and the place of that stop.
    begin, end : of the minutes that both share.
    apart_m : from stop to stop [m].
    azimuth_deg, magnetic_deg : from the own stop to the other, from true north and by the compass [deg].
    angle_deg : at which bearings cross over the middle half of the ground within earshot of both, lowest and highest,
        0..90 [deg]; None where no ground is within earshot of both.
    """

    stop: str
    person: str
    other_stop: str
    place: Place
    begin: datetime
    end: datetime
    apart_m: float
    azimuth_deg: float
    magnetic_deg: float
    angle_deg: tuple[float, float] | None
