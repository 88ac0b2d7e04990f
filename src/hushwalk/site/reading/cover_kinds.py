"""Kinds of ground cover: what each is called, hides, slows and holds.

How the classes of published products become kinds is cover.py's business.
"""

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.science.going import off_path_time_factors


@dataclass(frozen=True)
class CoverKind:
    """One kind of ground cover.

    Parameters
    ----------
    code : the whole number that stands for it in a layer; 0 is unknown.
    key, label : its name in files, and in plain words.
    foliage_factor : share of dense foliage between bird and ear, 0..1, in spring before the leaves.
    pace_factor : multiplier of the off-path walking time; NaN where nobody walks.
    walkable : whether feet can cross it.
    conifer_share, deciduous_share : shares of the trees and tall shrubs, 0..1; NaN where unknown.
    wet, open, young : wet ground; no cover above the knee; forest under about 25 years.
    forest : trees above 5 m as a rule, so that their age and canopy mean something.
    within : keys of the kinds that say the same in coarser words.
    group : which kinds count as alike when the mixture of a landscape is told; empty for unknown ground.
    source : where the shares and the meaning come from.
    """

    code: int
    key: str
    label: str
    foliage_factor: float
    pace_factor: float
    walkable: bool
    conifer_share: float
    deciduous_share: float
    wet: bool
    open: bool
    young: bool
    forest: bool
    within: tuple[str, ...]
    group: str
    source: str


def cover_kinds() -> Mapping[int, CoverKind]:
    """Give every cover kind by its code.

    Examples
    --------
    >>> cover_kinds()[14].key
    'aspen'
    """
    return MappingProxyType(_kinds())


def kind_by_key(key: str) -> CoverKind:
    """Give one cover kind by its key.

    Raises
    ------
    InputError
        If there is no such kind.

    Examples
    --------
    >>> kind_by_key("alder_swamp").wet
    True
    """
    try:
        return kinds_by_key()[key]
    except KeyError:
        raise InputError(f"no cover kind {key!r}{nearest(key, kinds_by_key())}") from None


def nearest(word: str, among: Mapping[str, object]) -> str:
    """Give the nearest known word and all known words, to end an error with."""
    near = get_close_matches(word, list(among), n=1)
    return f"; did you mean {near[0]!r}? ({', '.join(among)})" if near else f"; known: {', '.join(among)}"


def cover_rows(name: str) -> list[dict[str, str]]:
    """Read one table of data/cover, a dict a row."""
    path = files("hushwalk") / "data" / "cover" / name
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


@cache
def _kinds() -> dict[int, CoverKind]:
    growth = off_path_time_factors()
    kinds = (_kind_from_row(row, growth) for row in cover_rows("kinds.csv"))
    return {kind.code: kind for kind in kinds}


def _kind_from_row(row: dict[str, str], growth: Mapping[str, float]) -> CoverKind:
    return CoverKind(
        code=int(row["code"]),
        key=row["key"],
        label=row["label"],
        foliage_factor=float(row["foliage_factor"]),
        pace_factor=float("nan") if row["growth"] == "none" else growth[row["growth"]],
        walkable=row["walkable"] == "1",
        conifer_share=float(row["conifer_share"] or "nan"),
        deciduous_share=float(row["deciduous_share"] or "nan"),
        wet=row["wet"] == "1",
        open=row["open"] == "1",
        young=row["young"] == "1",
        forest=row["forest"] == "1",
        within=tuple(row["within"].split()),
        group=row["group"],
        source=row["source"],
    )


@cache
def kinds_by_key() -> dict[str, CoverKind]:
    """Give every cover kind by its key."""
    return {kind.key: kind for kind in _kinds().values()}


def refined(earlier: NDArray[Any], later: NDArray[Any], only: Sequence[int] = ()) -> NDArray[Any]:
    """Refine kinds of cover by another layer of it.

    Parameters
    ----------
    earlier, later : codes of cover kinds, of one shape; 0 where unknown.
    only : codes of the earlier kinds that the later layer tells more of; empty for all.

    Returns
    -------
    ndarray
        The later kind, but for cells where it is unknown or says the same in coarser words.

    Examples
    --------
    >>> aspen, hardwood, pine = (kind_by_key(key).code for key in ("aspen", "deciduous_forest", "pine"))
    >>> refined(np.array([hardwood, aspen, aspen]), np.array([aspen, hardwood, pine])).tolist() == [aspen, aspen, pine]
    True
    """
    kept = _kept()[earlier, later]
    return np.where(kept | ~np.isin(earlier, [0, *only]) if only else kept, earlier, later)


@cache
def _kept() -> NDArray[Any]:
    """Which pairs of an earlier and a later kind keep the earlier one."""
    kept = np.zeros((max(_kinds()) + 1,) * 2, dtype=bool)
    kept[:, 0] = True
    for code, kind in _kinds().items():
        kept[code, [kind_by_key(key).code for key in _coarser(kind)]] = True
    return kept


def _coarser(kind: CoverKind) -> list[str]:
    found = list(kind.within)
    for key in found:
        found += [more for more in kind_by_key(key).within if more not in found]
    return found
