"""The bound of plain orienteering: a linear programme with cuts against tours that do not hang together, and branching.

Overlap, dwell choices and the time of day are branch_and_bound.py's.
"""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from hushwalk.planning.heuristic.search_state import Incumbent
from hushwalk.planning.model.tables import Tables
from hushwalk.planning.model.worth import evaluate_route
from hushwalk.planning.orienteering.edge_programme import SAFE, Edges, Programme, Solution, edges_of
from hushwalk.planning.orienteering.subtour_cuts import add_cuts
from hushwalk.types import FloatArray

WHOLE = 1e-5  # judgement: a share this near to 0 or 1 is one of them
TAIL = 12  # judgement: rounds of cuts in a branch after which it must have closed a hundredth of what is open
GAIN = 0.01  # judgement: that hundredth
Fixed = tuple[tuple[bool, int, float], ...]


@dataclass(order=True)
class Branch:
    """Part of all walks: some posts or edges are on the walk or not, and no walk of the part scores more."""

    key: float
    number: int
    fixed: Fixed = field(compare=False)


@dataclass
class PlainProof:
    """The state of a proof: the programme, the open branches, and the whole numbers that scores are multiples of."""

    tables: Tables
    best: Incumbent
    programme: Programme
    unit: int
    until_s: float

    def rounded(self, bound: float) -> float:
        """Round a bound down to what a walk can score."""
        return max(float(np.floor(bound / self.unit) * self.unit) if self.unit else bound, self.best.worth)

    def closed(self, bound: float) -> bool:
        """Whether no walk below a bound beats the best one."""
        return self.rounded(bound) <= self.best.worth * (1 + (1e-9 if self.unit else 2 * SAFE))

    def late(self) -> bool:
        """Whether the time of the proof is used up."""
        return self.best.seconds >= self.until_s


def plain_bound(tables: Tables, best: Incumbent, until_s: float) -> float:
    """Bound the score of plain orienteering.

    Parameters
    ----------
    tables : a problem that is modular and timeless.
    best : the run; its ``bound`` is kept up to date, and a better route that a branch shows is kept.
    until_s : when to stop on the run's clock; the bound holds whenever it stops [s].

    Returns
    -------
    float
        No route scores more.

    Notes
    -----
    max sum s_i y_i, x(d(i)) = 2 y_i, t x <= budget, x(d(S)) >= 2 y_v for v in S without start and end, and
    x_e <= y_v. Where times differ both ways the lesser is taken, which can only raise the bound. Whole
    scores round the bound down to a multiple of their common divisor. Edges that the bound shows to be on no
    better walk are left out; then the branch with the highest bound is split by a post that is on the walk or
    not, or by an edge where all posts are whole.

    References
    ----------
    fischetti_1998
    """
    edges = edges_of(tables)
    best.bound = min(best.bound, float(edges.score.sum()))
    whole = bool(np.all(edges.score == np.rint(edges.score)))
    unit = int(np.gcd.reduce(edges.score.astype(np.int64))) if whole else 0
    proof = PlainProof(tables, best, Programme(edges), unit, until_s)
    root = None
    for root in relaxations(proof, (), best.bound):
        best.bound = min(best.bound, proof.rounded(root.bound))
        best.report("bounding")
    if root is None or proof.closed(best.bound) or proof.late():
        return best.bound
    leave_out(proof, root)
    split(proof, root)
    return best.bound


def relaxations(proof: PlainProof, fixed: Fixed, above: float) -> Iterator[Solution]:
    """Solve the programme of a branch, cut off what is no walk, and again.

    Parameters
    ----------
    proof : whose programme is used; it gains rows that hold in every branch.
    fixed : posts and edges that the branch fixes.
    above : what no walk of the branch exceeds.

    Yields
    ------
    Solution
        Each with a lower bound than the one before; none where the branch holds no walk.
    """
    last, rounds = above, 0
    while True:
        solution = proof.programme.solve(fixed)
        if solution is None:
            return
        yield solution
        if proof.closed(solution.bound) or proof.late() or not add_cuts(proof.programme, solution):
            return
        rounds += 1
        if fixed and rounds % TAIL == 0:
            if last - solution.bound < GAIN * (solution.bound - proof.best.worth):
                return
            last = solution.bound


def leave_out(proof: PlainProof, root: Solution) -> None:
    """Drop the edges that the bound of all walks shows to be on none that beats the best."""
    old, edges = proof.programme, proof.programme.edges
    enough = proof.best.worth + (proof.unit or 0.0)
    keep = (root.x > 0) | (root.bound + root.x_price >= enough)
    keep[[e for e, _ in old.uses]] = True
    number = np.cumsum(keep) - 1
    proof.programme = Programme(edges.some(keep), old.cuts, [(int(number[e]), v) for e, v in old.uses])


def split(proof: PlainProof, root: Solution) -> None:
    """Split the branch with the highest bound until none can hold a better walk, or the time is over."""
    best, count = proof.best, 0
    open_branches = [Branch(-root.bound, 0, ())]
    while open_branches:
        branch = heapq.heappop(open_branches)
        best.bound = min(best.bound, proof.rounded(-branch.key))
        best.report(f"bounding, {len(open_branches) + 1} branches open")
        if proof.closed(-branch.key):
            best.bound = best.worth
            return
        solution, bound = None, -branch.key
        for solution in relaxations(proof, branch.fixed, bound):
            bound = min(bound, solution.bound)
        if proof.late():
            return
        if solution is None or proof.closed(bound):
            continue
        choice = most_open(proof.programme.edges, solution)
        if choice is None:
            keep_walk(proof, solution)
            if not proof.closed(bound):  # a walk of these edges is longer than they say: times differ both ways
                return
            continue
        is_edge, which, high = choice
        for share in (0.0, high):
            count += 1
            heapq.heappush(open_branches, Branch(-bound, count, (*branch.fixed, (is_edge, which, share))))
    best.bound = best.worth


def most_open(edges: Edges, solution: Solution) -> tuple[bool, int, float] | None:
    """Choose what to split by: a post between on and off the walk, or else an edge; None where all are whole."""
    y = solution.y
    doubt = np.minimum(y, 1 - y)
    if doubt.max() > WHOLE:
        return False, int(np.argmax(doubt * (1 + edges.score / (edges.score.max() + 1)))), 1.0
    x = solution.x
    doubt = np.abs(x - np.rint(x))
    if doubt.max() > WHOLE:
        return True, int(np.argmax(doubt)), 1.0
    return None


def keep_walk(proof: PlainProof, solution: Solution) -> None:
    """Keep the walk that a solution of whole shares shows, if it is better and keeps the limits."""
    order = walk_of(proof.programme.edges, solution.x)
    none_missed = np.ones(len(proof.tables.mass))
    for way in (order, order[::-1]):
        stops = np.array([way, np.zeros(len(way))], np.int64)
        waits = np.zeros(len(way) + 1)
        worth, _ = evaluate_route(proof.tables, stops, waits, len(way), waits.copy(), none_missed)
        proof.best.update(stops, waits, len(way), worth)


def walk_of(edges: Edges, x: FloatArray) -> list[int]:
    """Follow whole edges from the start; gives the posts between start and end in order."""
    left = np.rint(x).astype(np.int64)
    place = 0
    order: list[int] = []
    while True:
        touching = np.flatnonzero((left > 0) & ((edges.one == place) | (edges.other == place)))
        if len(touching) == 0:
            return order
        e = int(touching[0])
        left[e] -= 1
        place = int(edges.other[e] if edges.one[e] == place else edges.one[e])
        if place < edges.ends:
            return order
        order.append(int(edges.posts[place]))
