"""The moves of a walker on a grid: how far each goes, which cells it touches and how it is split.

What a move costs on real ground is graph.py's business.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from itertools import pairwise
from math import ceil, gcd

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray, IntArray

REACH = {8: 1, 16: 2, 32: 3}  # definition: neighbours -> longest step along an axis [cells]
HALF = Fraction(1, 2)


@dataclass(frozen=True, eq=False)
class Moves:
    """All moves of a neighbourhood; the second half are the opposites of the first, in the same order.

    Parameters
    ----------
    steps : shape (k, 2), rows down and columns right [cells].
    touched : shape (k, t, 2), cells that the move passes or grazes, itself excluded, padded with the end cell.
    n_parts : shape (k,), parts that slope and growth are taken over.
    knots : shape (k, p, 2, 3), for the end of each part the two cells (rows down, columns right) and their weights
        whose mean height is the height there.
    growth : shape (k, p, g, 3), for each part the cells and the share of its length that lies in them.
    """

    steps: IntArray
    touched: IntArray = field(repr=False)
    n_parts: IntArray = field(repr=False)
    knots: FloatArray = field(repr=False)
    growth: FloatArray = field(repr=False)

    @property
    def n_half(self) -> int:
        """Number of moves that are not the opposite of an earlier one."""
        return len(self.steps) // 2

    @property
    def elongation(self) -> tuple[float, float]:
        """Worst and mean excess of the length on even ground over the straight line, as shares.

        Notes
        -----
        Between two moves an angle g apart the excess at angle b from the first is that of the two-move detour; it is
        worst in the middle, 1 / cos(g / 2) - 1, and its mean over the gap is tan(g / 2) / (g / 2) - 1.

        References
        ----------
        goodchild_1977

        Examples
        --------
        >>> worst, _ = moves_of(16).elongation
        >>> round(worst, 4)
        0.0275
        """
        angles = np.sort(np.arctan2(self.steps[:, 0], self.steps[:, 1]))
        gaps = np.diff(np.append(angles, angles[0] + 2 * np.pi))
        mean = float(np.sum(2 * np.tan(gaps / 2)) / (2 * np.pi))
        return float(1 / np.cos(gaps.max() / 2) - 1), mean - 1


@cache
def moves_of(neighbours: int) -> Moves:
    """List the moves to the 8, 16 or 32 nearest cells in different directions.

    Parameters
    ----------
    neighbours : 8 (queen), 16 (with knight moves) or 32 (with steps of three).

    Raises
    ------
    SettingsError
        If the number is another.

    References
    ----------
    herzog_2013
    """
    if neighbours not in REACH:
        raise SettingsError(f"a walker has {' or '.join(map(str, REACH))} neighbours, not {neighbours}")
    reach = REACH[neighbours]
    span = range(-reach, reach + 1)
    ahead = [(i, j) for i in span for j in span if (i, j) > (0, 0) and gcd(i, j) == 1]
    steps = ahead + [(-i, -j) for i, j in ahead]
    cells = [_passed(i, j) for i, j in steps]
    touched = [_grazed(i, j) for i, j in steps]
    widest = max(map(len, touched))
    return Moves(
        steps=np.array(steps),
        touched=np.array([list(t) + [s] * (widest - len(t)) for t, s in zip(touched, steps, strict=True)]),
        n_parts=np.array([_parts(i, j) for i, j in steps]),
        knots=_padded([_knots(i, j) for i, j in steps]),
        growth=_padded([_growth(c, i, j) for c, (i, j) in zip(cells, steps, strict=True)]),
    )


def _parts(i: int, j: int) -> int:
    return max(abs(i), abs(j))


def _breaks(i: int, j: int) -> list[Fraction]:
    """Places along the move, 0..1, where it changes cell."""
    found = {Fraction(0), Fraction(1)}
    for step in (abs(i), abs(j)):
        found |= {(n + HALF) / step for n in range(step)}
    return sorted(found)


def _cell(position: Fraction) -> int:
    return ceil(position - HALF)


def _passed(i: int, j: int) -> list[tuple[Fraction, Fraction, int, int]]:
    """Stretches (from, to, row, column) of the move and the cell that holds each."""
    return [(a, b, _cell((a + b) / 2 * i), _cell((a + b) / 2 * j)) for a, b in pairwise(_breaks(i, j))]


def _grazed(i: int, j: int) -> list[tuple[int, int]]:
    """Cells passed or met at a corner, the first excluded."""
    met = {(r, c) for _, _, r, c in _passed(i, j)}
    for t in _breaks(i, j)[1:-1]:
        if (t * i).denominator == 2 and (t * j).denominator == 2:  # noqa: PLR2004  a corner lies at two halves
            sides = [(int(t * i - s * HALF), int(t * j - u * HALF)) for s in (-1, 1) for u in (-1, 1)]
            met |= set(sides)
    return sorted(met - {(0, 0)})


def _knots(i: int, j: int) -> list[list[tuple[float, ...]]]:
    n = _parts(i, j)
    rows: list[list[tuple[float, ...]]] = []
    for p in range(1, n + 1):
        at = (Fraction(p * i, n), Fraction(p * j, n))
        low = (at[0].__floor__(), at[1].__floor__())
        high = (at[0].__ceil__(), at[1].__ceil__())
        share = float((at[0] - low[0]) + (at[1] - low[1]))  # one of the two is whole
        rows.append([(*low, 1 - share), (*high, share)])
    return rows


def _growth(cells: list[tuple[Fraction, Fraction, int, int]], i: int, j: int) -> list[list[tuple[float, ...]]]:
    n = _parts(i, j)
    rows: list[list[tuple[float, ...]]] = []
    for p in range(n):
        start, end = Fraction(p, n), Fraction(p + 1, n)
        overlaps = [(r, c, max(Fraction(0), min(b, end) - max(a, start)) * n) for a, b, r, c in cells]
        rows.append([(r, c, float(share)) for r, c, share in overlaps if share > 0])
    return rows


def _padded(nested: list[list[list[tuple[float, ...]]]]) -> FloatArray:
    n_parts = max(map(len, nested))
    n_cells = max(len(part) for move in nested for part in move)
    table = np.zeros((len(nested), n_parts, n_cells, 3))
    for k, move in enumerate(nested):
        for p, part in enumerate(move):
            table[k, p, : len(part)] = part
    return table
