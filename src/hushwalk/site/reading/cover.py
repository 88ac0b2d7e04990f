"""How the class codes of published land-cover products become kinds of cover on the grid.

The kinds themselves are cover_kinds.py's business; what a bird thinks of a kind is on its species card.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.site.reading.cover_kinds import CoverKind, cover_kinds, cover_rows, kind_by_key, kinds_by_key, nearest
from hushwalk.types import IntArray

__all__ = [
    "EVT_LEGENDS",
    "CoverKind",
    "Crosswalk",
    "by_vegetation_names",
    "cover_kinds",
    "crosswalk",
    "crosswalk_from_classes",
    "kind_by_key",
    "kind_of_vegetation_type",
    "kind_property",
    "legends",
    "to_kinds",
]

CODES_NAMED = 20
OWN_LEGEND = "kinds"
EVT_LEGENDS = ("landfire_evt", "landfire_evt_2016")


@dataclass(frozen=True)
class Crosswalk:
    """How the class codes of one product become cover kinds.

    Parameters
    ----------
    legend, label : its key, and in plain words.
    kinds : class code -> code of the cover kind.
    names : class code -> official name of the class.
    no_data : codes that mean "not known".
    confidence : how far the product tells habitat apart, 0..1.
    source : where the classes are published.
    refines : codes of the cover kinds of an earlier layer that it tells more of; empty for all.
    """

    legend: str
    label: str
    kinds: Mapping[int, int]
    names: Mapping[int, str]
    no_data: tuple[int, ...]
    confidence: float
    source: str
    refines: tuple[int, ...] = ()


def legends() -> Mapping[str, str]:
    """Give the legends that :func:`crosswalk` knows, key -> label."""
    own = {OWN_LEGEND: "cover kinds of hushwalk, by their code"}
    return MappingProxyType({key: entry["label"] for key, entry in _legend_table().items()} | own)


@cache
def crosswalk(legend: str) -> Crosswalk:
    """Give the crosswalk of a published land-cover product.

    Parameters
    ----------
    legend : a key of :func:`legends`.

    Raises
    ------
    InputError
        If there is no such legend.

    Examples
    --------
    >>> cover_kinds()[crosswalk("nlcd").kinds[90]].key
    'woody_wetland'
    """
    if legend == OWN_LEGEND:
        kinds = cover_kinds()
        names = {code: kind.label for code, kind in kinds.items()}
        return Crosswalk(legend, legends()[legend], {code: code for code in kinds}, names, (0,), 1.0, "definition")
    if legend not in _legend_table():
        raise InputError(f"no land-cover legend {legend!r}{nearest(legend, legends())}; or give `classes` by hand")
    entry = _legend_table()[legend]
    rows = cover_rows(entry["file"])
    names = {int(row["code"]) + entry.get("add", 0): row["name"] for row in rows}
    kinds_of = {int(row["code"]): kind_by_key(row["kind"]).code for row in rows if "kind" in row}
    if legend in EVT_LEGENDS:
        kinds_of = {code: kind_of_vegetation_type(name).code for code, name in names.items()}
    refines = tuple(kind_by_key(key).code for key in entry.get("refines", ()))
    return Crosswalk(
        legend, entry["label"], kinds_of, names, tuple(entry["no_data"]), entry["confidence"], entry["source"], refines
    )


def by_vegetation_names(walk: Crosswalk, names: Mapping[int, str]) -> Crosswalk:
    """Read a LANDFIRE raster by the names of its own release.

    Parameters
    ----------
    walk : of one of its legends.
    names : class code -> name of the vegetation type.

    Returns
    -------
    Crosswalk

    Raises
    ------
    InputError
        If no rule knows a name.
    """
    known = {code: name for code, name in names.items() if code not in walk.no_data}
    kinds = {code: kind_of_vegetation_type(name).code for code, name in known.items()}
    return replace(walk, kinds=kinds, names=known, label="LANDFIRE existing vegetation type, by the names beside it")


def kind_of_vegetation_type(name: str) -> CoverKind:
    """Read the cover kind from the official name of a LANDFIRE existing vegetation type.

    Parameters
    ----------
    name : the name as published; the number differs between releases, the name does not.

    Raises
    ------
    InputError
        If no rule of data/cover/landfire_evt_rules.csv knows a word of it.

    References
    ----------
    landfire_evt_140

    Examples
    --------
    >>> kind_of_vegetation_type("Rocky Mountain Aspen Forest and Woodland").key
    'aspen'
    """
    for pattern, key in _evt_rules():
        if pattern.search(name.lower()):
            return kind_by_key(key)
    raise InputError(
        f"no rule for the vegetation type {name!r}; name its cover kind in `classes`: {', '.join(kinds_by_key())}"
    )


def crosswalk_from_classes(classes: Mapping[str, str]) -> Crosswalk:
    """Make a crosswalk from the ``classes`` of a trip file.

    Parameters
    ----------
    classes : class code, as text -> key of a cover kind, or the official name of a class of any known legend.

    Raises
    ------
    InputError
        If a code is no whole number, or a value is neither a kind nor a class name.

    Examples
    --------
    >>> made = crosswalk_from_classes({"7": "aspen", "7009": "Northwestern Great Plains Aspen Forest and Woodland"})
    >>> made.kinds
    {7: 14, 7009: 14}
    """
    kinds: dict[int, int] = {}
    for code, value in classes.items():
        try:
            number = int(code)
        except ValueError:
            raise InputError(f"classes: the class code {code!r} is not a whole number") from None
        kinds[number] = _kind_of_words(code, value)
    names = {int(code): value for code, value in classes.items()}
    return Crosswalk("classes", "classes named in the trip file", kinds, names, (), 1.0, "judgement: named by the user")


def to_kinds(codes: ArrayLike, crosswalk: Crosswalk, layer_name: str) -> IntArray:
    """Turn the class codes of a layer into codes of cover kinds.

    Parameters
    ----------
    codes : any shape; NaN and the legend's own no-data codes become unknown (0).
    crosswalk : from :func:`crosswalk` or :func:`crosswalk_from_classes`.
    layer_name : how to name the layer in an error.

    Returns
    -------
    ndarray of int, same shape

    Raises
    ------
    InputError
        If a class code is not in the crosswalk, with every such code and how to map it.
    """
    values = np.asarray(codes, dtype=float)
    known = np.isfinite(values) & ~np.isin(values, crosswalk.no_data)
    found, position = np.unique(values[known], return_inverse=True)
    foreign = [value for value in found.tolist() if value not in crosswalk.kinds]
    if foreign:
        raise InputError(foreign_words(foreign, crosswalk, layer_name))
    kinds = np.zeros(values.shape, dtype=np.int64)
    kinds[known] = np.array([crosswalk.kinds[int(value)] for value in found], dtype=np.int64)[position]
    return kinds


def kind_property(cover: Layer, name: str) -> Layer:
    """Spread one property of the cover kinds over the ground.

    Parameters
    ----------
    cover : codes of cover kinds; NaN counts as unknown ground.
    name : a number or flag of :class:`CoverKind`, such as ``"foliage_factor"``.

    Returns
    -------
    Layer
        The property by cell, NaN where the kind has none.

    Raises
    ------
    InputError
        If the layer holds a code that is no cover kind.
    """
    codes = to_kinds(cover.values, crosswalk(OWN_LEGEND), cover.name)
    table = np.full(max(cover_kinds()) + 1, np.nan)
    for code, kind in cover_kinds().items():
        table[code] = float(getattr(kind, name))
    return cover.with_values(table[codes], name=name.replace("_", " "), unit="1", step=f"{name} by cover kind")


@cache
def _legend_table() -> dict[str, dict[str, Any]]:
    path = files("hushwalk") / "data" / "cover" / "legends.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def _evt_rules() -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((re.compile(row["pattern"]), row["kind"]) for row in cover_rows("landfire_evt_rules.csv"))


def _kind_of_words(code: str, words: str) -> int:
    if words in kinds_by_key():
        return kinds_by_key()[words].code
    for legend in _legend_table():
        known = crosswalk(legend)
        for number, name in known.names.items():
            if name.lower() == words.lower():
                return known.kinds[number]
    raise InputError(
        f"classes: class {code} is called {words!r}, which is neither a cover kind nor a published class name"
        f"{nearest(words, kinds_by_key())}"
    )


def foreign_words(foreign: list[float], crosswalk: Crosswalk, layer_name: str) -> str:
    """Say which classes of a layer its legend does not know.

    Parameters
    ----------
    foreign : codes that are not known.
    crosswalk : of the legend.
    layer_name : as the person wrote it.

    Returns
    -------
    str
        One message.
    """
    codes = ", ".join(f"{value:g}" for value in foreign[:CODES_NAMED]) + (", ..." if len(foreign) > CODES_NAMED else "")
    return (
        f"layer {layer_name!r} holds class {codes}, not in the legend {crosswalk.legend!r} ({crosswalk.label}); "
        f"choose another `legend` ({', '.join(legends())}), say `nodata`, or map the codes by hand, "
        f'for example classes = {{ "{foreign[0]:g}" = "grassland" }} with every code of the layer'
    )
