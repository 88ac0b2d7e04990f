"""Rows that a solution of the linear programme breaks: tours apart from the start, edges used more than their posts.

The programme itself is edge_programme.py's.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import breadth_first_order, connected_components, maximum_flow

from hushwalk.planning.orienteering.edge_programme import Cut, Edges, Programme, Solution

BROKEN = 1e-4  # judgement: a cut broken by less is not worth a row
FLOW_UNITS = 10**6  # definition: flows are whole numbers, so shares are counted in millionths


def add_cuts(programme: Programme, solution: Solution) -> bool:
    """Add rows that the solution breaks; gives whether there were any."""
    edges = programme.edges
    broken = list(_over_used(edges, solution))
    for e, end in broken:
        programme.add_use(e, end)
    cuts = list(_loose_sets(edges, solution))
    for inside, post in cuts:
        programme.add_cut(Cut(inside, post, by_inside=False))
    return bool(broken or cuts)


def _over_used(edges: Edges, solution: Solution) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for e in np.flatnonzero(solution.x > BROKEN).tolist():
        posts = (int(edges.one[e]), int(edges.other[e]))
        single = edges.most[e] == 1
        share = solution.x[e]
        found += [(e, end) for end in posts if single and end >= edges.ends and share > solution.y[end] + BROKEN]
    return found


def _loose_sets(edges: Edges, solution: Solution) -> list[tuple[NDArray[np.bool_], int]]:
    """Sets of posts that hang on the start by less than one of them is visited: components, then least cuts."""
    y, n, on = solution.y, len(edges.posts), np.flatnonzero(solution.x > BROKEN / 1000)
    one, other, share = edges.one[on], edges.other[on], solution.x[on]
    if edges.ends > 1:
        one, other, share = np.append(one, 0), np.append(other, 1), np.append(share, 4.0)
    graph = csr_array((share, (one, other)), shape=(n, n))
    parts, label = connected_components(graph, directed=False)
    found: list[tuple[NDArray[np.bool_], int]] = []
    for part in range(parts):
        inside = label == part
        if part != label[0] and y[inside].max() > BROKEN:
            members = np.flatnonzero(inside)
            found.extend((inside, int(v)) for v in members[np.argsort(-y[members])][:2])
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
    inside = np.zeros(residual.shape[0], bool)
    inside[breadth_first_order(csr_array(residual > 0), origin, return_predecessors=False)] = True
    return inside
