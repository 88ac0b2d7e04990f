"""Whether a car can stand where the trip file says: in water or not, and how far from the nearest road.

Whether feet get away from there is the walk network's business.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from hushwalk.grid.points import to_lonlat
from hushwalk.site.reading.ways import WayTraits
from hushwalk.site.site import Site

FAR_M = 150.0  # judgement: a car stands on or beside a road; maps and places are off by some ten metres
SHORE_M = 30.0  # judgement: cover of such cells shows a road along a shore as water


@dataclass(frozen=True)
class NearestRoad:
    """The nearest place on a road or track that a layer shows.

    Parameters
    ----------
    far_m : from the car [m].
    azimuth_deg : of it from the car, clockwise from grid north [deg].
    lon_deg, lat_deg : of it [deg].
    """

    far_m: float
    azimuth_deg: float
    lon_deg: float
    lat_deg: float


def car_in_water(site: Site) -> bool:
    """Whether the cell of the car is open water."""
    return bool(site.ground.water[site.grid.cell_at(np.array(site.car.xy_m), "place.car")])


def nearest_road(site: Site) -> NearestRoad | None:
    """Find the nearest road or track; None where no layer shows any on the ground of the trip."""
    tracks = (one for one in site.inputs.features["trails"] if _is_track(one.traits))
    lines = [*site.inputs.shapes("roads"), *(one.geometry for one in tracks)]
    if not lines:
        return None
    car = shapely.Point(site.car.xy_m)
    line = lines[int(np.argmin(shapely.distance(np.array(lines, dtype=object), car)))]
    on_road = shapely.get_coordinates(shapely.shortest_line(car, line))[-1]
    east, north = on_road - np.asarray(site.car.xy_m)
    lon, lat = to_lonlat(site.grid.epsg, on_road).tolist()
    return NearestRoad(float(np.hypot(east, north)), float(np.degrees(np.arctan2(east, north)) % 360), lon, lat)


def _is_track(traits: object) -> bool:
    return isinstance(traits, WayTraits) and traits.kind == "track"
