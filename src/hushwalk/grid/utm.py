"""Longitude and latitude against the metres of a UTM zone on WGS 84.

Reading and writing places as text is points.py's business.
"""
# ruff: noqa: PLR2004  degrees of a circle and the edges of zones and bands are definitions

from functools import cache

import numpy as np
from numpy.typing import ArrayLike
from pyproj import CRS, Proj, Transformer
from pyproj.exceptions import CRSError

from hushwalk.errors import PlaceError
from hushwalk.types import FloatArray

UTM_SOUTH_DEG, UTM_NORTH_DEG = -80.0, 84.0
"""UTM ends here (source nga_sig_0012_2014)."""

SVALBARD_ZONES = ((9.0, 31), (21.0, 33), (33.0, 35), (42.0, 37))
"""From 72 N: the zone that holds for longitudes 0 <= lon < the number, in order (source nga_sig_0012_2014)."""


def utm_epsg(lon_deg: float, lat_deg: float) -> int:
    """EPSG code of the UTM zone on WGS 84 that holds a place.

    Parameters
    ----------
    lon_deg, lat_deg : longitude -180..180 and latitude -80..84 [deg].

    Returns
    -------
    int
        326zz in the north, 327zz in the south.

    Raises
    ------
    PlaceError
        If the place is not on the earth, or nearer to a pole than UTM reaches.

    Notes
    -----
    A meridian between two zones belongs to the eastern one. South-west Norway and Svalbard have wider zones.

    References
    ----------
    nga_sig_0012_2014

    Examples
    --------
    >>> utm_epsg(-92.1, 46.79)
    32615
    """
    if not (-180 <= lon_deg <= 180 and UTM_SOUTH_DEG <= lat_deg <= UTM_NORTH_DEG):
        raise PlaceError(
            f"no UTM zone holds longitude {lon_deg}, latitude {lat_deg}; expected longitude -180..180 and latitude"
            f" {UTM_SOUTH_DEG:.0f}..{UTM_NORTH_DEG:.0f}, longitude first"
        )
    return (32600 if lat_deg >= 0 else 32700) + _zone(lon_deg, lat_deg)


def _zone(lon_deg: float, lat_deg: float) -> int:
    if 56 <= lat_deg < 64 and 3 <= lon_deg < 12:
        return 32
    if lat_deg >= 72 and 0 <= lon_deg < 42:
        return next(zone for east, zone in SVALBARD_ZONES if lon_deg < east)
    return int((lon_deg + 180) // 6) % 60 + 1


def to_metres(epsg: int, lonlat: ArrayLike) -> FloatArray:
    """Longitudes and latitudes as metres of a projected system.

    Parameters
    ----------
    epsg : EPSG code of the projected system.
    lonlat : shape (..., 2) longitude and latitude on WGS 84 [deg].

    Returns
    -------
    ndarray, shape (..., 2)
        Easting and northing [m].

    Raises
    ------
    PlaceError
        If the code is unknown, or a point cannot be projected.

    Examples
    --------
    >>> to_metres(32615, [[-92.1, 46.79]]).round(1).tolist()
    [[568690.5, 5182221.2]]
    """
    points = _pairs(lonlat, "longitude and latitude")
    east, north = _transformer(epsg).transform(points[..., 0], points[..., 1])
    return _finite(np.stack([east, north], axis=-1), points, f"EPSG:{epsg}")


def to_lonlat(epsg: int, xy_m: ArrayLike) -> FloatArray:
    """Metres of a projected system as longitudes and latitudes.

    Parameters
    ----------
    epsg : EPSG code of the projected system.
    xy_m : shape (..., 2) easting and northing [m].

    Returns
    -------
    ndarray, shape (..., 2)
        Longitude and latitude on WGS 84 [deg].

    Raises
    ------
    PlaceError
        If the code is unknown, or a point cannot be projected back.

    Examples
    --------
    >>> to_lonlat(32615, [568690.5, 5182221.2]).round(5).tolist()
    [-92.1, 46.79]
    """
    points = _pairs(xy_m, "easting and northing")
    lon, lat = _transformer(epsg).transform(points[..., 0], points[..., 1], direction="INVERSE")
    return _finite(np.stack([lon, lat], axis=-1), points, "longitude and latitude")


def convergence_deg(epsg: int, xy_m: ArrayLike) -> FloatArray:
    """Angle between grid north and true north.

    Parameters
    ----------
    epsg : EPSG code of the projected system.
    xy_m : shape (..., 2) easting and northing [m].

    Returns
    -------
    ndarray, shape (...)
        Convergence [deg], positive where grid north lies east of true north:
        grid bearing = true bearing - convergence.

    Raises
    ------
    PlaceError
        If the code is unknown, or a point cannot be projected back.

    References
    ----------
    snyder_1987
    """
    lonlat = to_lonlat(epsg, xy_m)
    factors = _projection(epsg).get_factors(lonlat[..., 0], lonlat[..., 1])
    return np.asarray(factors.meridian_convergence, dtype=float)


def _pairs(points: ArrayLike, what: str) -> FloatArray:
    pairs = np.asarray(points, dtype=float)
    if pairs.ndim == 0 or pairs.shape[-1] != 2:
        raise PlaceError(f"points need pairs of {what}, got an array of shape {pairs.shape}")
    return pairs


def _finite(found: FloatArray, requested: FloatArray, target: str) -> FloatArray:
    bad = ~np.isfinite(found).all(axis=-1)
    if bad.any():
        first = requested[bad].reshape(-1, 2)[0]
        raise PlaceError(
            f"{int(bad.sum())} point(s) cannot be turned into {target}, the first is {first[0]:g}, {first[1]:g};"
            " look for swapped axes, or for degrees where metres are needed"
        )
    return found


@cache
def _crs(epsg: int) -> CRS:
    try:
        crs = CRS.from_epsg(epsg)
    except CRSError:
        raise PlaceError(f"EPSG:{epsg} is not a reference system that PROJ knows") from None
    if not crs.is_projected:
        raise PlaceError(f"EPSG:{epsg} ({crs.name}) is not projected; a grid needs metres, such as EPSG:32615")
    return crs


@cache
def _transformer(epsg: int) -> Transformer:
    return Transformer.from_crs("EPSG:4326", _crs(epsg), always_xy=True)


@cache
def _projection(epsg: int) -> Proj:
    return Proj(_crs(epsg))
