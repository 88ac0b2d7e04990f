"""Which problems can be proven by walks on a clock of ticks, and a loose bound for the others.

The tight bound is branch_and_bound.py's; plain orienteering is bounded by plain_bound.py.
"""

import numpy as np

from hushwalk.planning.model.tables import Tables


def can_prove(tables: Tables) -> bool:
    """Whether the clock has ticks, and every stop with its leg takes at least one of them."""
    if tables.step <= 0:
        return False
    apart = ~np.eye(len(tables.usable), dtype=bool) & tables.usable[:, None] & tables.usable[None, :]
    quickest = tables.leg.min(axis=0)[apart].min(initial=1)
    return bool(tables.dwell.min() >= tables.step or quickest >= 1)


def loose_bound(tables: Tables) -> float:
    """Bound the worth where the clock has no ticks: the best posts by themselves, by time to reach and stop there.

    Notes
    -----
    The linear relaxation of a knapsack: each post costs at least its quickest leg in and its shortest dwell.
    """
    owner = np.repeat(np.arange(len(tables.usable)), np.diff(tables.row_start))
    own = np.bincount(owner, tables.chance * tables.mass[tables.target], minlength=len(tables.usable))
    own = np.where(tables.usable, own * tables.factor.max(), 0.0)
    legs = tables.travel.min(axis=0) + np.diag(np.full(len(own), np.inf))
    cost = legs.min(axis=0) + tables.dwell.min()
    room = max(0.0, min(tables.budget, tables.latest - tables.earliest) - legs[:, tables.end].min())
    order = np.argsort(-own / np.maximum(cost, 1e-12))
    taken = np.clip((room - (np.cumsum(cost[order]) - cost[order])) / np.maximum(cost[order], 1e-12), 0.0, 1.0)
    return float(min(tables.mass.sum(), (own[order] * taken).sum()) * (1 + 1e-9))
