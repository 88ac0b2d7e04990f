"""What can still be on a walk that matters: posts, legs, and the moments at which stops begin.

Each is given up once no relaxed walk through it is worth enough; which those are, arc_fixing.py finds out.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hushwalk.planning.bound.relaxation import Point, Relaxation
from hushwalk.planning.model.tables import Tables
from hushwalk.types import BoolArray, FloatArray, IntArray

TickArray = NDArray[np.int64]
SLIGHT = (
    1e-4  # judgement: leaving out an overlap smaller than this share of the best gain raises the bound by as little
)


class Domain(NamedTuple):
    """Posts that may follow, shape (n,); ticks at which stops may begin, shape (n, ticks); and sure posts.

    Legs begin from tick ``early`` to tick ``late``, both shape (n, n); later than late they never do. Every walk that
    matters stops at the ``sure`` posts.
    """

    post: BoolArray
    early: TickArray
    late: TickArray
    begin: BoolArray
    sure: BoolArray


class Legs(NamedTuple):
    """Which posts follow which, apart by whether they overlap, and when each can be entered and left."""

    near: IntArray
    nears: IntArray
    far: IntArray
    fars: IntArray
    opens: IntArray
    closes: IntArray


def full_domain(tables: Tables, relaxation: Relaxation) -> Domain:
    """Everything that a walk may do; the posts that must be visited are sure."""
    n = tables.usable.size
    free = tables.usable[None, :] & ~tables.clash & ~np.eye(n, dtype=bool)
    early, late = np.zeros((n, n), np.int64), np.where(free, relaxation.ticks, -1)
    return Domain(tables.usable.copy(), early, late, np.ones((n, relaxation.ticks), bool), tables.must.copy())


def domain_after(tables: Tables, domain: Domain, fixed: IntArray) -> Domain:
    """Copy a domain for the walks that begin with given posts, which are not visited again.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    domain : what may still be on a walk.
    fixed : shape (k,), posts that the walk begins with, in order.

    Returns
    -------
    Domain
        A copy.
    """
    post = domain.post & tables.usable & ~tables.clash[fixed].any(axis=0)
    post[fixed] = False
    return Domain(post, domain.early.copy(), domain.late.copy(), domain.begin.copy(), domain.sure.copy())


@njit(cache=True, nogil=True)
def legs_of(
    tables: Tables, relaxation: Relaxation, point: Point, domain: Domain, last: int, first_tick: int
) -> tuple[Legs, FloatArray]:
    """Sort out the legs that matter, and the highest overlap price of each post.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    point : the relaxed worth at one point.
    domain : what may still be on a walk.
    last : the last of the given posts, or the start.
    first_tick : earliest tick at which the last of the given posts can be left.

    Returns
    -------
    tuple of Legs and ndarray
        The legs, and shape (n,), highest overlap price of each post.
    """
    n, ticks, peak = domain.post.size, relaxation.ticks, relaxation.peak
    near, far = np.zeros((n, n), np.int64), np.zeros((n, n), np.int64)
    nears, fars, top = np.zeros(n, np.int64), np.zeros(n, np.int64), np.zeros(n)
    opens, closes = np.zeros(n, np.int64), np.zeros(n, np.int64)
    for i in range(n):
        opens[i] = first_tick + relaxation.quickest[last, i]
        closes[i] = ticks - 1 - relaxation.quickest[i, tables.end]
    opens[last] = first_tick
    least = SLIGHT * point.gain.max()
    for i in range(n):
        if not (domain.post[i] or i == last) or opens[i] > closes[i]:
            continue
        for j in range(n):
            if not domain.post[j] or domain.early[i, j] > domain.late[i, j] or opens[j] > closes[j]:
                continue
            if point.overlap[i, j] > least:
                near[i, nears[i]] = j
                nears[i] += 1
                top[j] = max(top[j], point.overlap[i, j] * peak)
            else:
                far[i, fars[i]] = j
                fars[i] += 1
        order = np.argsort(relaxation.quickest[i][far[i, : fars[i]]])
        far[i, : fars[i]] = far[i, : fars[i]][order]
        order = np.argsort(relaxation.quickest[i][near[i, : nears[i]]])
        near[i, : nears[i]] = near[i, : nears[i]][order]
    return Legs(near, nears, far, fars, opens, closes), top
