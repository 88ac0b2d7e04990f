"""A population of routes in plain orienteering, and children that take over a run of another route (crossover).

The search that improves each route is plain_local_search.py's; limits and the incumbent are search_state.py's.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit

from hushwalk.planning.heuristic.rng import integer_below, seeded, uniform
from hushwalk.planning.heuristic.search_state import Incumbent
from hushwalk.planning.orienteering.destroy_repair import MANY_PLACES, cheapest, drop_plain
from hushwalk.planning.orienteering.local_search import activate, shorten
from hushwalk.planning.orienteering.plain import Plain, route_time
from hushwalk.planning.orienteering.plain_local_search import empty_working_route, search_plain, set_working_route
from hushwalk.types import IntArray

FIRST_STEPS, FIRST_TEMPERATURE = 300, (0.03, 0.002)  # judgement: enough to stay in one part of the country
CHILD_STEPS, CHILD_TEMPERATURE = 20, (0.01, 0.0005)  # judgement: few, for many are made; measured on six instances
FIRST_STEPS_OF_MANY, FIRST_TEMPERATURE_OF_MANY = 4000, (0.01, 0.001)  # judgement: measured on two grounds of 1,000
CHILD_STEPS_OF_MANY, CHILD_TEMPERATURE_OF_MANY = 60, (0.003, 0.0005)  # judgement: likewise
LEAST_RUN, MOST_RUN = 0.1, 0.6  # judgement: share of the other route's posts that a child takes over
FAVOUR = 4.0  # judgement: a post just taken over counts this many times when the child is cut to the budget
PATIENCE = 12  # judgement: a population whose last children, this many a member, were of no use is given up


@dataclass
class Member:
    """One route of a population (start, posts, end) with its score and time."""

    route: IntArray
    score: float
    time: float

    def beats(self, other: "Member") -> bool:
        """Whether this route is worth more, or as much for less time."""
        return (self.score, -self.time) > (other.score, -other.time)


@njit(cache=True)
def crossover(plain: Plain, mother: IntArray, father: IntArray, seed: int) -> IntArray:
    """Put a run of one route into another, make it quicker and cut it to the budget, what is new last.

    Parameters
    ----------
    plain : plain orienteering laid out.
    mother : shape (k,), the route that is changed.
    father : shape (k,), the route a run is taken from.
    seed : of the random numbers.

    Returns
    -------
    ndarray
        Shape (k,), within the budget.
    """
    rng, n = seeded(seed), plain.score.size
    working, many, count = empty_working_route(n), 0, mother.size
    set_working_route(working, mother, count)
    inner = father.size - 2
    if inner < 1:
        return mother.copy()
    long = max(1, int(inner * (LEAST_RUN + (MOST_RUN - LEAST_RUN) * uniform(rng))))
    first, legs, worth = integer_below(rng, inner), np.empty(n), plain.score.copy()
    for k in range(long):
        post = father[1 + (first + k) % inner]
        worth[post] *= FAVOUR
        if working.where[post] >= 0:
            continue
        for q in range(1, count):
            legs[q] = plain.times[working.route[q - 1], working.route[q]]
        _, at = cheapest(plain, working, legs, count, post)
        for q in range(count, at, -1):
            working.route[q] = working.route[q - 1]
            working.where[working.route[q]] = q
        working.route[at] = post
        working.where[post] = at
        count += 1
        for q in (at - 1, at, at + 1):
            many = activate(working, many, working.route[q])
    shorten(plain.times, plain.near, plain.two_way, working, count, many)
    favoured = Plain(plain.times, plain.back, plain.near, worth, plain.posts, plain.budget, plain.two_way)
    count, _ = drop_plain(favoured, working, count, route_time(plain, working.route, count))
    return working.route[:count].copy()


def spread_posts(plain: Plain, many: int, rng: np.random.Generator) -> list[int]:
    """Choose places to begin at: far from the start and from one another, and good in themselves.

    Parameters
    ----------
    plain : plain orienteering laid out.
    many : how many to choose.
    rng : where all chance comes from.

    Returns
    -------
    list of int
        Places.
    """
    n, chosen = len(plain.posts) - 2, []
    near = np.minimum(plain.times[n, :n], plain.budget)
    for _ in range(min(many, n)):
        following = int(np.argmax(plain.score[:n] * near * (0.7 + 0.6 * rng.random(n))))
        chosen.append(following)
        near = np.minimum(near, np.minimum(plain.times[following, :n], plain.times[:n, following]))
        near[following] = 0.0
    return chosen


class Population:
    """Routes that are crossed with one another."""

    def __init__(self, plain: Plain, best: Incumbent, total: int, rng: np.random.Generator) -> None:
        self.plain, self.best, self.total, self.rng = plain, best, total, rng
        self.members: list[Member] = []
        many = len(plain.posts) > MANY_PLACES
        self.first = (FIRST_STEPS_OF_MANY, FIRST_TEMPERATURE_OF_MANY) if many else (FIRST_STEPS, FIRST_TEMPERATURE)
        self.child = (CHILD_STEPS_OF_MANY, CHILD_TEMPERATURE_OF_MANY) if many else (CHILD_STEPS, CHILD_TEMPERATURE)

    def branch_on(self, route: IntArray, steps: int, temperature: tuple[float, float]) -> Member:
        """Improve a route for some steps, and offer it to the run.

        Parameters
        ----------
        route : shape (k,), places in order, start and end among them.
        steps : of search.
        temperature : first and last, as shares of the worth.

        Returns
        -------
        Member
            The improved route.
        """
        n = len(self.plain.posts)
        now, steps = np.full(n, n - 1, np.int64), min(steps, self.total - self.best.iterations)
        now[: len(route)] = route
        seed = int(self.rng.integers(2**31))
        found, count, score, _ = search_plain(self.plain, now, len(route), steps, np.array(temperature), seed)
        self.best.iterations += steps
        found = found[:count].copy()
        if score >= 0:
            stops = np.zeros((2, count - 2), np.int64)
            stops[0] = self.plain.posts[found[1:-1]]
            self.best.update(stops, np.zeros(count - 1), count - 2, score)
        return Member(found, score, route_time(self.plain, found, count))

    def over(self) -> bool:
        """Whether the limits of the run are reached."""
        return self.best.iterations >= self.total or self.best.late()

    def found(self, many: int) -> None:
        """Begin with nothing, and at places in different parts of the country."""
        n = len(self.plain.posts)
        self.members = []
        for first in [[], *[[k] for k in spread_posts(self.plain, many - 1, self.rng)]]:
            self.members.append(self.branch_on(np.array([n - 2, *first, n - 1]), *self.first))
            if self.over():
                return

    def evolve(self) -> None:
        """Breed until the limits are reached or children have long been of no use."""
        fruitless, many = 0, len(self.members)
        while not self.over() and fruitless < PATIENCE * many and many > 1:
            one, other = self.rng.choice(many, 2, replace=False)
            seed = int(self.rng.integers(2**31))
            joined = crossover(self.plain, self.members[one].route, self.members[other].route, seed)
            child = self.branch_on(joined, *self.child)
            fruitless = 0 if self.process(child) else fruitless + 1

    def process(self, child: Member) -> bool:
        """Let a child take the place of the member most like it, if it beats that; twins are not kept."""
        posts = set(child.route.tolist())
        alike = [len(posts.intersection(m.route.tolist())) / max(len(posts), len(m.route)) for m in self.members]
        rival = int(np.argmax(alike))
        if child.beats(self.members[rival]):
            self.members[rival] = child
            return True
        return False
