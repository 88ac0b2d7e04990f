"""Opens a vector layer of any format and gives its shapes, clean, single, flat and clipped to the trip's grid.

What the shapes mean is the trip's business.
"""

import glob
import shutil
import warnings
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal

import numpy as np
import pyogrio
import pyproj
import shapely
from numpy.typing import NDArray
from pyogrio import raw
from pyogrio.errors import DataLayerError, DataSourceError, FieldError, GeometryError

from hushwalk.errors import InputError
from hushwalk.files.crossing_shapes import repaired
from hushwalk.files.offline import reach
from hushwalk.files.paths import Address
from hushwalk.grid.grid import Grid
from hushwalk.grid.systems import Box, carried
from hushwalk.text import counted

Geometry = Any
Shape = Literal["point", "line", "polygon"]
FAULTS = (
    *(DataLayerError, DataSourceError, FieldError, GeometryError),
    # what the library stumbles over in damaged files
    *(RuntimeError, UnicodeError, ValueError, NameError, LookupError, TypeError, MemoryError, OSError, SystemError),
)
DIMENSION: dict[Shape, int] = {"point": 0, "line": 1, "polygon": 2}
MOST_FEATURES = 2_000_000
"""More in one trip's box is a mistake: judgement, about what a laptop holds in 2 GB."""

FARTHEST = 1e9  # judgement: no map has coordinates of a million kilometres; damaged files do

FAR_BEYOND = 20.0  # judgement: a shape this many times wider than the ground is cut to its surroundings first

READER_WRITES, DESCRIBES = ".gml", (".xsd", ".gfs")
"""Files whose reader keeps what it saw of them beside them, and those that describe them."""

SHAPEFILE_HEADER = 100  # definition [bytes]

FEW_FEATURES = 20_000
"""Up to here a layer is read whole, so that features without a shape are seen and named: judgement, 0.1 s."""


@dataclass(frozen=True)
class Feature:
    """One thing on the ground.

    Parameters
    ----------
    geometry : a single point, line or polygon in metres of the trip's grid.
    kind : what it is where the layer tells, such as ``"brook"``, ``"creek"`` or ``"river"``; else empty.
    name : its name, or empty.
    traits : what else its layer tells of it, where a room asks for more; None where nothing was asked.
    """

    geometry: Geometry = field(repr=False)
    kind: str = ""
    name: str = ""
    traits: Any = None


@dataclass(frozen=True)
class VectorFile:
    """What a vector layer says of itself. ``box`` is None where the format does not tell without reading all.

    ``types`` are those of the fields as the reader names them, ``"list"`` for what holds several values.
    """

    address: Address
    layer: str
    crs: str
    box: Box | None
    n_features: int
    fields: tuple[str, ...]
    types: tuple[str, ...] = ()
    driver: str = ""


@dataclass(frozen=True, eq=False)
class Shapes:
    """Shapes with their fields: one entry of each column a shape."""

    geometries: NDArray[Any] = field(repr=False)
    columns: dict[str, NDArray[Any]] = field(repr=False)


def look_at_vector(
    address: Address, label: str, *, layer: str | None = None, network: bool = False, counted: bool = True
) -> VectorFile:
    """Read what a vector layer says of itself.

    Parameters
    ----------
    address : of :func:`hushwalk.files.paths.find`.
    label : how to name the layer in an error.
    layer : name of the layer inside the file, needed where there are several.
    network : whether the network may be used.
    counted : whether features are counted where that takes reading the whole file; else their number is -1.

    Returns
    -------
    VectorFile
        Layer, system, bounds, number of features and names of fields.

    Raises
    ------
    InputError
        If it is no vector file, holds no such layer, several and none is named, or no shapes at all.
    """
    with _plainly(label, address.shown), _opening(address.opens, network=network) as path:
        layers = pyogrio.list_layers(path)
        chosen = _choose(layers, layer, label, address.shown)
        info = pyogrio.read_info(path, layer=chosen, force_feature_count=counted, force_total_bounds=True)
    if info["geometry_type"] is None:
        raise InputError(f"{label}: {address.shown} is a table without shapes; fields are {', '.join(info['fields'])}")
    _check_count(int(info["features"]), address, label)
    _check_length(address, label)
    bounds = info["total_bounds"]
    box = Box(*map(float, bounds)) if bounds is not None and np.isfinite(bounds).all() else None
    fields, n_features = tuple(info["fields"]), int(info["features"])
    return VectorFile(address, chosen, info["crs"] or "", box, n_features, fields, _types(info), str(info["driver"]))


def _types(info: Mapping[str, Any]) -> tuple[str, ...]:
    """Types of the fields; the reader gives lists and bytes as objects, as it does texts."""
    pairs = zip(info["dtypes"], info["ogr_types"], strict=True)
    return tuple("list" if str(t) == "object" and kind != "OFTString" else str(t) for t, kind in pairs)


def read_shapes(file: VectorFile, boxes: Sequence[Box], label: str, where: str | None = None) -> Shapes:
    """Read the features that may meet any of the boxes, and those without a shape.

    Parameters
    ----------
    file : of :func:`look_at_vector`.
    boxes : in the layer's own system.
    label : how to name the layer in an error.
    where : a filter in the reader's language, of :func:`hushwalk.files.field_filter.reader_filter`.

    Returns
    -------
    Shapes
        Single shapes in the layer's system, their fields, and what was left out or repaired.

    Raises
    ------
    InputError
        If the file is broken or holds more than can be meant.
    """
    parts_of: Sequence[Box | None] = [None] if 0 <= file.n_features <= FEW_FEATURES else boxes
    parts = [_read(file, box, label, where) for box in parts_of]
    names = [name for name in file.fields if all(name in part[1] for part in parts)]
    wkb = np.concatenate([part[0] for part in parts]) if parts else np.empty(0, dtype=object)
    columns = {name: np.concatenate([part[1][name] for part in parts]) for name in names} if parts else {}
    with np.errstate(all="ignore"):  # coordinates beyond all numbers are counted as no places when cleaned
        found = shapely.from_wkb(wkb, on_invalid="ignore")
    near = shapely.is_missing(found) | shapely.is_empty(found)
    for box in boxes:
        limits = shapely.bounds(found).T
        near |= ~((limits[0] > box.east) | (limits[2] < box.west) | (limits[1] > box.north) | (limits[3] < box.south))
    return Shapes(found[near], {name: column[near] for name, column in columns.items()})


@dataclass(frozen=True, eq=False)
class CleanShapes:
    """Shapes on the grid, and what it took.

    Parameters
    ----------
    singles : pairs of (single geometry in metres of the grid, its row in the shapes as read).
    faults : what was done, in words.
    lost : shapes that were there, or were said to be there, and could not be brought to the grid.
    """

    singles: list[tuple[Geometry, int]] = field(repr=False)
    faults: tuple[str, ...]
    lost: int


def clean(
    shapes: Shapes,
    wanted: Sequence[Shape],
    way: pyproj.Transformer,
    grid: Grid,
    boxes: Sequence[Box] = (),
    label: str = "the layer",
) -> CleanShapes:
    """Repair, flatten, carry to the grid, clip and split shapes.

    Parameters
    ----------
    shapes : of :func:`read_shapes`.
    wanted : points, lines or polygons, or several of them; others are left out and counted.
    way : from the layer's system to the grid's.
    grid : the trip's grid.
    boxes : limits of the grid in the layer's system; a shape that reaches far beyond them is cut to their
        surroundings before it is carried, since no map holds half of the earth.
    label : how to name the layer in an error.

    Returns
    -------
    CleanShapes

    Raises
    ------
    InputError
        If a shape crosses itself so often that it cannot be repaired.
    """
    found, faults = shapes.geometries, []
    rows = np.arange(len(found))
    empty = shapely.is_missing(found) | shapely.is_empty(found)
    limits = shapely.bounds(found)
    broken = ~empty & ~(np.isfinite(limits).all(axis=1) & (np.abs(np.nan_to_num(limits)).max(axis=1) < FARTHEST))
    found, rows = found[~empty & ~broken], rows[~empty & ~broken]
    deep = shapely.has_z(found) | shapely.has_m(found)
    found = shapely.force_2d(found)
    wrong = ~shapely.is_valid(found) & (shapely.get_dimensions(found) > 0)
    found = repaired(found, wrong, label)
    found = _near(found, boxes)
    moved = shapely.transform(found, lambda xy: carried(xy, way))
    lost = ~np.isfinite(shapely.bounds(moved)).all(axis=1)
    moved, rows = moved[~lost], rows[~lost]
    moved = np.where(shapely.is_valid(moved), moved, shapely.make_valid(moved))
    foreign = ~np.isin(shapely.get_dimensions(moved), [-1, *(DIMENSION[shape] for shape in wanted)])
    moved, rows = _parts(*_parts(moved, rows))  # a collection may hold multi-part shapes, and loses lines when clipped
    clipped = shapely.intersection(moved, shapely.box(*grid.bounds))
    singles, other = _singles(clipped, rows, wanted)
    of_all = f" (of {len(empty)} here)"
    faults += _counted(empty.sum(), f"without a shape were left out{of_all}")
    faults += _counted(broken.sum() + lost.sum(), f"with coordinates that are no places were left out{of_all}")
    faults += _counted(wrong.sum(), "with an invalid shape (crossing itself or doubled) were repaired")
    faults += _counted(deep.sum(), "had heights or measures, which were dropped")
    faults += _counted(other, f"that are no {' or '.join(f'{shape}s' for shape in wanted)} were left out")
    gone = int(empty.sum() + broken.sum() + lost.sum() + foreign.sum())
    return CleanShapes(singles, tuple(faults), gone)


def _near(found: NDArray[Any], boxes: Sequence[Box]) -> NDArray[Any]:
    """Cut what reaches far beyond the ground to its surroundings."""
    if not boxes or not len(found):
        return found
    sizes = [max(box.east - box.west, box.north - box.south) for box in boxes]
    rims = [
        shapely.box(box.west - size, box.south - size, box.east + size, box.north + size)
        for box, size in zip(boxes, sizes, strict=True)
    ]
    limits = shapely.bounds(found).T
    far = np.fmax(limits[2] - limits[0], limits[3] - limits[1]) > FAR_BEYOND * max(sizes)
    cut = found.copy()
    cut[far] = shapely.intersection(found[far], shapely.union_all(rims))
    return cut


def _check_count(n_features: int, address: Address, label: str) -> None:
    """Refuse a damaged header before the library sets memory aside for what it claims."""
    path = Path(address.opens)
    if path.is_file() and n_features > path.stat().st_size:  # a feature takes many bytes, never less than one
        raise InputError(
            f"{label}: {address.shown} is damaged: it claims {n_features} features in {path.stat().st_size} bytes; "
            "download or export it again"
        )


def _check_length(address: Address, label: str) -> None:
    """Refuse a Shapefile that is shorter than it says: its reader gives what is left as features without a shape."""
    path = Path(address.opens)
    if path.suffix.lower() != ".shp" or not path.is_file():
        return
    with path.open("rb") as file:
        said = 2 * int.from_bytes(file.read(SHAPEFILE_HEADER)[24:28], "big")  # definition: in words of 16 bit
    missing = said - path.stat().st_size
    if missing > 0:
        raise InputError(
            f"{label}: {address.shown} breaks off: {missing} of {said} bytes are missing; download it again"
        )


def _parts(shapes: NDArray[Any], rows: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    parts, origin = shapely.get_parts(shapes, return_index=True)
    return parts, rows[origin]


def _singles(
    clipped: NDArray[Any], rows: NDArray[Any], wanted: Sequence[Shape]
) -> tuple[list[tuple[Geometry, int]], int]:
    parts, origin = _parts(*_parts(clipped, rows))
    parts, origin = parts[~shapely.is_empty(parts)], origin[~shapely.is_empty(parts)]
    fits = np.isin(shapely.get_dimensions(parts), [DIMENSION[shape] for shape in wanted])
    other = len(set(origin.tolist()) - set(origin[fits].tolist()))
    return [(part, int(row)) for part, row in zip(parts[fits], origin[fits], strict=True)], other


def _read(
    file: VectorFile, box: Box | None, label: str, where: str | None
) -> tuple[NDArray[Any], dict[str, NDArray[Any]]]:
    limits = (box.west, box.south, box.east, box.north) if box else None
    with _plainly(label, file.address.shown), _opening(file.address.opens, network=file.address.remote) as path:
        meta, _, wkb, columns = raw.read(path, layer=file.layer, bbox=limits, where=where, datetime_as_string=True)
    if len(wkb) > MOST_FEATURES:
        raise InputError(f"{label}: {file.address.shown} has over {MOST_FEATURES} features here; simplify it first")
    return wkb, dict(zip(meta["fields"], columns, strict=True))


@contextmanager
def _opening(opens: str, *, network: bool) -> Iterator[str]:
    """Give the path to open; a file whose reader writes its own notes beside it is opened by a link from elsewhere."""
    with reach(network=network):
        path = Path(opens)
        if path.suffix.lower() != READER_WRITES or not path.is_file():
            yield opens
            return
        with TemporaryDirectory() as folder:
            for part in path.parent.glob(f"{glob.escape(path.stem)}.*"):
                if part == path or part.suffix.lower() in DESCRIBES:
                    _link(part.resolve(), Path(folder) / part.name)
            yield str(Path(folder) / path.name)


def _link(path: Path, place: Path) -> None:
    try:
        place.symlink_to(path)
    except OSError:  # where a user may make no links
        shutil.copyfile(path, place)


@contextmanager
def _plainly(label: str, shown: str) -> Iterator[None]:
    """Turn whatever the library says of a damaged file into one message."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # remarks on single fields and dropped measures, which need no mending
        try:
            yield
        except InputError:
            raise
        except FAULTS as fault:
            raise InputError(f"{label}: {shown} {_why_not(fault)}") from None


def _choose(layers: NDArray[Any], wanted: str | None, label: str, shown: str) -> str:
    names = [str(name) for name, _ in layers]
    if not names:
        raise InputError(f"{label}: {shown} holds no layer at all; download or export it again")
    if wanted is not None:
        if wanted not in names:
            raise InputError(f"{label}: {shown} holds no layer {wanted!r}; it holds {', '.join(names)}")
        return wanted
    drawn = [str(name) for name, kind in layers if kind is not None]
    if len(drawn) > 1:
        raise InputError(f'{label}: {shown} holds several layers ({", ".join(drawn)}); pick one with layer = "NAME"')
    return (drawn or names)[0]


def _why_not(fault: BaseException) -> str:
    if "locked" in str(fault):
        return "is in use by another program, which has locked it; close it there, or read a copy"
    said = (str(fault) or type(fault).__name__).splitlines()[0][:160]
    if "not recognized" in said:
        return (
            "is not a vector file (of a format that is read); is it a raster, a web page, a service, or a file that "
            "only names others?"
        )
    return f"cannot be read as a vector layer ({said}); download or export it again"


def _counted(n: int, words: str) -> list[str]:
    return [f"{counted(n, 'feature')} {words}"] if n else []
