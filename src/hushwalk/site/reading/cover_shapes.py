"""Land cover drawn as polygons, each with the word or number of its class.

Cover in a raster is raster_layers.py's business.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.files.paths import EXTRACT_ENDINGS, RASTER_ENDINGS, VECTOR_ENDINGS
from hushwalk.grid.align import burn_codes
from hushwalk.site.reading.cover import Crosswalk, crosswalk, crosswalk_from_classes, to_kinds
from hushwalk.site.reading.georeferencing import Georeference
from hushwalk.site.reading.layer_values import all_or_faults, check_one_legend, undeclared_codes
from hushwalk.site.reading.raster_layers import Cells
from hushwalk.site.reading.tags import cover_class
from hushwalk.site.reading.vector_layers import bring_shapes
from hushwalk.site.reading.wetland_codes import misspelt_words, wetland_class, wetland_code
from hushwalk.site.settings import LayerSettings

INVENTORY = "nwi"
"""Legend of cover by codes of the wetland inventory."""

TAGS = "osm_tags"
"""Legend of cover by tags."""


@dataclass(frozen=True, eq=False)
class CoverShapes:
    """A layer of cover polygons.

    Parameters
    ----------
    pairs : (geometry in metres of the grid, code of its cover kind), a later one above an earlier one.
    story : where it comes from.
    notices : what a person should know.
    refines : codes of the kinds of cover of an earlier layer that it tells more of; empty for all.
    """

    pairs: tuple[tuple[Any, float], ...] = field(repr=False)
    story: str
    notices: tuple[str, ...]
    refines: tuple[int, ...] = ()

    def read(self, where: Georeference, window: Cells, notices: list[str] | None = None) -> NDArray[Any]:
        """Cover kinds of a window as bytes, 0 where unknown; ``notices`` takes what should be known.

        Parameters
        ----------
        where : the grid and its reference system.
        window : rows and columns to be read.
        notices : takes what should be known.

        Returns
        -------
        ndarray
            Bytes of the shape of the window.
        """
        if notices is not None:
            notices += self.notices
        return np.nan_to_num(burn_codes(self.pairs, where.grid.window(*window))).astype(np.uint8)


def is_drawn(spec: LayerSettings) -> bool:
    """Tell whether a cover layer is one of polygons."""
    ending = PurePath(spec.path.replace("!", "/")).suffix.lower()
    return spec.field is not None or spec.legend == TAGS or (ending in VECTOR_ENDINGS and ending not in RASTER_ENDINGS)


def open_cover_shapes(spec: LayerSettings, label: str, where: Georeference) -> CoverShapes:
    """Read a layer of cover polygons.

    Parameters
    ----------
    spec : what the trip file says of the layer.
    label : how to name the layer in a message.
    where : the ground.

    Returns
    -------
    CoverShapes
        By kind.

    Raises
    ------
    MissingFileError, InputError
        If the file cannot be used, or holds a class that neither its legend nor its classes know.
    """
    if by_tags(spec):
        return _tagged(spec, label, where)
    (named, _), got = all_or_faults(
        label,
        lambda: all_or_faults(label, lambda: _field_of(spec, label), lambda: check_one_legend(spec, label)),
        lambda: bring_shapes(spec, label, where, "polygon", (spec.field,) if spec.field else ()),
    )
    words = [str(got.columns[named][row]).removesuffix(".0") for _, row in got.shapes]
    try:
        codes, walk = _codes(sorted(set(words)), label, spec)
        said = misspelt_words(words, label) if spec.legend == INVENTORY else ()
        numbers = np.array([codes[word] for word in words], dtype=float)
        odd = [code for code in undeclared_codes(walk) if np.any(numbers == code)]
        kinds = to_kinds(np.where(np.isin(numbers, odd), np.nan, numbers), walk, PurePath(spec.path).name)
    except InputError as fault:  # the crosswalk does not know which layer of the trip it works for
        text = str(fault)
        raise InputError(text if text.startswith(label) else f"{label}: {text}") from None
    shapes = (shape for shape, _ in got.shapes)
    unknown = ", ".join(map(str, odd))
    more = (
        (f"{label}: {unknown} is in no legend and was taken as unknown; give nodata = {odd[0]} to say so",)
        if odd
        else ()
    )
    return CoverShapes(
        pairs=tuple(zip(shapes, kinds.astype(float).tolist(), strict=True)),
        story=f"{got.story}; classes read by {walk.label}",
        notices=(*got.notices, *said, *more),
        refines=walk.refines,
    )


def by_tags(spec: LayerSettings) -> bool:
    """Tell whether a cover layer says its classes by the tags of OpenStreetMap."""
    return spec.legend == TAGS or (_is_extract(spec) and not (spec.field or spec.classes or spec.legend))


def _is_extract(spec: LayerSettings) -> bool:
    return spec.path.lower().endswith(EXTRACT_ENDINGS)


def _tagged(spec: LayerSettings, label: str, where: Georeference) -> CoverShapes:
    """Cover by tags; a small area lies above a large one, as a pond in a wood does."""
    got, walk = bring_shapes(spec, label, where, "polygon"), crosswalk(TAGS)
    codes = {row: cover_class(got.columns, row) for row in {row for _, row in got.shapes}}
    found = [(shape, float(walk.kinds[codes[row]])) for shape, row in got.shapes if codes[row]]
    found.sort(key=lambda pair: -pair[0].area)
    return CoverShapes(tuple(found), f"{got.story}; classes read by {walk.label}", got.notices)


def _field_of(spec: LayerSettings, label: str) -> str:
    if spec.field is None:
        raise InputError(
            f'{label}: {spec.path} is a layer of polygons; name the field of their class with field = "..."'
        )
    return spec.field


def _codes(words: list[str], label: str, spec: LayerSettings) -> tuple[Mapping[str, int], Crosswalk]:
    if spec.legend is not None:
        walk = crosswalk(spec.legend)
        if spec.legend == INVENTORY:
            read = {word: wetland_code(word) for word in words}
            return {word: wetland_class(code) if code else 0 for word, code in read.items()}, walk
        by_name = {name.lower(): code for code, name in walk.names.items()}
        return {word: _code(word, by_name, label, spec) for word in words}, walk
    classes = spec.classes or {}
    unknown = [word for word in words if word not in classes]
    if unknown:
        raise InputError(
            f"{label}: field {spec.field!r} holds {', '.join(map(repr, unknown[:8]))}, which classes does not name"
        )
    codes = {word: n for n, word in enumerate(words, start=1)}
    return codes, crosswalk_from_classes({str(code): classes[word] for word, code in codes.items()})


def _code(word: str, by_name: Mapping[str, int], label: str, spec: LayerSettings) -> int:
    if word.lower() in by_name:
        return by_name[word.lower()]
    try:
        return int(word)
    except ValueError:
        raise InputError(
            f"{label}: field {spec.field!r} holds {word!r}, which is no class of the legend {spec.legend!r}"
        ) from None
