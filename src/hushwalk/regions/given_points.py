"""Points that a person gives, as a layer, waypoints of a receiver or a plain table, with their names.

Which points become places to begin from is car_places.py's business.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from hushwalk.errors import InputError
from hushwalk.files.points_csv import PlaceTable, name_column, read_place_table
from hushwalk.grid.systems import carried
from hushwalk.site.place_mends import likely_mend
from hushwalk.site.reading.georeferencing import DEGREES, Georeference
from hushwalk.site.reading.vector_layers import bring_shapes
from hushwalk.site.settings import LayerSettings
from hushwalk.text import one_line
from hushwalk.types import BoolArray, FloatArray

TABLES = (".csv", ".tsv", ".txt")
WAYPOINTS = "waypoints"  # definition: layer of a file of a receiver that holds its points


@dataclass(frozen=True)
class PointFile:
    """Where points stand.

    Parameters
    ----------
    path : a vector file, a file of a receiver, or a table with a header.
    layer, crs : where the file holds several layers, and where it does not say its system.
    name_field : holds the names; found by itself where it is left out.
    """

    path: str
    layer: str | None = None
    crs: str | None = None
    name_field: str | None = None


@dataclass(frozen=True)
class GivenPoints:
    """Points on the ground: name, empty where none is given, and easting and northing [m]; and what to know of them."""

    points: tuple[tuple[str, tuple[float, float]], ...]
    notices: tuple[str, ...]


def given_points(file: PointFile, label: str, where: Georeference) -> GivenPoints:
    """Read points.

    Parameters
    ----------
    file : where they stand.
    label : how to name them in a message.
    where : the ground; points beside it are left out.

    Returns
    -------
    GivenPoints

    Raises
    ------
    MissingFileError, InputError
        If the file cannot be used, with what is wrong and how to mend it.
    """
    if file.path.lower().endswith(TABLES):
        return _of_table(file, label, where)
    layer = file.layer or (WAYPOINTS if file.path.lower().endswith(".gpx") else None)
    spec = LayerSettings(kind="roads", path=file.path, layer=layer, crs=file.crs)
    got = bring_shapes(spec, label, where, "point", (file.name_field,) if file.name_field else ())
    field = file.name_field or name_column(list(got.columns))
    names = got.columns.get(field) if field else None
    found = ((_name(None if names is None else names[row]), (shape.x, shape.y)) for shape, row in got.shapes)
    return GivenPoints(tuple(found), got.notices)


def _of_table(file: PointFile, label: str, where: Georeference) -> GivenPoints:
    path = where.folder / Path(file.path)
    table = read_place_table(path, file.name_field)
    if not table.places:
        raise InputError(f"{label}: {path} holds no row below its header")
    if not (file.crs or table.degrees):
        raise InputError(
            f'{label}: {path} gives easting and northing, and not in which system; give crs = "EPSG:..." there, such '
            f'as "EPSG:{where.grid.epsg}" for the UTM zone of the ground'
        )
    xy = np.array([place.xy for place in table.places], dtype=float)
    on_grid = carried(xy, where.way_from(file.crs or DEGREES))
    inside = _inside(on_grid, where)
    if not inside.any():
        raise InputError(f"{label}: no place of {path} lies on the ground{_meant(table, file, where)}")
    kept = tuple(
        (_name(table.places[k].name), (float(on_grid[k, 0]), float(on_grid[k, 1]))) for k in np.flatnonzero(inside)
    )
    left = len(table.places) - len(kept)
    notices = (f"{label}: {left} of {len(table.places)} places lie beside the ground",) if left else ()
    return GivenPoints(kept, notices)


def _inside(xy_m: FloatArray, where: Georeference) -> BoolArray:
    west, south, east, north = where.grid.bounds
    x, y = xy_m[:, 0], xy_m[:, 1]
    return np.asarray((x >= west) & (x <= east) & (y >= south) & (y <= north))


def _meant(table: PlaceTable, file: PointFile, where: Georeference) -> str:
    """Name the slip with which the first place would lie on the ground."""
    if not table.degrees or file.crs:
        return f"; are they in {file.crs}?"
    first = table.places[0].xy

    def fits(lon: float, lat: float) -> bool:
        return bool(_inside(carried(np.array([[lon, lat]]), where.way_from(DEGREES)), where)[0])

    mend = likely_mend(*first, fits)
    return f" (the first is {first[1]:g}, {first[0]:g})" + ("" if mend is None else f"; look whether {mend.slip.value}")


def _name(value: object) -> str:
    text = "" if value is None or value != value else one_line(str(value))  # noqa: PLR0124 - NaN is not itself
    return "" if text == "None" else text
