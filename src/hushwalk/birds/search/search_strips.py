"""Lines to walk over a piece of ground: parallel strips, to and fro, that see all of it.

Which ground is walked, and how often, is search_effort.py's business.
"""

import numpy as np

from hushwalk.errors import InputError
from hushwalk.types import FloatArray

GAP_STRIPS = 2.0  # judgement: a strip is parted where more than two strip widths of it lie off the ground


def longest_axis(xy_m: FloatArray) -> FloatArray:
    """Direction in which some cells stretch farthest: a unit vector, easting and northing."""
    if len(xy_m) < 2:  # noqa: PLR2004 - one cell stretches nowhere
        return np.array([0.0, 1.0])
    return np.asarray(np.linalg.eigh(np.cov((xy_m - xy_m.mean(axis=0)).T))[1][:, 1])


def strips_over(
    xy_m: FloatArray, cell_m: float, strip_m: float, entry_m: tuple[float, float], *, along: FloatArray | None = None
) -> FloatArray:
    """Draw parallel lines over some cells.

    Parameters
    ----------
    xy_m : centres of the cells, shape (n, 2) [m].
    cell_m : size of a cell [m].
    strip_m : from one line to the next; as near to it as fills the ground evenly [m].
    entry_m : from where one comes [m].
    along : direction of the lines as a unit vector, easting and northing; along the longest axis of the cells if not
        given.

    Returns
    -------
    ndarray
        Begin and end of each line in walking order, shape (k, 2, 2) [m], beginning near ``entry_m``.

    Raises
    ------
    InputError
        If there is no ground, or the strip has no width.
    """
    if strip_m <= 0 or not len(xy_m):
        raise InputError(f"{len(xy_m)} cells in strips of {strip_m:g} m cannot be walked")
    middle = xy_m.mean(axis=0)
    along = longest_axis(xy_m) if along is None else along
    aside = np.array([along[1], -along[0]])
    u, v = (xy_m - middle) @ along, (xy_m - middle) @ aside
    width = float(np.ptp(v)) + cell_m
    count = max(1, round(width / strip_m))
    low, apart = float(v.min()) - cell_m / 2, width / count
    number = np.clip(((v - low) / apart).astype(int), 0, count - 1)
    strips = [_parts(u[number == k], v[number == k], cell_m, GAP_STRIPS * strip_m) for k in range(count)]
    ends = [(k, part) for k, parts in enumerate(strips) for part in parts]
    lines = np.array([[middle + s * along + (low + (k + 0.5) * apart) * aside for s in part] for k, part in ends])
    return _to_and_fro(lines, np.array([k for k, _ in ends]), np.asarray(entry_m, dtype=float))


def _parts(u: FloatArray, v: FloatArray, cell_m: float, gap_m: float) -> list[tuple[float, float]]:
    """Stretches of one strip that lie on the ground: from the mean begin to the mean end of its rows of cells."""
    order = np.argsort(u)
    cuts = np.flatnonzero(np.diff(u[order]) > gap_m) + 1
    found = []
    for part in (part for part in np.split(order, cuts) if len(part)):
        row = ((v[part] - v.min()) / cell_m + 1e-9).astype(int)
        begins, ends = np.full(row.max() + 1, np.inf), np.full(row.max() + 1, -np.inf)
        np.minimum.at(begins, row, u[part])
        np.maximum.at(ends, row, u[part])
        held = np.isfinite(begins)
        found.append((float(begins[held].mean()) - cell_m / 2, float(ends[held].mean()) + cell_m / 2))
    return found


def _to_and_fro(lines: FloatArray, strip: np.ndarray, entry: FloatArray) -> FloatArray:
    """Order lines strip by strip, each other strip backwards, from whichever outer end is nearest."""

    def walked(strips: list[int], *, flip: bool) -> FloatArray:
        parts = []
        for k, name in enumerate(strips):
            own = lines[strip == name]
            parts.append(own[::-1, ::-1] if (k % 2 == 0) == flip else own)
        return np.concatenate(parts)

    names = sorted(set(strip.tolist()))
    ways = [walked(order, flip=flip) for order in (names, names[::-1]) for flip in (False, True)]
    return min(ways, key=lambda way: float(np.hypot(*(way[0, 0] - entry))))
