"""Finds free room for words beside points, so that no label hides a stop or another label.

Numbers in points of the page; what is written is print_map.py's business.
"""

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from hushwalk.types import FloatArray

Box = tuple[float, float, float, float]  # left, bottom, right, top


def touch(one: Box, other: Box) -> bool:
    """Whether two boxes overlap.

    Examples
    --------
    >>> touch((0, 0, 2, 2), (1, 1, 3, 3)), touch((0, 0, 1, 1), (1, 0, 2, 1))
    (True, False)
    """
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def round_box(at: FloatArray, reach: float) -> Box:
    """Give the box round a point."""
    x, y = float(at[0]), float(at[1])
    return x - reach, y - reach, x + reach, y + reach


def free_places(
    points: Sequence[FloatArray],
    size: tuple[float, float],
    reach: float,
    taken: Iterable[Box],
    frame: Box,
    line: FloatArray,
) -> list[tuple[float, float] | None]:
    """Choose a place for a label of one size beside every point.

    Parameters
    ----------
    points : where the labels belong.
    size : width and height of a label.
    reach : half the size of the sign at a point.
    taken : boxes that must stay free.
    frame : that labels must keep inside.
    line : shape (n, 2), points of a line that labels had better not hide.

    Returns
    -------
    list
        Lower left corner of each label, or None where there is no room. Of the free places the one that hides the
        fewest points of the line is taken.
    """
    used = [*taken, *(round_box(point, reach) for point in points)]
    lines: list[tuple[float, float] | None] = []
    for point in points:
        free = [
            box
            for box in _candidates(point, size, reach)
            if _within(box, frame) and not any(touch(box, other) for other in used)
        ]
        best = min(free, key=lambda box: _hidden(box, line), default=None)
        if best is not None:
            used.append(best)
        lines.append(None if best is None else (best[0], best[1]))
    return lines


def _candidates(point: FloatArray, size: tuple[float, float], reach: float) -> Iterator[Box]:
    width, height = size
    x, y = float(point[0]), float(point[1])
    right, left, near = x + reach, x - reach - width, y - height / 2
    above, below = y + reach, y - reach - height
    for a, b in (
        (right, near),
        (left, near),
        (right, y + 0.3 * reach),
        (right, y - 0.3 * reach - height),
        (left, y + 0.3 * reach),
        (left, y - 0.3 * reach - height),
        (x - width / 2, above),
        (x - width / 2, below),
        (x, above),
        (x - width, above),
        (x, below),
        (x - width, below),
    ):
        yield a, b, a + width, b + height


def _within(box: Box, frame: Box) -> bool:
    return box[0] >= frame[0] and box[1] >= frame[1] and box[2] <= frame[2] and box[3] <= frame[3]


def _hidden(box: Box, line: FloatArray) -> int:
    x, y = np.asarray(line).T
    return int(((x > box[0]) & (x < box[2]) & (y > box[1]) & (y < box[3])).sum())
