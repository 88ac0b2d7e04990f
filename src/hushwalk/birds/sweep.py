"""A path through a piece of ground that sees all of it: parallel lines, to and fro.

In which order pieces are searched, and when, is search_order.py's business.
"""

from dataclasses import dataclass, field

import numpy as np

from hushwalk.birds.credible_ground import CredibleGround
from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.grid.polyline import polyline_length
from hushwalk.types import FloatArray


@dataclass(frozen=True, eq=False)
class Sweep:
    """Lines to walk.

    Parameters
    ----------
    turns_m : shape (k, 2) ends of the lines in walking order [m].
    length_m : along them, straight from turn to turn [m].
    chance : that the bird's log lies within half a swath of the lines, 0..1.
    whole : False where the ground is larger than the length allowed, so that only the likeliest strips are walked.
    """

    turns_m: FloatArray = field(repr=False)
    length_m: float
    chance: float
    whole: bool


@dataclass(frozen=True)
class _Strip:
    number: int
    start_m: float
    end_m: float
    chance: float

    @property
    def length_m(self) -> float:
        return self.end_m - self.start_m


def sweep_of(
    ground: CredibleGround, chance: Layer, entry_m: tuple[float, float], swath_m: float, length_max_m: float
) -> Sweep:
    """Draw parallel lines over a ground.

    Parameters
    ----------
    ground : to be seen.
    chance : chance of every cell, on the grid of the ground.
    entry_m : from where one comes [m].
    swath_m : width seen from a line [m].
    length_max_m : longest way allowed [m].

    Returns
    -------
    Sweep
        The lines in walking order, beginning near ``entry_m``, their length [m] and the chance that they hold.

    Raises
    ------
    InputError
        If swath or length are not positive, or the ground is empty.

    Notes
    -----
    Lines run along the longest axis of the ground, so that there are few turns. Where it is too large, strips are
    taken from the likeliest one outwards, the better side first, while the length allows.
    """
    if swath_m <= 0 or length_max_m <= 0:
        raise InputError(f"a swath of {swath_m:g} m and a length of {length_max_m:g} m cannot be walked")
    rows, cols = np.nonzero(ground.inside)
    if not len(rows):
        raise InputError("there is no ground to search")
    xy, mass = ground.grid.xy(rows, cols), np.nan_to_num(chance.values[rows, cols])
    middle = xy.mean(axis=0)
    _, axes = np.linalg.eigh(np.cov((xy - middle).T) if len(xy) > 1 else np.eye(2))
    along, across = axes[:, 1], axes[:, 0]
    u, v = (xy - middle) @ along, (xy - middle) @ across
    strips = _strips(u, v, mass, swath_m, ground.grid.cell_m)
    chosen = _chosen(strips, swath_m, length_max_m)
    first_v = v.min()
    lines = [
        (middle + u_ * along + (first_v + (s.number + 0.5) * swath_m) * across)
        for s in chosen
        for u_ in (s.start_m, s.end_m)
    ]
    turns = _to_and_fro(np.array(lines).reshape(-1, 2, 2), np.asarray(entry_m, dtype=float))
    length = polyline_length(turns)
    return Sweep(turns, length, float(sum(s.chance for s in chosen)), len(chosen) == len(strips))


def _strips(u: FloatArray, v: FloatArray, mass: FloatArray, swath_m: float, cell_m: float) -> list[_Strip]:
    number = np.floor((v - v.min()) / swath_m).astype(int)
    found = []
    for n in np.unique(number):
        own = number == n
        start, end = float(u[own].min()) - cell_m / 2, float(u[own].max()) + cell_m / 2
        found.append(_Strip(int(n), start, end, float(mass[own].sum())))
    return found


def _chosen(strips: list[_Strip], swath_m: float, length_max_m: float) -> list[_Strip]:
    best = max(range(len(strips)), key=lambda i: strips[i].chance / strips[i].length_m)
    low = high = best
    used = strips[best].length_m
    while low > 0 or high < len(strips) - 1:
        sides = [i for i in (low - 1, high + 1) if 0 <= i < len(strips)]
        side = max(sides, key=lambda i: strips[i].chance / strips[i].length_m)
        used += strips[side].length_m + swath_m
        if used > length_max_m:
            break
        low, high = min(low, side), max(high, side)
    return strips[low : high + 1]


def _to_and_fro(lines: FloatArray, entry: FloatArray) -> FloatArray:
    # Begin at whichever of the four outer ends is nearest to where one comes from.
    def walked(ordered: FloatArray, flip: bool) -> FloatArray:
        ways = [line[::-1] if (i % 2 == 0) == flip else line for i, line in enumerate(ordered)]
        return np.concatenate(ways)

    ways = [walked(order, flip) for order in (lines, lines[::-1]) for flip in (False, True)]
    return min(ways, key=lambda way: float(np.hypot(*(way[0] - entry))))
