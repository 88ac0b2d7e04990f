"""Reference systems: the one way from one to another, always east before north, and what a wrong one looks like.

Reading files is the files room's business; places typed by a person are read in points.py.
"""

import os
import warnings
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pyproj
from pyproj.network import set_network_enabled  # type: ignore[attr-defined]
from pyproj.transformer import AreaOfInterest, TransformerGroup

from hushwalk.errors import InputError
from hushwalk.types import FloatArray

FOREIGN = ("PROJ_LIB", "PROJ_DATA", "GDAL_DATA")
"""Variables by which another install points our libraries at its own, differing, tables."""

DROPPED: tuple[str, ...] = tuple(name for name in FOREIGN if os.environ.pop(name, None) is not None)
"""Those that stood in the surroundings of this process and were dropped before the first file is opened."""

os.environ["PROJ_NETWORK"] = "OFF"  # whatever the surroundings say: to fetch a grid of shifts tells where one goes
set_network_enabled(active=False)

USUAL_SYSTEMS = ("EPSG:4326", "EPSG:5070", "ESRI:102008", "ESRI:102039", "EPSG:3857", "EPSG:3978", "EPSG:3035")
"""What open layers most often come in, beside UTM: tried when a system is missing or cannot be right."""

POOR_SHIFT_M = 5.0  # judgement: NAD83 to WGS 84 is stated as 4 m and is good enough to walk by
FAR_OUTSIDE_DEG = 1.0  # judgement: grids are often used a little beyond the area they are meant for


@dataclass(frozen=True)
class Box:
    """Outer limits in some reference system, west before east and south before north."""

    west: float
    south: float
    east: float
    north: float

    def meets(self, other: "Box") -> bool:
        """Tell whether the two share any ground."""
        return (
            self.west < other.east and other.west < self.east and self.south < other.north and other.south < self.north
        )

    def holds(self, x: float, y: float) -> bool:
        """Tell whether a point lies inside."""
        return self.west <= x <= self.east and self.south <= y <= self.north

    def swapped(self) -> "Box":
        """Give the box with its two axes exchanged."""
        return Box(self.south, self.west, self.north, self.east)

    def looks_like_degrees(self) -> bool:
        """Tell whether the numbers could be longitudes and latitudes."""
        return max(abs(self.west), abs(self.east)) <= 360 and max(abs(self.south), abs(self.north)) <= 90  # noqa: PLR2004


@lru_cache(maxsize=64)
def system(text: str) -> pyproj.CRS:
    """Read a reference system from a code such as ``"EPSG:5070"`` or its well-known text.

    Raises
    ------
    InputError
        If the text names no reference system.
    """
    try:
        return pyproj.CRS.from_user_input(text)
    except pyproj.exceptions.CRSError:
        raise InputError(
            f"{text[:60]!r} is no reference system; write a code such as 'EPSG:26915' or 'EPSG:4326'"
        ) from None


def name_of(text: str) -> str:
    """Name a reference system in a few words, with its code if it carries one.

    Examples
    --------
    >>> name_of("EPSG:4326")
    'EPSG:4326 (WGS 84)'
    """
    found = system(text)
    code = found.to_json_dict().get("id")  # to_authority would search all systems for a likeness, which takes seconds
    name = found.name.replace("_", " ")
    if name in {"unknown", "unnamed"}:
        name = f"unnamed, {found.coordinate_operation.method_name}" if found.coordinate_operation else "unnamed"
    return f"{code['authority']}:{code['code']} ({name})" if code else name


@lru_cache(maxsize=64)
def transformer(source: str, target: str, lon_deg: float, lat_deg: float) -> pyproj.Transformer:
    """Best way between two systems near a place; x is always east or longitude, y north or latitude.

    Parameters
    ----------
    source, target : code or well-known text.
    lon_deg, lat_deg : the place whose datum shift is wanted [deg].

    Returns
    -------
    pyproj.Transformer
        From the one to the other.

    Raises
    ------
    InputError
        If one of the systems cannot be carried into the other.
    """
    near = _round_about(lon_deg, lat_deg)
    try:
        return pyproj.Transformer.from_crs(system(source), system(target), always_xy=True, area_of_interest=near)
    except pyproj.exceptions.ProjError:
        raise InputError(
            f"there is no way from {name_of(source)} to {name_of(target)}; is the reference system right?"
        ) from None


def carried(xy: FloatArray, way: pyproj.Transformer) -> FloatArray:
    """Carry points from one system to another.

    Parameters
    ----------
    xy : shape (n, 2).
    way : of :func:`transformer`.

    Returns
    -------
    ndarray, shape (n, 2)
        Infinite where a point has no place in the other system.
    """
    x, y = way.transform(xy[:, 0], xy[:, 1])
    if not np.isfinite(x).all():  # the first call of a process has been seen to fail with some builds of PROJ
        x, y = way.transform(xy[:, 0], xy[:, 1])
    return np.stack([np.asarray(x, dtype=float), np.asarray(y, dtype=float)], axis=-1)


def boxes_in(box: Box, way: pyproj.Transformer) -> tuple[Box, ...]:
    """Limits of a box in another system: two of them where the box lies across the antimeridian.

    Parameters
    ----------
    box : limits in the system the way starts from.
    way : of :func:`transformer`.

    Returns
    -------
    tuple of Box
        Empty if the box has no place in the other system.
    """
    try:
        west, south, east, north = way.transform_bounds(box.west, box.south, box.east, box.north, densify_pts=21)
    except pyproj.exceptions.ProjError:
        return ()
    if not np.isfinite([west, south, east, north]).all():
        return ()
    if west > east:
        return Box(west, south, 180.0, north), Box(-180.0, south, east, north)
    return (Box(west, south, east, north),)


@lru_cache(maxsize=64)
def shift_doubt(source: str, target: str, lon_deg: float, lat_deg: float) -> str:
    """Say how far positions may be off where the best datum shift is not at hand.

    Parameters
    ----------
    source : reference system, as text.
    target : reference system, as text.
    lon_deg : longitude [deg].
    lat_deg : latitude [deg].

    Returns
    -------
    str
        One sentence, or nothing where the shift is as good as a walk needs.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the group warns about every missing grid; the words below say it once
        group = TransformerGroup(
            system(source), system(target), always_xy=True, area_of_interest=_round_about(lon_deg, lat_deg)
        )
    if not group.transformers:
        return f"there is no known way from {name_of(source)} to {name_of(target)}"
    accuracy_m = group.transformers[0].accuracy
    if 0 <= accuracy_m <= POOR_SHIFT_M or _same_datum(source, target):
        return ""
    if accuracy_m <= 0:
        return (
            f"its system ({name_of(source)}) does not say on which datum it stands and was taken as WGS 84; hold a "
            "known place against the map, for an old datum lies up to some hundred metres off"
        )
    return (
        f"its datum ({name_of(source)}) is an old or local one whose precise shift is not at hand; places are right "
        f"within {accuracy_m:.0f} m; export it as NAD83 or WGS 84 to be sure"
    )


def outside_doubt(source: str, lon_deg: float, lat_deg: float) -> str:
    """Say that a reference system is not meant for the place, though the numbers fit.

    Parameters
    ----------
    source : reference system, as text.
    lon_deg : longitude [deg].
    lat_deg : latitude [deg].

    Returns
    -------
    str
        One sentence, or nothing.
    """
    area = system(source).area_of_use
    if area is None or area.west > area.east:
        return ""
    wide = Box(area.west, area.south, area.east, area.north)
    off_deg = max(wide.west - lon_deg, lon_deg - wide.east, wide.south - lat_deg, lat_deg - wide.north)
    if off_deg <= FAR_OUTSIDE_DEG:
        return ""
    where = area.name.split(".")[0].split(" - ")[0]
    return f"its reference system {name_of(source)} is meant for {where}, not for here; check that it is right"


def fitting_systems(box: Box, ground: Box, utm: int, lon_deg: float, lat_deg: float) -> tuple[str, ...]:
    """Find reference systems in which a box of bare numbers would meet the ground.

    Parameters
    ----------
    box : limits of a layer, system unknown or doubted.
    ground : limits of the ground in its UTM zone [m].
    utm : EPSG code of that zone; its neighbours and its NAD83 twin are tried too.
    lon_deg, lat_deg : a place on the ground [deg].

    Returns
    -------
    tuple of str
        Codes, likeliest first.
    """
    zone, base = utm % 100, utm - utm % 100
    near = [zone, zone % 60 + 1, (zone - 2) % 60 + 1]
    nad83 = [f"EPSG:{26900 + z}" for z in near if base == 32600 and 1 <= z <= 23]  # noqa: PLR2004  EPSG's numbering
    tried = [*nad83[:1], *(f"EPSG:{base + z}" for z in near), *nad83[1:], *USUAL_SYSTEMS]
    ways = {code: transformer(f"EPSG:{utm}", code, lon_deg, lat_deg) for code in tried}
    return tuple(code for code, way in ways.items() if any(box.meets(part) for part in boxes_in(ground, way)))


def _same_datum(source: str, target: str) -> bool:
    datums = [system(text).geodetic_crs for text in (source, target)]
    return all(d is not None for d in datums) and datums[0] == datums[1]


def _round_about(lon_deg: float, lat_deg: float) -> AreaOfInterest:
    return AreaOfInterest(lon_deg - 0.3, max(lat_deg - 0.3, -90.0), lon_deg + 0.3, min(lat_deg + 0.3, 90.0))
