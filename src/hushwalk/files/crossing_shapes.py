"""Repairs shapes that cross themselves, and refuses those that cross themselves everywhere, which no memory holds.

Cutting and carrying shapes is vectors.py's business.
"""

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from hushwalk.errors import InputError

FEW_CORNERS = 100  # judgement: as many are repaired in a second however they lie
SAMPLED = 30  # judgement: sides looked at; a shape that crosses itself everywhere shows in as few
MOST_CROSSINGS = 20_000  # judgement: the worst lake shore crosses itself some dozens of times; these take ten seconds


def repaired(shapes: NDArray[Any], wrong: NDArray[np.bool_], label: str) -> NDArray[Any]:
    """Make invalid shapes valid.

    Parameters
    ----------
    shapes : geometries.
    wrong : which of them are invalid.
    label : how to name the layer in an error.

    Returns
    -------
    ndarray
        The geometries, those that were invalid repaired.

    Raises
    ------
    InputError
        If a shape crosses itself so often that it cannot be repaired.
    """
    for shape in shapes[wrong]:
        corners = shapely.get_num_coordinates(shape)
        if corners > FEW_CORNERS and crossings_within(shape) > MOST_CROSSINGS:
            raise InputError(
                f"{label} holds a shape of {corners} corners that crosses itself everywhere, so that nobody can tell "
                "what lies inside; take it out, or draw it anew"
            )
    mended: NDArray[Any] = shapes.copy()
    try:
        mended[wrong] = shapely.make_valid(shapes[wrong])
    except (shapely.errors.GEOSException, MemoryError) as fault:
        raise InputError(f"{label} holds a shape that cannot be repaired ({fault}); draw it anew") from None
    return mended


def crossings_within(shape: Any) -> float:  # noqa: ANN401 - any shape
    """Estimate how often the sides of a shape cross, from some of them."""
    rings = [shapely.get_coordinates(part) for part in _rings(shape)]
    starts, ends = (np.concatenate([ring[cut] for ring in rings]) for cut in (slice(None, -1), slice(1, None)))
    sides = shapely.linestrings(np.stack([starts, ends], axis=1))
    some = sides[:: max(1, len(sides) // SAMPLED)]
    met, _ = shapely.STRtree(sides).query(some, predicate="crosses")
    return float(len(met) / len(some) * len(sides) / 2)


def _rings(shape: Any) -> NDArray[Any]:  # noqa: ANN401 - any shape
    parts = shapely.get_parts(shape)
    rings: NDArray[Any] = shapely.get_rings(parts)
    return rings if len(rings) else np.asarray(parts)
