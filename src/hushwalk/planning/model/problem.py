"""The problem as numbers: travel, time, worth and limits of one walk, valid from birth.

No search and no compiled code lives here, and nothing knows what a post, a target or a second stands for.
"""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.sparse import csr_array, eye_array

from hushwalk.errors import InputError
from hushwalk.types import FloatArray, IntArray

Array = NDArray[Any]
MATRIX = 2  # definition: dimensions of one period's travel times
TICK_TOLERANCE = 1e-6  # definition: a time this far above a whole tick is still that tick


def whole_ticks(times_s: FloatArray, step_s: float) -> FloatArray:
    """Round times up to whole ticks, so that a walk is never shown quicker than it is.

    Parameters
    ----------
    times_s : any shape, times [s]; infinite where there is no way.
    step_s : the tick [s]; 0 leaves the times as they are.

    Examples
    --------
    >>> whole_ticks(np.array([61.0, 120.0]), 60.0).tolist()
    [120.0, 120.0]
    """
    return np.ceil(times_s / step_s - TICK_TOLERANCE) * step_s if step_s > 0 else times_s


@dataclass(frozen=True, eq=False)
class Problem:
    """One walk to be planned; all times are rounded up to whole ticks of ``step_s`` at birth.

    Parameters
    ----------
    travel_s : shape (n, n) or (periods, n, n), seconds from post to post if walked in that period [s]; inf: no way.
    chance : shape (n, m), sparse, chance that post i catches target c while on, 0..1.
    weights : shape (m,), worth of each target.
    start, end : indices of the places where the walk begins and ends; nobody stops there.
    earliest_s, latest_s : clock window of the walk; one may leave later than ``earliest_s`` [s].
    budget_s : longest time from leaving to being back [s].
    dwell_s : what a stop may last, one choice a visit [s].
    clock_s : shape (k,), rising clock times of the columns of ``availability`` [s].
    availability : shape (len(dwell_s), k), factor of every chance by dwell and by when the stop begins, 0..1;
        linear between the knots, level outside.
    post_availability : shape (n, k), a further factor of each post by when a stop there begins, 0..1: a window, or a
        site that wakes later behind a ridge; ones if not given.
    period_starts_s : clock times at which the second and later travel periods begin [s].
    missed : shape (m,), chance that earlier mornings missed each target; ones if not given.
    conflicts : shape (k, 2), pairs of posts that may not both be visited.
    must_visit, forbidden : posts.
    max_stops : most stops.
    max_walk_s : longest time on foot [s].
    length_m, max_length_m : shape (n, n) walked metres, and the most of them.
    passing_factor : factor at which ``start`` and ``end`` themselves catch targets.
    step_s : the tick of the clock; 0 is allowed where worth does not change with the time of day [s].

    Raises
    ------
    InputError
        If anything does not fit, naming the field.

    Notes
    -----
    Worth of visits k = 1..K at posts i_k, factors a_k: sum_c weights_c missed_c (1 - prod_k (1 - p_{i_k c} a_k)).
    A leg walked across the start of a new period is walked at the pace of each: arriving first means leaving first.
    """

    travel_s: FloatArray
    chance: csr_array
    weights: FloatArray
    start: int
    end: int
    earliest_s: float
    latest_s: float
    budget_s: float
    dwell_s: tuple[float, ...] = (0.0,)
    clock_s: FloatArray = field(default_factory=lambda: np.zeros(1))
    availability: FloatArray = field(default_factory=lambda: np.ones((1, 1)))
    period_starts_s: tuple[float, ...] = ()
    post_availability: FloatArray | None = None
    missed: FloatArray | None = None
    conflicts: IntArray = field(default_factory=lambda: np.zeros((0, 2), np.int64))
    must_visit: tuple[int, ...] = ()
    forbidden: tuple[int, ...] = ()
    max_stops: int | None = None
    max_walk_s: float | None = None
    length_m: FloatArray | None = None
    max_length_m: float | None = None
    passing_factor: float = 0.0
    step_s: float = 60.0

    def __post_init__(self) -> None:
        """Make every array whole, read-only and of the right shape, then check them all."""
        travel = np.array(self.travel_s, np.float64)
        travel = whole_ticks(travel if travel.ndim > MATRIX else travel[None], self.step_s)
        chance = csr_array(self.chance, dtype=np.float64)
        chance.sum_duplicates()
        self._set("travel_s", _frozen(travel))
        self._set("chance", chance)
        for name in ("weights", "clock_s", "availability", "post_availability", "length_m", "missed"):
            value = getattr(self, name)
            self._set(name, None if value is None else _frozen(np.array(value, np.float64)))
        dwell = whole_ticks(np.array(self.dwell_s, np.float64), self.step_s)
        self._set("dwell_s", tuple(float(d) for d in dwell))
        self._set("period_starts_s", tuple(float(t) for t in self.period_starts_s))
        self._set("conflicts", _pairs(self.conflicts))
        self._set("must_visit", tuple(int(i) for i in self.must_visit))
        self._set("forbidden", tuple(int(i) for i in self.forbidden))
        _check_problem(self)

    def _set(self, name: str, value: object) -> None:
        object.__setattr__(self, name, value)

    @property
    def posts(self) -> int:
        """Number of places, start and end among them."""
        return int(self.travel_s.shape[1])

    @property
    def targets(self) -> int:
        """Number of targets."""
        return int(self.chance.shape[1])

    @property
    def mass(self) -> FloatArray:
        """Worth of each target that nothing has caught yet, shape (m,)."""
        return self.weights if self.missed is None else self.weights * self.missed

    @property
    def timeless(self) -> bool:
        """Whether neither worth nor travel changes with the time of day."""
        one_way = len(self.period_starts_s) == 0
        return (
            one_way and self.post_availability is None and bool(np.all(self.availability == self.availability[:, :1]))
        )

    @property
    def modular(self) -> bool:
        """Whether this is plain orienteering: no overlap, one dwell, no time of day, no rule but the budget."""
        per_target = np.bincount(self.chance.indices[self.chance.data > 0], minlength=self.targets)
        free = self.max_stops is None and self.max_walk_s is None and self.max_length_m is None
        plain = free and len(self.dwell_s) == 1 and len(self.conflicts) == 0 and len(self.must_visit) == 0
        return plain and self.timeless and bool(np.all(per_target <= 1))


def orienteering_problem(
    times_s: ArrayLike, scores: ArrayLike, budget_s: float, start: int = 0, end: int = 0
) -> Problem:
    """Plain orienteering: one target a post, no dwell, no time of day; times are kept unrounded.

    Parameters
    ----------
    times_s : shape (n, n), travel times [s] or any other unit, the same as the budget's.
    scores : shape (n,), worth of each post. Those of ``start`` and ``end`` count, for the walk passes them.
    budget_s : the most time.
    start, end : where the walk begins and ends; they may be the same place.

    Returns
    -------
    Problem
        With one target a post.

    Raises
    ------
    InputError
        If anything does not fit, naming the field.

    Examples
    --------
    >>> p = orienteering_problem([[0, 3, 9], [3, 0, 9], [9, 9, 0]], [0, 5, 7], 10.0)
    >>> p.modular, p.posts
    (True, 3)
    """
    values = np.array(scores, np.float64)
    if values.ndim != 1 or not np.all(np.isfinite(values)) or np.any(values < 0):
        raise InputError("scores must be one finite number of at least 0 for each post")
    return Problem(
        travel_s=np.array(times_s, np.float64),
        chance=csr_array(eye_array(len(values), format="csr")),
        weights=values,
        start=start,
        end=end,
        earliest_s=0.0,
        latest_s=float(budget_s),
        budget_s=float(budget_s),
        passing_factor=1.0,
        step_s=0.0,
    )


def with_posts(problem: Problem, posts: tuple[int, ...]) -> Problem:
    """Give the same problem with more posts that must be visited."""
    return replace(problem, must_visit=tuple(sorted(set(problem.must_visit) | set(posts))))


def _frozen(values: Array) -> Array:
    """Give a contiguous copy that nobody can write to."""
    kept = np.ascontiguousarray(values)
    kept.flags.writeable = False
    return kept


def _pairs(pairs: Array) -> Array:
    """Give the pairs as shape (k, 2) whole numbers."""
    kept = np.array(pairs, np.int64)
    if kept.size == 0:
        kept = kept.reshape(0, 2)
    if kept.shape[1:] != (2,):
        raise InputError(f"conflicts has shape {kept.shape}; give pairs of posts, shape (k, 2)")
    return _frozen(kept)


def _check_problem(problem: Problem) -> None:
    """Check everything that can be wrong with a problem.

    Raises
    ------
    InputError
        At the first fault.
    """
    _check_shapes(problem)
    _check_values(problem)
    _check_posts(problem)
    _check_times(problem)


def _need(holds: object, words: str) -> None:
    if not holds:
        raise InputError(words)


def _check_shapes(problem: Problem) -> None:
    periods, n = 1 + len(problem.period_starts_s), problem.travel_s.shape[-1]
    _need(
        problem.travel_s.shape == (periods, n, n),
        f"travel_s has shape {problem.travel_s.shape}, expected {(periods, n, n)} for {periods} period(s); "
        "period_starts_s holds the starts of the second and later periods",
    )
    m = len(problem.weights) if problem.weights.ndim == 1 else -1
    _need(problem.chance.shape == (n, m), f"chance has shape {problem.chance.shape}, expected posts x weights")
    _need(problem.missed is None or problem.missed.shape == (m,), "missed must hold one chance for each target")
    shape = (len(problem.dwell_s), len(problem.clock_s))
    _need(
        problem.availability.shape == shape and min(shape) > 0,
        f"availability has shape {problem.availability.shape}, expected dwell_s x clock_s {shape}",
    )
    own, of_posts = problem.post_availability, (n, len(problem.clock_s))
    _need(own is None or own.shape == of_posts, f"post_availability must have shape {of_posts}, posts x clock_s")
    _need(
        problem.length_m is None or problem.length_m.shape == (n, n),
        f"length_m must have shape {(n, n)}, as travel_s has",
    )
    _need(problem.max_length_m is None or problem.length_m is not None, "max_length_m needs length_m")


def _check_values(problem: Problem) -> None:
    travel = problem.travel_s
    _need(not np.isnan(travel).any() and (travel >= 0).all(), "travel_s must be 0 or more seconds; inf where no way")
    _need(np.isfinite(problem.weights).all() and (problem.weights >= 0).all(), "weights must be finite and not below 0")
    fractions = {
        "chance": problem.chance.data,
        "availability": problem.availability,
        "post_availability": np.ones(1) if problem.post_availability is None else problem.post_availability,
        "missed": np.ones(1) if problem.missed is None else problem.missed,
        "passing_factor": np.array([problem.passing_factor]),
    }
    for name, values in fractions.items():
        inside = np.isfinite(values).all() and (values >= 0).all() and (values <= 1).all()
        _need(inside, f"{name} must lie within 0..1")
    dwell = np.array(problem.dwell_s)
    _need(np.isfinite(dwell).all() and (dwell >= 0).all(), "dwell_s must hold finite seconds of at least 0")
    for name, values in {"clock_s": problem.clock_s, "period_starts_s": np.array(problem.period_starts_s)}.items():
        _need(np.isfinite(values).all() and (np.diff(values) > 0).all(), f"{name} must rise from one to the next")


def _check_posts(problem: Problem) -> None:
    named: dict[str, tuple[int, ...]] = {
        "start": (problem.start,),
        "end": (problem.end,),
        "must_visit": problem.must_visit,
        "forbidden": problem.forbidden,
        "conflicts": tuple(problem.conflicts.ravel().tolist()),
    }
    for name, posts in named.items():
        wrong = [int(i) for i in posts if not 0 <= i < problem.posts]
        _need(not wrong, f"{name} names post {wrong[:1]}, but there are posts 0 to {problem.posts - 1} only")
    both = sorted(set(problem.must_visit) & ({problem.start, problem.end} | set(problem.forbidden)))
    _need(not both, f"must_visit names post {both}, which is forbidden or the start or end; nobody stops there")
    must = set(problem.must_visit)
    tight = [(int(a), int(b)) for a, b in problem.conflicts if a in must and b in must]
    _need(not tight, f"must_visit holds both of the conflicting posts {tight[:1]}")


def _check_times(problem: Problem) -> None:
    clock = np.array([problem.earliest_s, problem.latest_s, problem.budget_s, problem.step_s])
    _need(np.isfinite(clock).all(), "earliest_s, latest_s, budget_s and step_s must be finite")
    _need(problem.latest_s >= problem.earliest_s, "latest_s lies before earliest_s")
    _need(problem.budget_s >= 0 and problem.step_s >= 0, "budget_s and step_s must not be below 0")
    changes = problem.post_availability is not None
    changes = changes or bool(np.any(problem.availability != problem.availability[:, :1]))
    _need(problem.step_s > 0 or not changes, "worth that changes with the time of day needs step_s above 0")
    for name in ("max_walk_s", "max_length_m", "max_stops"):
        limit = getattr(problem, name)
        _need(limit is None or limit >= 0, f"{name} must not be below 0")
