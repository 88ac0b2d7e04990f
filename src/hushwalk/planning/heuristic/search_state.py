"""The state of a search: several routes in different parts of the country, the best of them, and the clock.

The steps are large_neighbourhood.py's, or crossover.py's where nothing overlaps; solve.py orders them.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from hushwalk.planning.heuristic.large_neighbourhood import search
from hushwalk.planning.model.tables import Tables
from hushwalk.types import FloatArray, IntArray


@dataclass(frozen=True)
class SearchProgress:
    """What is known so far: the best worth found and what no walk can exceed."""

    seconds: float
    worth: float
    bound: float
    words: str


ProgressCallback = Callable[[SearchProgress], None]


@dataclass
class SearchState:
    """One route that is being improved, and the best it has been."""

    stops: IntArray
    waits: FloatArray
    count: int
    best_stops: IntArray
    best_waits: FloatArray
    best_count: int
    best: float


@dataclass
class Incumbent:
    """The best route of the whole run, when it grew, and when the run must end."""

    progress: ProgressCallback | None = None
    deadline: float = np.inf
    enough: float = np.inf
    clock: Callable[[], float] = time.perf_counter
    began: float = field(default=0.0, init=False)
    worth: float = -1.0
    bound: float = np.inf
    iterations: int = 0
    stops: IntArray = field(default_factory=lambda: np.zeros((2, 0), np.int64))
    waits: FloatArray = field(default_factory=lambda: np.zeros(1))
    history: list[tuple[float, float]] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Start the clock."""
        self.began = self.clock()

    @property
    def seconds(self) -> float:
        """Time since the run began [s]."""
        return self.clock() - self.began

    def late(self) -> bool:
        """Whether the time given is used up, or the worth is all that was asked for."""
        return self.worth >= self.enough or self.seconds >= self.deadline

    def update(self, stops: IntArray, waits: FloatArray, count: int, worth: float) -> bool:
        """Keep a route if it is the best so far.

        Parameters
        ----------
        stops : shape (2, k), posts in order and dwell choices.
        waits : shape (k + 1,), wait before leaving and before each stop [s].
        count : stops of the route.
        worth : of the route.

        Returns
        -------
        bool
            Whether it was better.
        """
        if worth <= self.worth + 1e-12 * abs(worth):
            return False
        self.worth, self.stops, self.waits = worth, stops[:, :count].copy(), waits[: count + 1].copy()
        self.history.append((self.seconds, worth))
        return True

    def report(self, words: str) -> None:
        """Tell whoever listens how far it is."""
        if self.progress is not None:
            self.progress(SearchProgress(self.seconds, self.worth, self.bound, words))


def new_state(tables: Tables, first: int | None = None) -> SearchState:
    """Begin at a route with nothing, or with one post, on it."""
    room = min(tables.max_stops, len(tables.usable)) + 2
    stops, waits = np.zeros((2, room), np.int64), np.zeros(room + 1)
    if first is not None and tables.max_stops > 0:
        stops[0, 0] = first
    count = 0 if first is None or tables.max_stops == 0 else 1
    return SearchState(stops, waits, count, stops.copy(), waits.copy(), 0, -1.0)


def state_of(tables: Tables, stops: IntArray, waits: FloatArray) -> SearchState:
    """Begin at a given route.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    stops : shape (2, k), posts in order and dwell choices.
    waits : shape (k + 1,), wait before leaving and before each stop [s].

    Returns
    -------
    SearchState
        With its worth.
    """
    state, count = new_state(tables), min(stops.shape[1], tables.max_stops)
    state.stops[:, :count], state.waits[: count + 1], state.count = stops[:, :count], waits[: count + 1], count
    return state


def advance(tables: Tables, state: SearchState, steps: int, temperature: tuple[float, float], seed: int) -> None:
    """Search some steps on from where a route stands.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    state : of the search, changed in place.
    steps : of search.
    temperature : first and last, as shares of the worth.
    seed : of the random numbers.
    """
    stops, waits, count, worth, state.count = search(
        tables, state.stops, state.waits, state.count, steps, temperature[0], temperature[1], seed
    )
    if worth > state.best:
        state.best_stops, state.best_waits, state.best_count, state.best = stops, waits, count, worth


def start_posts(tables: Tables, many: int, rng: np.random.Generator) -> list[int]:
    """Choose posts within reach to begin at, spread over the country: far from one another, and good in themselves.

    Parameters
    ----------
    tables : the problem laid out for compiled code.
    many : how many to choose.
    rng : where all chance comes from.

    Returns
    -------
    list of int
        Posts.
    """
    travel, least = tables.travel[0], tables.travel.min(axis=0)
    there_and_back = least[tables.start] + tables.dwell.min() + least[:, tables.end]
    usable = np.flatnonzero(tables.usable & (there_and_back <= tables.budget))
    if len(usable) == 0:
        return []
    own = np.add.reduceat(
        np.append(tables.chance * tables.mass[tables.target], 0.0),
        np.minimum(tables.row_start[:-1], len(tables.chance)),
    )
    own[np.diff(tables.row_start) == 0] = 0.0
    chosen, near = [], np.minimum(travel[tables.start], tables.budget)
    for _ in range(min(many, len(usable))):
        score = own[usable] * near[usable] * (0.7 + 0.6 * rng.random(len(usable)))
        integer_below = int(usable[np.argmax(score)])
        chosen.append(integer_below)
        near = np.minimum(near, np.minimum(travel[integer_below], travel[:, integer_below]))
    return chosen
