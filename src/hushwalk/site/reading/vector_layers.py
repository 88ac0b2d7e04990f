"""Brings the lines and areas of a trip onto its grid: found, checked, cleaned, clipped.

What a feature is called and means is features.py's business; opening files is the files room's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path, PurePath
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from hushwalk.errors import ElsewhereError, InputError, SettingsError
from hushwalk.files.field_filter import Filter, fields_of, parse_filter, reader_filter, render
from hushwalk.files.paths import VECTOR_ENDINGS, Address, find, is_extract
from hushwalk.files.vectors import Shape, Shapes, VectorFile, clean, look_at_vector, read_shapes
from hushwalk.grid.systems import Box, name_of, system
from hushwalk.site.reading.georeferencing import Claim, Georeference, resolve_system
from hushwalk.site.reading.tags import extract_layers, is_tagged, named, of_kind
from hushwalk.site.settings import LayerSettings
from hushwalk.text import plural

OPTIONAL = ("streams", "water", "wetlands", "trails", "roads", "buildings", "closed")
"""Kinds of layer that a trip can do without: where one lies beside the ground, that is a remark."""

HALF_THE_EARTH_DEG = 180.0  # definition

INNER = 0.6  # judgement: well within the box of the ground, whose corners in another system lie beyond it

MOST_VALUES = 8  # judgement: as many values of a field as a message names


@dataclass(frozen=True, eq=False)
class BroughtShapes:
    """Shapes on the grid.

    Parameters
    ----------
    shapes : (single geometry in metres of the grid, its row in the columns).
    columns : fields of the layer, by their names in the file.
    story : where they come from.
    notices : what a person should know.
    """

    shapes: list[tuple[Any, int]] = field(repr=False)
    columns: dict[str, NDArray[Any]] = field(repr=False)
    story: str
    notices: tuple[str, ...]


def bring_shapes(
    spec: LayerSettings, label: str, where: Georeference, wanted: Shape | Sequence[Shape], needed: Sequence[str] = ()
) -> BroughtShapes:
    """Bring a vector layer onto the grid.

    Parameters
    ----------
    spec : what the trip file says of the layer.
    label : how to name the layer in a message.
    where : the ground.
    wanted : points, lines or polygons, or several of them.
    needed : fields that must be there.

    Returns
    -------
    BroughtShapes
        Clipped to the grid; without a shape where the layer lies elsewhere.

    Raises
    ------
    MissingFileError, InputError
        If the file is missing, damaged, empty, not where the trip is, or lacks a field.
    SettingsError
        If the filter of the layer cannot be read.
    """
    chosen = layer_filter(spec, label)
    address = find(spec.path, where.folder, label, VECTOR_ENDINGS, network=where.network)
    opened = _opened(spec, address, label, where)
    file = opened[0]
    _check_fields(opened, needed, label)
    head = f"{label} ({PurePath(spec.path).name})"
    drawn = (wanted,) if isinstance(wanted, str) else tuple(wanted)
    try:
        crs, notices = resolve_system(Claim(label, address.shown, file.crs, spec.crs, file.box), where)
    except ElsewhereError as far:
        if spec.kind not in OPTIONAL:
            raise
        nothing = str(far).removeprefix(f"{label}: {address.shown} ")
        return BroughtShapes([], {}, f"{head}: nothing of it on the ground of the trip", (f"{head}: {nothing}",))
    boxes = where.boxes(crs)
    raw = _read(opened, boxes, label, chosen)
    if chosen is not None and not len(raw.geometries):
        left_out = _nothing_kept(chosen, file, boxes, label)
        return BroughtShapes([], {}, f"{head}: {left_out}", (*(f"{head}: {n}" for n in notices), f"{head}: {left_out}"))
    raw, by_tags = _of_kind(raw, spec, wanted, extract=is_extract(address))
    notices = (*notices, *by_tags)
    if by_tags and not len(raw.geometries):
        return BroughtShapes([], {}, f"{head}: nothing of it is of this kind", tuple(f"{head}: {n}" for n in notices))
    if spec.kind == "closed":
        _refuse_round_the_earth(raw, crs, f"{label}: {address.shown}")
    got = clean(raw, drawn, where.way_from(crs), where.grid, boxes, f"{label}: {address.shown}")
    if spec.kind == "closed" and not got.singles:
        _refuse_lost(raw, boxes, f"{label}: {address.shown}")
    if spec.kind == "closed" and got.lost:
        raise InputError(
            f"{label}: {address.shown} does not come through whole ({'; '.join(got.faults)}), and closed ground "
            "that is lost would be walked on; download or export it again, or take out the rows that enclose no ground"
        )
    if not got.singles and got.faults:
        no_raster = ", and is not a raster" if spec.kind == "elevation" else ""
        raise InputError(
            f"{label}: {address.shown} has no usable {' or '.join(drawn)} on the ground of the trip{no_raster} "
            f"({'; '.join(got.faults)})"
        )
    faults = got.faults if got.singles else (*got.faults, "nothing of it lies on the ground of the trip")
    of_shapes = " and ".join(plural(len(got.singles), shape) for shape in drawn)
    story = f"{head}: {len(got.singles)} {of_shapes} in {name_of(crs)}, carried to the grid and clipped"
    story += f"; where {render(chosen)}" if chosen is not None else ""
    return BroughtShapes(got.singles, raw.columns, story, tuple(f"{head}: {words}" for words in (*notices, *faults)))


def layer_filter(spec: LayerSettings, label: str) -> Filter | None:
    """Read the filter of a layer.

    Raises
    ------
    SettingsError
        If it cannot be read; the layer and the position are named.
    """
    try:
        return None if spec.where is None else parse_filter(spec.where)
    except SettingsError as fault:
        raise SettingsError(f"{label}: where: {fault}") from None


def _opened(spec: LayerSettings, address: Address, label: str, where: Georeference) -> list[VectorFile]:
    """Open a layer; an extract has several in which things of a kind stand."""
    names = extract_layers(spec.kind) if is_extract(address) and spec.layer is None else (spec.layer,)
    counted = not is_extract(address)
    return [
        look_at_vector(address, label, layer=name, network=where.network, counted=counted)
        for name in names or (spec.layer,)
    ]


def _check_fields(opened: Sequence[VectorFile], needed: Sequence[str], label: str) -> None:
    file, shown = opened[0], opened[0].address.shown
    if file.n_features == 0:
        raise InputError(f"{label}: {shown} is empty (no features); export it again")
    for name in needed:
        if all(name not in one.fields for one in opened):
            raise InputError(f"{label}: {shown} has no field {name!r}; it has {', '.join(file.fields) or 'none'}")


def _read(opened: Sequence[VectorFile], boxes: Sequence[Box], label: str, chosen: Filter | None) -> Shapes:
    """Read what meets the ground; an extract takes long to read, so it is read once for all kinds."""
    parts = []
    for file in opened:
        if chosen is None and is_extract(file.address):
            path = Path(file.address.opens)
            parts.append(_read_once(file, tuple(boxes), path.stat().st_mtime_ns if path.is_file() else 0))
        else:
            parts.append(read_shapes(file, boxes, label, _for_reader(chosen, file, f"{label}: {file.address.shown}")))
    if len(parts) == 1:
        return parts[0]
    columns = {}
    for name in dict.fromkeys(name for part in parts for name in part.columns):
        empty = [np.full(len(part.geometries), None, dtype=object) for part in parts]
        columns[name] = np.concatenate([part.columns.get(name, e) for part, e in zip(parts, empty, strict=True)])
    return Shapes(np.concatenate([part.geometries for part in parts]), columns)


@lru_cache(maxsize=3)
def _read_once(file: VectorFile, boxes: tuple[Box, ...], changed: int) -> Shapes:  # noqa: ARG001  part of the key
    return read_shapes(file, boxes, "extract")


def _of_kind(
    raw: Shapes, spec: LayerSettings, wanted: Shape | Sequence[Shape], *, extract: bool
) -> tuple[Shapes, tuple[str, ...]]:
    """Keep what is of the kind of the layer, where tags plainly tell; what a filter chose is kept and only named."""
    drawn = not isinstance(wanted, str) or spec.kind == "cover"
    if not drawn or not (extract or is_tagged(raw.columns)) or not extract_layers(spec.kind):
        return raw, ()
    whole = extract and spec.layer is None and spec.where is None
    if spec.kind in {"closed", "cover"} and not whole:
        return raw, ()  # whoever drew a file of closed ground or of cover means all of it
    found = of_kind(spec.kind, raw.columns, len(raw.geometries), extract=whole)
    n, words = found.others.total(), []
    if whole and not found.keep.any():
        words.append(f"nothing on the ground of the trip has the tags of {spec.kind}")
    if n:
        fate = ", but kept since `where` chose them" if spec.where else " and left out"
        are = f"{n} of {len(found.keep)} features are no {spec.kind} by their tags ({named(found.others)}){fate}"
        words.append(f"{are}; name them in a layer of their own kind")
    if found.n_hidden:
        words.append(f"{found.n_hidden} {found.hidden} were left out")
    if spec.where is not None:
        return raw, tuple(words[:1] if n else ())
    kept = {name: column[found.keep] for name, column in raw.columns.items()}
    return Shapes(raw.geometries[found.keep], kept), tuple(words)


def _for_reader(chosen: Filter | None, file: VectorFile, head: str) -> str | None:
    try:
        types = dict(zip(file.fields, file.types, strict=True))
        return None if chosen is None else reader_filter(chosen, types, file.driver)
    except InputError as fault:
        raise InputError(f"{head} {fault}") from None


def _nothing_kept(chosen: Filter, file: VectorFile, boxes: Sequence[Box], label: str) -> str:
    """Say that a filter keeps nothing on the ground, and what its fields hold there."""
    every = read_shapes(file, boxes, label)
    by_name = {name.lower(): (name, column) for name, column in every.columns.items()}
    words = f"no feature here is kept by where {render(chosen)}"
    for field_name in fields_of(chosen):
        if field_name.lower() in by_name:
            name, column = by_name[field_name.lower()]
            held = sorted({str(value) for value in column if value is not None})
            more = ", ..." if len(held) > MOST_VALUES else ""
            words += f"; {name} holds {', '.join(map(repr, held[:MOST_VALUES])) or 'nothing'}{more}"
    return words


def _refuse_lost(raw: Shapes, boxes: Sequence[Box], head: str) -> None:
    """Refuse closed ground of which nothing came through although it lies over the middle of the trip."""
    for box in boxes:
        east, north = (box.west + box.east) / 2, (box.south + box.north) / 2
        wide, high = (box.east - box.west) * INNER / 2, (box.north - box.south) * INNER / 2
        inner = shapely.box(east - wide, north - high, east + wide, north + high)
        areas = raw.geometries[shapely.is_valid(raw.geometries)]
        if shapely.intersects(areas[shapely.get_dimensions(areas) == 2], inner).any():  # noqa: PLR2004 - areas
            raise InputError(
                f"{head} closes ground of the trip, but nothing of it comes through to the map; export it in the "
                "reference system of the ground, or cut it to the surroundings of the trip"
            )


def _refuse_round_the_earth(raw: Shapes, crs: str, head: str) -> None:
    """Refuse closed ground that spans more than half of the earth: drawn across the date line, it closes all else."""
    if not system(crs).is_geographic or not len(raw.geometries):
        return
    limits = shapely.bounds(raw.geometries)
    wide = np.flatnonzero(np.nan_to_num(limits[:, 2] - limits[:, 0]) > HALF_THE_EARTH_DEG)
    if len(wide):
        west, _, east, _ = limits[wide[0]].tolist()
        raise InputError(
            f"{head} holds a shape that reaches round the earth (longitude {west:.1f} to {east:.1f}), so that "
            "nobody can tell what it closes; draw it in two parts, one on either side of the date line, or take it out"
        )
