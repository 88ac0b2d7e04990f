"""The ground that is gathered: its limits in degrees, in the cells of a service, and the files that hold it.

What lies in the files is the business of the families of services.
"""

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import product
from math import asinh, ceil, cos, floor, pi, radians, tan
from typing import Any

import tzdata
from rasterio.warp import transform_bounds

from hushwalk.errors import SettingsError
from hushwalk.gather.services import Service, european_countries
from hushwalk.grid.systems import Box
from hushwalk.site.time_zone import zone_at

MARGIN_M = 1500.0  # judgement: cover counts up to 1,600 m off, and water is heard from beyond the ground
KM_PER_DEG = 111.195  # definition: a degree of a sphere of 6,371 km
DIGITS = 4  # definition: decimals of limits in degrees, about 10 m
ROUND = 1e-9  # judgement: what binary fractions leave
LARGEST_KM = 320.0  # judgement: what a region of 100 km round a place measures across, with its margin
DENSE = 21  # judgement: points along each side when a box is carried to another system
LOWER_48 = Box(-125.0, 24.3, -66.5, 49.5)  # judgement: round the states for which the national grids are made


@dataclass(frozen=True)
class Cells:
    """A rectangle of cells in the system of a service: ``cols`` x ``rows`` of ``cell_m`` from the north-west corner."""

    box: Box
    epsg: int
    cell_m: float

    @property
    def cols(self) -> int:
        """Columns."""
        return round((self.box.east - self.box.west) / self.cell_m)

    @property
    def rows(self) -> int:
        """Rows."""
        return round((self.box.north - self.box.south) / self.cell_m)


def square_round(lat_deg: float, lon_deg: float, half_m: float) -> Box:
    """Give the limits of a square round a place, rounded outward [deg].

    Parameters
    ----------
    lat_deg, lon_deg : the place.
    half_m : half of a side [m].

    Returns
    -------
    Box

    Raises
    ------
    SettingsError
        If the square reaches over a pole or the date line, or is larger than a region.

    Examples
    --------
    >>> square_round(47.62, -91.70, 4000.0)
    Box(west=-91.7534, south=47.584, east=-91.6466, north=47.656)
    """
    tall = half_m / 1000 / KM_PER_DEG
    wide = tall / max(cos(radians(lat_deg)), ROUND)
    return checked_box(
        Box(
            *(_down(value) for value in (lon_deg - wide, lat_deg - tall)),
            *(-_down(-value) for value in (lon_deg + wide, lat_deg + tall)),
        )
    )


def checked_box(box: Box) -> Box:
    """Give limits in degrees, if they are those of some ground that can be gathered.

    Raises
    ------
    SettingsError
        If they are turned round, reach over a pole or the date line, or hold more than a region.
    """
    if not (-180 <= box.west < box.east <= 180 and -85 <= box.south < box.north <= 85):  # noqa: PLR2004 - the globe
        raise SettingsError(
            f"{box.west:g}, {box.south:g}, {box.east:g}, {box.north:g} must be west, south, east, north in degrees, "
            "between -180 and 180 and between -85 and 85"
        )
    if max(size_km(box)) > LARGEST_KM:
        wide, tall = size_km(box)
        raise SettingsError(
            f"the ground is {wide:.0f} x {tall:.0f} km; at most {LARGEST_KM:.0f} km are gathered at once"
        )
    return box


def size_km(box: Box) -> tuple[float, float]:
    """Give width and height of limits in degrees [km]."""
    across = cos(radians((box.south + box.north) / 2))
    return (box.east - box.west) * KM_PER_DEG * across, (box.north - box.south) * KM_PER_DEG


def region_of(box: Box) -> str:
    """Tell which row of the defaults holds for some ground, by the country of its middle.

    References
    ----------
    timezone_boundary_builder
    """
    lon, lat = (box.west + box.east) / 2, (box.south + box.north) / 2
    country = _countries().get(zone_at(lon, lat), "")
    if country == "US":
        return "us" if LOWER_48.holds(lon, lat) else "us_beyond"
    return "ca" if country == "CA" else "europe" if country in european_countries() else "world"


def cells_of(box: Box, one: Service, cell_m: float | None = None) -> Cells:
    """Give the cells of a service that hold some ground, snapped outward to where their edges lie.

    Parameters
    ----------
    box : limits [deg].
    one : a service with a system of its own.
    cell_m : its cells, where larger ones are wanted than its own [m].

    Returns
    -------
    Cells
    """
    step, epsg = cell_m or one.cell_m, one.epsg or 4326
    snap = max(step, one.snap_m)
    west, south, east, north = transform_bounds("EPSG:4326", f"EPSG:{epsg}", *_corners(box), densify_pts=DENSE)
    low = [floor((value - one.origin_m) / snap) * snap + one.origin_m for value in (west, south)]
    high = [ceil((value - one.origin_m) / snap) * snap + one.origin_m for value in (east, north)]
    return Cells(Box(low[0], low[1], high[0], high[1]), epsg, step)


def tiles_of(box: Box, one: Service) -> tuple[dict[str, Any], ...]:
    """Give the names that stand in the addresses of the files which hold some ground.

    Parameters
    ----------
    box : limits [deg].
    one : a service of files.

    Returns
    -------
    tuple of dict
        From the north-west to the south-east; one empty dict where one file holds all.
    """
    if one.tile_zoom is not None:
        return tuple({"quadkey": key} for key in _quadkeys(box, one.tile_zoom))
    if one.tile_deg is None:
        return ({},)
    step = one.tile_deg
    lats = range(floor(box.south / step) * step, ceil(box.north / step) * step, step)
    lons = range(floor(box.west / step) * step, ceil(box.east / step) * step, step)
    up = step if one.corner == "north-west" else 0
    return tuple(_corner_names(lat + up, lon) for lat, lon in product(reversed(lats), lons))


def _corner_names(lat: int, lon: int) -> dict[str, Any]:
    north_south, east_west = "S" if lat < 0 else "N", "W" if lon < 0 else "E"
    small = {"ns": north_south.lower(), "ew": east_west.lower()}
    return {"NS": north_south, "EW": east_west, "lat": abs(lat), "lon": abs(lon), **small}


def _quadkeys(box: Box, zoom: int) -> list[str]:
    west, north = _mercator_tile(box.west, box.north, zoom)
    east, south = _mercator_tile(box.east, box.south, zoom)
    return [_quadkey(x, y, zoom) for y, x in product(range(north, south + 1), range(west, east + 1))]


def _mercator_tile(lon_deg: float, lat_deg: float, zoom: int) -> tuple[int, int]:
    n = 2**zoom
    return floor((lon_deg + 180) / 360 * n), floor((1 - asinh(tan(radians(lat_deg))) / pi) / 2 * n)


def _quadkey(x: int, y: int, zoom: int) -> str:
    return "".join(str((x >> bit & 1) + 2 * (y >> bit & 1)) for bit in reversed(range(zoom)))


def _down(value: float) -> float:
    return float(floor(value * 10**DIGITS + ROUND) / 10**DIGITS)


def _corners(box: Box) -> tuple[float, float, float, float]:
    return box.west, box.south, box.east, box.north


@cache
def _countries() -> dict[str, str]:
    """Two letters of the country of each time zone, from the table of the time zone list itself."""
    text = (files(tzdata) / "zoneinfo" / "zone.tab").read_text(encoding="utf-8")
    rows = [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]
    return {row[2]: row[0] for row in rows}
