"""Brings the lines and areas of a trip onto its grid: found, checked, cleaned, clipped.

What a feature is called and means is features.py's business; opening files is the files room's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import Any

from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.files.paths import VECTOR_ENDINGS, find
from hushwalk.files.vectors import Shape, clean, look_at_vector, read_shapes
from hushwalk.grid.systems import name_of
from hushwalk.site.reading.georeferencing import Claim, Georeference, resolve_system
from hushwalk.site.settings import LayerSettings


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
    spec: LayerSettings, label: str, where: Georeference, wanted: Shape, needed: Sequence[str] = ()
) -> BroughtShapes:
    """Bring a vector layer onto the grid.

    Parameters
    ----------
    spec : what the trip file says of the layer.
    label : how to name the layer in a message.
    where : the ground.
    wanted : points, lines or polygons.
    needed : fields that must be there.

    Returns
    -------
    BroughtShapes
        Clipped to the grid.

    Raises
    ------
    MissingFileError, InputError
        If the file is missing, damaged, empty, not where the trip is, or lacks a field.
    """
    address = find(spec.path, where.folder, label, VECTOR_ENDINGS, network=where.network)
    file = look_at_vector(address, label, layer=spec.layer, network=where.network)
    if file.n_features == 0:
        raise InputError(f"{label}: {address.shown} is empty (no features); export it again")
    for name in needed:
        if name not in file.fields:
            raise InputError(
                f"{label}: {address.shown} has no field {name!r}; it has {', '.join(file.fields) or 'none'}"
            )
    crs, notices = resolve_system(Claim(label, address.shown, file.crs, spec.crs, file.box), where)
    raw = read_shapes(file, where.boxes(crs), label)
    shapes, faults = clean(raw, wanted, where.way_from(crs), where.grid)
    if not shapes and faults:
        raise InputError(
            f"{label}: {address.shown} has no usable {wanted} on the ground of the trip ({'; '.join(faults)})"
        )
    head = f"{label} ({PurePath(spec.path).name})"
    if not shapes:
        faults = (*faults, "nothing of it lies on the ground of the trip")
    story = f"{head}: {len(shapes)} {wanted}s in {name_of(crs)}, carried to the grid and clipped"
    return BroughtShapes(shapes, raw.columns, story, tuple(f"{head}: {words}" for words in (*notices, *faults)))
