"""A place in every form that a person may need it.

How a place becomes one is site.py's business.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """A place in every form that a person may need it. ``xy_m`` is easting, northing on the grid of the trip."""

    name: str
    xy_m: tuple[float, float]
    lon_deg: float
    lat_deg: float
    elevation_m: float
    utm: str
    usng: str
