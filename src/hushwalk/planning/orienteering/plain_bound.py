"""The bound of plain orienteering: a linear programme with cuts against tours that do not hang together.

Overlap, dwell choices and the time of day are branch_and_bound.py's.
"""

from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components, maximum_flow

from hushwalk.planning.heuristic.search_state import Incumbent
from hushwalk.planning.model.tables import Tables
from hushwalk.planning.orienteering.plain import plain_of, quickest
from hushwalk.types import FloatArray, IntArray

BROKEN = 1e-4  # judgement: a cut broken by less is not worth a row
FLOW_UNITS = 10**6  # definition: flows are whole numbers, so shares are counted in millionths
ROUNDS = 400  # judgement: more rounds than any instance up to 300 posts has needed
SAFE = 1e-6  # judgement: the programme's own tolerance, added to the bound as a share


@dataclass(frozen=True)
class Edges:
    """Posts that can be on the walk (the start first, the end second if it differs) and the edges between them."""

    posts: IntArray
    score: FloatArray
    one: IntArray
    other: IntArray
    time: FloatArray
    most: FloatArray
    ends: int


def plain_bound(tables: Tables, best: Incumbent, until_s: float) -> float:
    """Bound the score of plain orienteering.

    Parameters
    ----------
    tables : a problem that is modular and timeless.
    best : the run; its ``bound`` is kept up to date.
    until_s : when to stop on the run's clock; the bound holds whenever it stops [s].

    Returns
    -------
    float
        No route scores more.

    Notes
    -----
    max sum s_i y_i, x(d(i)) = 2 y_i, t x <= budget, x(d(S)) >= 2 y_v for v in S without start and end, and
    x_e <= y_v. Where times differ both ways the lesser is taken, which can only raise the bound. Whole
    scores round the bound down to a multiple of their common divisor.

    References
    ----------
    fischetti_1998
    """
    edges, budget = edges_of(tables), plain_of(tables).budget
    best.bound = min(best.bound, float(edges.score.sum()))
    model = first_model(edges, budget)
    unit = int(np.gcd.reduce(edges.score.astype(np.int64))) if np.all(edges.score == np.rint(edges.score)) else 0
    for _ in range(ROUNDS):
        if best.late() and best.seconds >= until_s:
            break
        model.run()
        if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            break
        bound = model.getInfo().objective_function_value * (1 + SAFE)
        best.bound = min(best.bound, max(np.floor(bound / unit) * unit if unit else bound, best.worth))
        best.report("bounding")
        values = np.array(model.getSolution().col_value)
        if best.bound <= best.worth * (1 + 1e-9) or best.seconds >= until_s or not add_cuts(model, edges, values):
            break
    return best.bound


def edges_of(tables: Tables) -> Edges:
    """Give the undirected edges that some walk within the budget can use."""
    plain = plain_of(tables)
    ends = [tables.start] if tables.start == tables.end else [tables.start, tables.end]
    posts = np.array([*ends, *plain.posts[:-2].tolist()], np.int64)
    dwell = np.full(len(tables.usable), tables.dwell[0])
    dwell[ends] = 0.0
    times = np.minimum(tables.travel[0], tables.travel[0].T) + (dwell[:, None] + dwell[None, :]) / 2
    one, other = np.triu_indices(len(posts), 1)
    time = times[posts[one], posts[other]]
    reach = quickest(times, tables.start)[posts]
    back = quickest(times, tables.end)[posts]
    least = time + np.minimum(reach[one] + back[other], reach[other] + back[one])
    keep = (least <= plain.budget) | (one < len(ends))
    if len(ends) == 2:  # noqa: PLR2004
        keep &= ~((one == 0) & (other == 1))
    one, other, time = one[keep], other[keep], time[keep]
    score = np.append(np.zeros(len(ends)), plain.score[:-2])
    most = np.where((one == 0) & (len(ends) == 1), 2.0, 1.0)
    return Edges(posts, score, one.astype(np.int64), other.astype(np.int64), time, most, len(ends))


def first_model(edges: Edges, budget: float) -> highspy.Highs:
    """Set up the programme: columns are the edges, then the posts."""
    model = highspy.Highs()  # type: ignore[no-untyped-call]
    model.silent()
    model.setOptionValue("threads", 1)
    count, n = len(edges.time), len(edges.posts)
    low = np.zeros(count + n)
    high = np.concatenate([edges.most, np.ones(n)])
    low[count : count + edges.ends] = 0.0 if edges.ends == 1 else 1.0
    cost = np.concatenate([np.zeros(count), edges.score])
    none = np.zeros(0, np.int32)
    model.addCols(count + n, cost, low, high, 0, none, none, np.zeros(0))
    model.changeObjectiveSense(highspy.ObjSense.kMaximize)
    model.addRow(-highspy.kHighsInf, budget, count, np.arange(count, dtype=np.int32), edges.time)
    for i in range(n):
        touching = np.flatnonzero((edges.one == i) | (edges.other == i)).astype(np.int32)
        degree = 1.0 if edges.ends > 1 and i < edges.ends else 2.0
        columns = np.append(touching, np.int32(count + i))
        model.addRow(0.0, 0.0, len(columns), columns, np.append(np.ones(len(touching)), -degree))
    return model


def add_cuts(model: highspy.Highs, edges: Edges, values: FloatArray) -> bool:
    """Add rows that the solution breaks; gives whether there were any.

    Parameters
    ----------
    model : the linear programme, rows are added.
    edges : of the programme.
    values : shape (columns,), its solution.

    Returns
    -------
    bool
        Whether any was broken.
    """
    count = len(edges.time)
    x, y = values[:count], values[count:]
    added = 0
    for e, end in _over_used(edges, x, y):
        model.addRow(-highspy.kHighsInf, 0.0, 2, np.array([e, count + end], np.int32), np.array([1.0, -1.0]))
        added += 1
    for inside, post in _loose_sets(edges, x, y):
        crossing = np.flatnonzero(inside[edges.one] != inside[edges.other]).astype(np.int32)
        columns = np.append(crossing, np.int32(count + post))
        model.addRow(0.0, highspy.kHighsInf, len(columns), columns, np.append(np.ones(len(crossing)), -2.0))
        added += 1
    return added > 0


def _over_used(edges: Edges, x: FloatArray, y: FloatArray) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for e in np.flatnonzero(x > BROKEN).tolist():
        posts = (int(edges.one[e]), int(edges.other[e]))
        single = edges.most[e] == 1
        found += [(e, end) for end in posts if single and end >= edges.ends and x[e] > y[end] + BROKEN]
    return found


def _loose_sets(edges: Edges, x: FloatArray, y: FloatArray) -> list[tuple[NDArray[np.bool_], int]]:
    """Sets of posts that hang on the start by less than one of them is visited: components, then least cuts."""
    n, on = len(edges.posts), np.flatnonzero(x > BROKEN / 1000)
    one, other, share = edges.one[on], edges.other[on], x[on]
    if edges.ends > 1:
        one, other, share = np.append(one, 0), np.append(other, 1), np.append(share, 4.0)
    graph = csr_array((share, (one, other)), shape=(n, n))
    parts, label = connected_components(graph, directed=False)
    found: list[tuple[NDArray[np.bool_], int]] = []
    for part in range(parts):
        inside = label == part
        if part != label[0] and y[inside].max() > BROKEN:
            found.extend((inside, int(v)) for v in np.flatnonzero(inside & (y > BROKEN))[:3])
    if found:
        return found
    flows = np.rint(graph.toarray() * FLOW_UNITS).astype(np.int32)
    network = csr_array(flows + flows.T)
    done = np.zeros(n, bool)
    for v in np.argsort(-y[edges.ends :]) + edges.ends:
        if y[v] <= BROKEN or done[v]:
            continue
        result = maximum_flow(network, int(v), 0)
        if result.flow_value >= (2 * y[v] - 10 * BROKEN) * FLOW_UNITS:
            continue
        inside = _side(network - result.flow, int(v))
        found.append((inside, int(v)))
        done |= inside
    return found


def _side(residual: csr_array, origin: int) -> NDArray[np.bool_]:
    """Which posts the leftover capacity reaches from the origin."""
    open_arcs = csr_array(residual > 0)
    inside, front = np.zeros(residual.shape[0], bool), [origin]
    inside[origin] = True
    while front:
        here = front.pop()
        for there in open_arcs.indices[open_arcs.indptr[here] : open_arcs.indptr[here + 1]].tolist():
            if not inside[there]:
                inside[there] = True
                front.append(there)
    return inside
