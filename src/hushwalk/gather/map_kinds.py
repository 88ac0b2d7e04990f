"""Sorts the things of the open map database into kinds of layer, by the same tags as the readers of layers.

Asking for them is overpass.py's and extract.py's business.
"""

from collections.abc import Mapping

import numpy as np
import shapely

from hushwalk.files.vectors import DIMENSION, Shape, Shapes
from hushwalk.site.reading.tags import FeatureTags, of_kind
from hushwalk.types import BoolArray

KINDS: Mapping[str, tuple[Shape, ...]] = {
    "streams": ("line",),
    "water": ("polygon",),
    "wetlands": ("polygon",),
    "trails": ("line",),
    "roads": ("line",),
    "buildings": ("polygon", "point"),
    "closed": ("polygon",),
}
"""Kinds of layer that the tags tell, and the shapes that each is made of."""
COLUMNS = (
    *("osm_id", "name", "highway", "waterway", "natural", "landuse", "water", "wetland", "building", "railway"),
    *("barrier", "boundary", "military", "leisure", "amenity", "tourism", "information", "ford", "access", "foot"),
    *("intermittent", "seasonal", "tunnel", "bridge", "location", "surface", "tracktype", "service", "width"),
    *("leaf_type", "leaf_cycle", "protect_class", "motor_vehicle", "sac_scale", "trail_visibility", "indoor"),
)
"""Tags with a column of their own; the others stand together in ``other_tags``."""
PARKING = ({"amenity": ["parking"]}, {"highway": ["trailhead"]})
NOT_FOR_ALL = {"access": ["no", "private", "military", "permit", "customers"]}


def of_the_map(shapes: Shapes, kind: str) -> Shapes:
    """Give the things of one kind of layer.

    Parameters
    ----------
    shapes : of :func:`hushwalk.gather.overpass.read_map`, a column a tag.
    kind : of layer, or ``"parking"`` for places where a car can stand, as points.

    Returns
    -------
    Shapes
        With the columns of ``COLUMNS`` that hold anything, and ``other_tags``.
    """
    if kind == "parking":
        return _parking(shapes)
    n = len(shapes.geometries)
    keep = of_kind(kind, shapes.columns, n, extract=True).keep if n else np.zeros(0, dtype=bool)
    keep &= np.isin(shapely.get_dimensions(shapes.geometries), [DIMENSION[shape] for shape in KINDS[kind]])
    return in_columns(_kept(shapes, keep))


def in_columns(shapes: Shapes) -> Shapes:
    """Put tags that have no column of their own together, as readers of extracts do."""
    rest = [name for name in shapes.columns if name not in (*COLUMNS, "other_tags")]
    own = {name: shapes.columns[name] for name in COLUMNS if name in shapes.columns}
    given = shapes.columns.get("other_tags", np.full(len(shapes.geometries), None, dtype=object))
    texts = np.array([_together(old, shapes, rest, row) for row, old in enumerate(given)], dtype=object)
    return Shapes(shapes.geometries, {**own, "other_tags": texts})


def _together(old: str | None, shapes: Shapes, names: list[str], row: int) -> str | None:
    values = ((name, shapes.columns[name][row]) for name in names)
    return (
        ",".join([*([old] if old else []), *(_pair(name, value) for name, value in values if value is not None)])
        or None
    )


def _pair(name: str, value: object) -> str:
    name, text = (str(part).replace("\\", "\\\\").replace('"', '\\"') for part in (name, value))
    return f'"{name}"=>"{text}"'


def _kept(shapes: Shapes, keep: BoolArray) -> Shapes:
    columns = {name: column[keep] for name, column in shapes.columns.items()}
    full = {name: column for name, column in columns.items() if any(value is not None for value in column)}
    return Shapes(shapes.geometries[keep], full)


def _parking(shapes: Shapes) -> Shapes:
    """Car parks and trail heads that nobody closes to others, each as one point."""
    said = [FeatureTags(shapes.columns, row) for row in range(len(shapes.geometries))]
    keep = [any(one.fits(rule) for rule in PARKING) and not one.fits(NOT_FOR_ALL) for one in said]
    found = _kept(shapes, np.array(keep, dtype=bool))
    return in_columns(Shapes(shapely.point_on_surface(found.geometries), found.columns))
