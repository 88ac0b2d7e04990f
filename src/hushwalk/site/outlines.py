"""Outlines of ranges and regions as species cards draw them, and how far a place lies from them.

What follows from it for a trip is bird_range.py's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

import numpy as np
import shapely
from annotated_types import Len

KM_PER_DEGREE = 111.2  # definition: of latitude, on a sphere of 6371 km

Outline = Annotated[list[tuple[float, float]], Len(3)]
"""Corners of an area as (longitude, latitude) in degrees."""


@dataclass(frozen=True)
class RangeTable:
    """Where the bird lives."""

    __pydantic_config__: ClassVar[dict[str, Any]] = {"extra": "forbid", "allow_inf_nan": False}

    outlines: Annotated[list[Outline], Len(1)]
    source: str


def distance_km(outlines: Sequence[Outline], lon_deg: float, lat_deg: float) -> float:
    """Distance of a place from the nearest outline, 0 within one.

    Parameters
    ----------
    outlines : corners as (longitude, latitude).
    lon_deg, lat_deg : of the place.

    Returns
    -------
    float
        [km], on a map that is true at the latitude of the place; far away it is only roughly right.
    """
    scale = np.array([np.cos(np.radians(lat_deg)), 1.0]) * KM_PER_DEGREE
    place = shapely.Point(0.0, 0.0)
    found = []
    for corners in outlines:
        moved = np.asarray(corners, dtype=float) - (lon_deg, lat_deg)
        around = -360.0 if moved[:, 0].mean() > 180 else 360.0 if moved[:, 0].mean() < -180 else 0.0  # noqa: PLR2004
        moved[:, 0] += around
        found.append(shapely.Polygon(moved * scale).distance(place))
    return float(min(found))
