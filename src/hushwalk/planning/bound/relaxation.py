"""The relaxed worth: a sum over visits and neighbouring pairs of visits that no route's true worth exceeds.

The best relaxed walk under it is pricing.py's; which point to relax at is branch_and_bound.py's.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse.csgraph import floyd_warshall

from hushwalk.planning.bound.compiled import without_reference_counts
from hushwalk.planning.model.tables import NO_WAY, Tables
from hushwalk.types import BoolArray, FloatArray

NOTHING = 1e-12  # definition: worth that is rounding only
HAIR = 1e-6  # definition: lost in whole ticks; a leg of nothing would count as no leg
LEVELS = 9  # judgement: factors between two of nine levels are bounded by the chord, tight to a few in ten thousand


class Relaxation(NamedTuple):
    """What stays the same at every point: factor levels, logs of the misses, targets by post, quickest legs.

    ``single`` is what the best single visit is worth, ``peak`` the highest factor. ``leg``, shape (n, n, ticks), are
    legs in ticks by when they begin; ``ended``, shape (dwells, ticks), is the factor of the stop that ends at a
    tick; no leg and dwell together take less than ``shortest`` ticks.
    """

    level: NDArray[np.int64]
    share: FloatArray
    height: FloatArray
    log_missed: FloatArray
    column_start: NDArray[np.int64]
    column_post: NDArray[np.int64]
    column_chance: FloatArray
    dwell: NDArray[np.int64]
    factor: FloatArray
    quickest: NDArray[np.int64]
    ticks: int
    budget: int
    single: float
    peak: float
    leg: NDArray[np.int16]
    ended: FloatArray
    shortest: int


class Point(NamedTuple):
    """The relaxed worth at one point: a constant, gains by post and level, and overlaps of neighbouring visits."""

    constant: float
    gain: FloatArray
    overlap: FloatArray


def relaxation_of(tables: Tables) -> Relaxation:
    """Prepare the relaxation of a problem with ticks."""
    ticks = len(tables.slot)
    factor = np.broadcast_to(tables.factor, (len(tables.dwell), ticks)).copy()
    if len(tables.own):  # the relaxation knows one hour only: that of whichever post is most awake
        factor *= tables.own[tables.usable].max(axis=0, initial=0.0)
    height = np.unique(factor) if len(np.unique(factor)) <= LEVELS else np.linspace(factor.min(), factor.max(), LEVELS)
    if len(height) == 1:
        height = np.array([height[0], height[0] + 1e-9])
    level = np.clip(np.searchsorted(height, factor, side="right") - 1, 0, len(height) - 2)
    share = np.clip((factor - height[level]) / (height[level + 1] - height[level]), 0.0, 1.0)
    caught = np.minimum(tables.chance[:, None] * height[None, :], 1 - 1e-12)
    n, dwell = len(tables.usable), np.rint(tables.dwell / tables.step).astype(np.int64)
    least, among = tables.leg.min(axis=0) + HAIR, np.ix_(tables.usable, tables.usable)
    quickest = floyd_warshall(least)
    quickest[among] = floyd_warshall(least[among])  # no walk goes by way of the start or the end
    apart = quickest[among][~np.eye(int(tables.usable.sum()), dtype=bool)]
    ended = np.array([np.concatenate([np.zeros(d), row[: ticks - d]]) for d, row in zip(dwell, factor, strict=True)])
    owner = np.repeat(np.arange(n), np.diff(tables.row_start))
    order = np.argsort(tables.target, kind="stable")
    counts = np.bincount(tables.target, minlength=len(tables.mass))
    return Relaxation(
        level=level.astype(np.int64),
        share=share,
        height=height,
        log_missed=-np.log1p(-caught),
        column_start=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
        column_post=owner[order].astype(np.int64),
        column_chance=tables.chance[order],
        dwell=dwell,
        factor=factor,
        quickest=np.minimum(quickest, NO_WAY).astype(np.int64),
        ticks=ticks,
        budget=int(tables.budget / tables.step + 1e-6),
        single=float(np.bincount(owner, tables.chance * tables.mass[tables.target], minlength=n).max() * height.max()),
        peak=max(float(factor.max()), NOTHING),
        leg=tables.leg[tables.slot].transpose(1, 2, 0).copy(),
        ended=ended,
        shortest=int(min(dwell.min() + apart.min(initial=NO_WAY), ticks)),
    )


@njit(cache=True, nogil=True)
def relax_at(  # noqa: C901, PLR0912 (one loop over targets, compiled as a whole)
    tables: Tables, relaxation: Relaxation, seen: FloatArray, summed: FloatArray, alive: BoolArray, soft: float
) -> Point:
    """Relax the worth at a point.

    Parameters
    ----------
    tables, relaxation : the problem.
    seen : shape (m,), u, the sum over visits of -ln(1 - p a) at which the tangent is taken.
    summed : shape (m,), the sum over visits of p a less the overlap of neighbouring visits, there.
    alive : shape (n,), posts that the walk may visit.
    soft : how softly the lesser of the two bounds is chosen for each target.

    Returns
    -------
    Point
        Constant, gains and overlaps.

    Notes
    -----
    With x_k = p a of visit k, both of these hold for every target and every walk:
    1 - prod(1 - x_k) <= sum x_k - sum x_k x_{k+1} (Hunter 1976, the tree being the walk itself), and
    1 - prod(1 - x_k) <= 1 - q - q u + q sum -ln(1 - x_k), q = e^-u (the tangent at u). So does any mean of them.
    """
    n, levels = alive.size, relaxation.height.size
    own, tangent, constant = np.empty(seen.size), np.empty(seen.size), 0.0
    for c in range(seen.size):
        left = np.exp(-seen[c])
        edge = (1 - left - summed[c]) / (soft * (1 - left + 1e-9))
        weight = 1.0 / (1.0 + np.exp(-min(max(edge, -40.0), 40.0)))
        own[c] = weight * tables.mass[c]
        tangent[c] = (1 - weight) * tables.mass[c] * left
        constant += (1 - weight) * tables.mass[c] * (1 - left - left * seen[c])
    gain = np.zeros((n, levels))
    for i in range(n):
        if not alive[i]:
            continue
        plain = 0.0
        for e in range(tables.row_start[i], tables.row_start[i + 1]):
            c = tables.target[e]
            plain += own[c] * tables.chance[e]
            for s in range(levels):
                gain[i, s] += tangent[c] * relaxation.log_missed[e, s]
        for s in range(levels):
            gain[i, s] += plain * relaxation.height[s]
    overlap = np.zeros((n, n))
    for c in range(seen.size):
        if own[c] <= NOTHING:
            continue
        for e in range(relaxation.column_start[c], relaxation.column_start[c + 1]):
            i = relaxation.column_post[e]
            if not alive[i]:
                continue
            piece = own[c] * relaxation.column_chance[e]
            for f in range(relaxation.column_start[c], e):
                if alive[relaxation.column_post[f]]:
                    overlap[i, relaxation.column_post[f]] += piece * relaxation.column_chance[f]
    for i in range(n):
        for j in range(i):
            both = overlap[i, j] + overlap[j, i]
            overlap[i, j] = overlap[j, i] = both
    return Point(constant, gain, overlap)


@without_reference_counts
def gain_at(relaxation: Relaxation, point: Point, post: int, dwell: int, tick: int) -> float:
    """Relaxed gain of a visit, before any overlap.

    Parameters
    ----------
    relaxation : of that problem.
    point : the relaxed worth at one point.
    post : index of the post.
    dwell : index of the dwell.
    tick : ticks since the earliest clock.

    Returns
    -------
    float
        On the chord between two heights of the factor.
    """
    s, share = relaxation.level[dwell, tick], relaxation.share[dwell, tick]
    return float(point.gain[post, s] * (1 - share) + point.gain[post, s + 1] * share)
