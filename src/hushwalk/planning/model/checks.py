"""What a problem must satisfy, each fault with its field and its cure.

The problem itself is problem.py's; no fault is mended silently here.
"""

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError

if TYPE_CHECKING:
    from hushwalk.planning.model.problem import Problem

Array = NDArray[Any]


def frozen_array(values: Array) -> Array:
    """Give a contiguous copy that nobody can write to."""
    kept = np.ascontiguousarray(values)
    kept.flags.writeable = False
    return kept


def conflict_pairs(pairs: Array) -> Array:
    """Give the pairs as shape (k, 2) whole numbers."""
    kept = np.array(pairs, np.int64)
    if kept.size == 0:
        kept = kept.reshape(0, 2)
    if kept.shape[1:] != (2,):
        raise InputError(f"conflicts has shape {kept.shape}; give pairs of posts, shape (k, 2)")
    return frozen_array(kept)


def check_problem(problem: "Problem") -> None:
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


def _check_shapes(problem: "Problem") -> None:
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
    _need(
        problem.length_m is None or problem.length_m.shape == (n, n),
        f"length_m must have shape {(n, n)}, as travel_s has",
    )
    _need(problem.max_length_m is None or problem.length_m is not None, "max_length_m needs length_m")


def _check_values(problem: "Problem") -> None:
    travel = problem.travel_s
    _need(not np.isnan(travel).any() and (travel >= 0).all(), "travel_s must be 0 or more seconds; inf where no way")
    _need(np.isfinite(problem.weights).all() and (problem.weights >= 0).all(), "weights must be finite and not below 0")
    fractions = {
        "chance": problem.chance.data,
        "availability": problem.availability,
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


def _check_posts(problem: "Problem") -> None:
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


def _check_times(problem: "Problem") -> None:
    clock = np.array([problem.earliest_s, problem.latest_s, problem.budget_s, problem.step_s])
    _need(np.isfinite(clock).all(), "earliest_s, latest_s, budget_s and step_s must be finite")
    _need(problem.latest_s >= problem.earliest_s, "latest_s lies before earliest_s")
    _need(problem.budget_s >= 0 and problem.step_s >= 0, "budget_s and step_s must not be below 0")
    changes = bool(np.any(problem.availability != problem.availability[:, :1]))
    _need(problem.step_s > 0 or not changes, "worth that changes with the time of day needs step_s above 0")
    for name in ("max_walk_s", "max_length_m", "max_stops"):
        limit = getattr(problem, name)
        _need(limit is None or limit >= 0, f"{name} must not be below 0")
