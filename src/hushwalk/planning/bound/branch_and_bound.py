"""The proof: what no walk over these posts, on this clock and with these dwells, can exceed.

The bound of one node is node.py's; plain orienteering is bounded by plain_bound.py.
"""

import heapq
import itertools
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field, replace

import numpy as np

from hushwalk.planning.bound.backward_labels import Prices
from hushwalk.planning.bound.domain import Domain, full_domain
from hushwalk.planning.bound.node import NodeBound, TangentPoint, bound_node, no_tangent
from hushwalk.planning.bound.relaxation import Relaxation, relaxation_of
from hushwalk.planning.bound.timing import time_best
from hushwalk.planning.heuristic.search_state import Incumbent, SearchState, advance, state_of
from hushwalk.planning.model.clock import UNLIMITED
from hushwalk.planning.model.tables import Tables
from hushwalk.types import IntArray

FIRST_AIM = 0.01  # judgement: first settle whether a plan is this near; nobody would walk differently for less
ROOT_ROUNDS = (8, 8, 12)  # judgement: further rounds are better spent below the root
TURN_CROWDED = 1  # judgement: after the first rounds, when relaxed walks look like walks
NODE_ROUNDS = 4  # judgement: a child begins where its parent ended, and needs few
NODE_TURNED = 14  # judgement: as sharp as the root after so many rounds
END_ROUNDS = 24  # judgement: a whole order of posts is cheap to bound, and costly to time
IMPROVE_EVERY = 5  # judgement: routes near relaxed walks are often better than the search alone finds
IMPROVE_STEPS = 40  # judgement: enough to turn a relaxed walk into a good route


@dataclass(order=True)
class OpenNode:
    """One open node: all walks of a domain that begin with these posts and, where ``ends``, visit no other."""

    key: float
    order: int
    fixed: tuple[int, ...] = field(compare=False)
    ends: bool = field(compare=False)
    domain: Domain = field(compare=False)
    tangent: TangentPoint = field(compare=False)
    critical: IntArray = field(compare=False)

    @property
    def bound(self) -> float:
        """What no walk of this node exceeds."""
        return -self.key


@dataclass(frozen=True)
class ProofParams:
    """Limits of a proof: the gap that is enough (as a share), nodes, seconds on the run's clock, threads."""

    gap: float = 0.0
    nodes: int | None = None
    until_s: float = np.inf
    threads: int = 2


def prove(tables: Tables, best: Incumbent, params: ProofParams, rng: np.random.Generator) -> float:
    """Bound the best possible worth, and improve the best route on the way.

    Parameters
    ----------
    tables : a problem with ticks.
    best : the run; its route is improved and its ``bound`` kept up to date.
    params : limits.
    rng : for the local search of relaxed walks.

    Returns
    -------
    float
        The bound, without what start and end catch themselves.

    Notes
    -----
    Best-first search over beginnings of walks (which posts, in which order; when and how long stays free), each
    bounded by ``node.bound_node``. The bound is the largest over the open nodes; a whole order of posts is timed by
    ``timing.time_best``. A first search leaves alone what lies within 1 % of the plan, and so ends sooner; a second one
    does not.
    """
    relaxation = relaxation_of(tables)
    prices = limit_prices(tables, relaxation, crowded=False)
    for gap in sorted({max(FIRST_AIM, params.gap), params.gap}, reverse=True):
        tree = Tree(tables, relaxation, prices, best, replace(params, gap=gap), rng)
        tree.bound_root()
        tree.run()
        prices = tree.prices
        if best.seconds >= params.until_s or best.bound > tree.cutoff:
            break
    return best.bound


def limit_prices(tables: Tables, relaxation: Relaxation, *, crowded: bool) -> Prices:
    """Find prices of the limits that the relaxed walk would break, by trying a few at the root.

    The count of stops is priced only where relaxed walks are ``crowded``: most mornings end before it matters.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    relaxation : of that problem.
    crowded : whether relaxed walks make more stops than are allowed.

    Returns
    -------
    Prices
        0 for limits that do not bind.
    """
    prices, domain = Prices(0.0, 0.0, 0.0, 0.0), full_domain(tables, relaxation)
    limits = []
    if crowded:
        limits.append(("stop", float(max(tables.max_stops, 1))))
    if relaxation.budget < relaxation.ticks - 1:
        limits.append(("tick", float(max(relaxation.budget, 1))))
    if tables.max_walk < tables.budget:
        limits.append(("walk", max(tables.max_walk / tables.step, 1.0)))
    if tables.max_length < UNLIMITED:
        limits.append(("metre", max(tables.max_length, 1.0)))

    def bound(trial: Prices) -> float:
        none = np.zeros(0, np.int64)
        found = bound_node(tables, relaxation, none, no_tangent(tables), trial, 8, 0.0, domain, none, 0)
        return float(found.bound)

    scale = bound(prices) if limits else 0.0
    for name, most in limits:
        tried = [(scale, 0.0)]
        for share in (0.1, 0.2, 0.4, 0.7):
            price = share * scale / most
            tried.append((bound(prices._replace(**{name: price})), price))
        scale, price = min(tried)
        prices = prices._replace(**{name: price})
    return prices


def improved_route(tables: Tables, node: NodeBound, seed: int) -> SearchState:
    """Turn the last relaxed walk of a node into a route, and improve it.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    node : whose last relaxed walk it is.
    seed : of the random numbers.

    Returns
    -------
    SearchState
        Of the route.
    """
    posts: list[int] = []
    dwells: list[int] = []
    for post, dwell in node.walk[:2, : node.size].T.tolist():
        if post not in posts and not any(tables.clash[post, other] for other in posts):
            posts.append(post)
            dwells.append(dwell)
    stops = np.array([posts, dwells], np.int64)
    route = state_of(tables, stops.reshape(2, -1), np.zeros(len(posts) + 1))
    advance(tables, route, IMPROVE_STEPS, (0.01, 0.001), seed)
    return route


class Tree:
    """The open nodes of a proof."""

    def __init__(
        self,
        tables: Tables,
        relaxation: Relaxation,
        prices: Prices,
        best: Incumbent,
        params: ProofParams,
        rng: np.random.Generator,
    ) -> None:
        self.tables, self.relaxation, self.prices = tables, relaxation, prices
        self.best, self.params, self.rng = best, params, rng
        self.open: list[OpenNode] = []
        self.counter = itertools.count()
        self.nodes = self.sent = 0
        self.unsettled = self.pruned = self.lost = -np.inf

    @property
    def cutoff(self) -> float:
        """A node whose bound is not above this cannot matter."""
        return max(self.best.worth, 0.0) / (1 - self.params.gap) * (1 + 1e-9)

    def bound_root(self) -> None:
        """Bound the root, as far as it pays, and open its branches."""
        critical = np.zeros(0, np.int64)
        domain, tangent, bound = full_domain(self.tables, self.relaxation), no_tangent(self.tables), np.inf
        for turn, rounds in enumerate(ROOT_ROUNDS):
            root = OpenNode(-bound, 0, (), ends=False, domain=domain, tangent=tangent, critical=critical)
            found = self.evaluate(root, rounds, sum(ROOT_ROUNDS[:turn]))
            bound = min(bound, found.bound)
            self.lost = max(self.lost, found.lost)
            self.best.bound = min(self.best.bound, max(bound, self.lost, self.best.worth))
            self.update(improved_route(self.tables, found, int(self.rng.integers(2**31))))
            self.best.report("bounding")
            if self.best.seconds >= self.params.until_s or bound <= self.cutoff:
                break
            domain, tangent, critical = found.domain, found.tangent, found.critical
            if turn == TURN_CROWDED and found.size > self.tables.max_stops and self.prices.stop == 0:
                self.prices = limit_prices(self.tables, self.relaxation, crowded=True)
        self.branch_on((), found._replace(bound=bound))

    def branch_on(self, fixed: tuple[int, ...], node: NodeBound) -> None:
        """Open the branches of a node that can still matter."""
        self.pruned = max(self.pruned, node.lost, min(node.bound, self.cutoff))
        if node.bound <= self.cutoff:
            return
        awaited = set(np.flatnonzero(node.domain.sure).tolist()) - set(fixed)
        low = node.branch[node.branch <= self.cutoff]
        self.pruned = max(self.pruned, min(float(low.max(initial=-np.inf)), node.bound))
        n = len(self.tables.usable)
        for j in np.flatnonzero(node.branch > self.cutoff).tolist():
            if (j == n and awaited) or (j < n and len(fixed) >= self.tables.max_stops):
                continue
            posts = fixed if j == n else (*fixed, j)
            self.push(min(float(node.branch[j]), node.bound), posts, node, node.domain, ends=j == n)

    def push(
        self, bound: float, fixed: tuple[int, ...], node: NodeBound, domain: Domain, *, ends: bool = False
    ) -> None:
        """Open one node.

        Parameters
        ----------
        bound : of the node.
        fixed : shape (k,), posts that the walk begins with, in order.
        node : of the tree.
        domain : what may still be on a walk.
        ends : whether the walks of the node stop at no other post.
        """
        heapq.heappush(
            self.open, OpenNode(-bound, next(self.counter), fixed, ends, domain, node.tangent, node.critical)
        )

    def run(self) -> None:
        """Work on the most promising nodes until none matters or a limit is met."""
        running: dict[Future[tuple[NodeBound, SearchState | None]], OpenNode] = {}
        with ThreadPoolExecutor(self.params.threads) as pool:
            try:
                while running or self.more():
                    while len(running) < self.params.threads and self.more():
                        node = heapq.heappop(self.open)
                        self.sent += 1
                        seed = int(self.rng.integers(2**31)) if self.sent % IMPROVE_EVERY == 0 else None
                        running[pool.submit(self.evaluate_with_route, node, seed)] = node
                    done, _rest = wait(running, return_when=FIRST_COMPLETED)
                    for future in sorted(done, key=lambda f: running[f].order):
                        self.process(running.pop(future), *future.result())
                    self.note(running)
            finally:
                self.note(running)

    def more(self) -> bool:
        """Whether another node should be looked at within the limits."""
        in_time = self.best.seconds < self.params.until_s
        in_count = self.params.nodes is None or self.nodes < self.params.nodes
        return in_time and in_count and bool(self.open) and self.open[0].bound > self.cutoff

    def evaluate(self, node: OpenNode, rounds: int = NODE_ROUNDS, turned: int = NODE_TURNED) -> NodeBound:
        """Bound one node; a whole order of posts is only moved on, not branched.

        Parameters
        ----------
        node : of the tree.
        rounds : relaxed walks to price.
        turned : rounds made before.

        Returns
        -------
        NodeBound
            Bound, branches and what can still matter.
        """
        fixed, domain = np.array(node.fixed, np.int64), node.domain
        if node.ends:
            domain, rounds = domain._replace(post=np.zeros_like(domain.post)), END_ROUNDS
        return bound_node(
            self.tables,
            self.relaxation,
            fixed,
            node.tangent,
            self.prices,
            rounds,
            self.cutoff,
            domain,
            node.critical,
            turned,
        )

    def evaluate_with_route(self, node: OpenNode, seed: int | None) -> tuple[NodeBound, SearchState | None]:
        """Bound one node and, where there is a seed, make a route of its last relaxed walk."""
        found = self.evaluate(node)
        if seed is None or node.ends or found.bound <= self.cutoff:
            return found, None
        return found, improved_route(self.tables, found, seed)

    def update(self, route: SearchState) -> None:
        """Keep a route if it is the best so far."""
        if route.best >= 0:
            self.best.update(route.best_stops, route.best_waits, route.best_count, route.best)

    def process(self, node: OpenNode, found: NodeBound, route: SearchState | None) -> None:
        """Use what the work on a node gave.

        Parameters
        ----------
        node : of the tree.
        found : what the work on it gave.
        route : shape (k,), places in order, start and end among them.
        """
        self.nodes += 1
        if route is not None:
            self.update(route)
        if node.ends:
            self.close_leaf(node, found)
            return
        capped = found._replace(bound=min(found.bound, node.bound))
        self.branch_on(node.fixed, capped)

    def close_leaf(self, node: OpenNode, found: NodeBound) -> None:
        """Find the best times of a whole order of posts, or keep its bound where that takes too long."""
        bound = min(node.bound, float(found.branch[-1]))
        if bound <= self.cutoff:
            self.pruned = max(self.pruned, bound)
            return
        stops, waits, worth, top = time_best(self.tables, self.relaxation, node.fixed, found, self.prices, self.cutoff)
        if worth >= 0:
            self.best.update(stops, waits, stops.shape[1], worth)
        self.pruned = max(self.pruned, min(bound, self.cutoff))
        if top > self.cutoff:
            self.unsettled = max(self.unsettled, min(bound, top))

    def note(self, running: dict[Future[tuple[NodeBound, SearchState | None]], OpenNode]) -> None:
        """Bring the bound up to date and report it."""
        tops = [self.best.worth, self.unsettled, self.pruned, self.lost, *(n.bound for n in running.values())]
        if self.open:
            tops.append(self.open[0].bound)
        self.best.bound = min(self.best.bound, max(tops))
        if self.nodes % 50 == 0:
            self.best.report(f"proving, {self.nodes} beginnings of walks looked at")
