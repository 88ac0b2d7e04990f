"""The timetable that is played: places to listen at, when, the ways between them, and the promise.

It is made from a plan of the solver, or from the summary of a plan that was written; played_morning.py walks it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from hushwalk.types import FloatArray, IntArray


@dataclass(frozen=True, eq=False)
class DayWalk:
    """One timetable; all times in minutes from sunrise.

    Parameters
    ----------
    depart_min : when the car is left [min].
    stops_m : shape (s, 2), places to listen at [m].
    column : shape (s,), column of the drawn days that belongs to each stop.
    arrive_min, leave_min : shape (s,), planned; one leaves no stop before its time [min].
    stand_min : shape (s,), of listening [min].
    walk_min : shape (s + 1, s + 1), ways at the planned pace, from and to the car (0) and the stops (1 ..) [min].
    promise_min : when to be back at the car [min].
    closing_in_min : minutes kept for closing in on birds; 0 to listen only [min].
    light_min : nobody leaves the trail to close in before this [min].
    reserve : share by which the planned ways are longer than at the own pace.
    lines_m : the ways that are walked, each of shape (k, 2) [m]; birds beside them count as disturbed.
    """

    depart_min: float
    stops_m: FloatArray = field(repr=False)
    column: IntArray = field(repr=False)
    arrive_min: FloatArray = field(repr=False)
    leave_min: FloatArray = field(repr=False)
    stand_min: FloatArray = field(repr=False)
    walk_min: FloatArray = field(repr=False)
    promise_min: float
    closing_in_min: float
    light_min: float
    reserve: float
    lines_m: tuple[FloatArray, ...] = field(default=(), repr=False)

    @property
    def stops(self) -> int:
        """How many."""
        return len(self.arrive_min)


def with_planned_legs(walk_min: FloatArray, departs_min: Sequence[float], arrives_min: Sequence[float]) -> FloatArray:
    """Put the times of the legs as planned, some in the dark, into a table of ways by day.

    Parameters
    ----------
    walk_min : shape (s + 1, s + 1), ways by day from and to the car (0) and the stops [min].
    departs_min, arrives_min : of the s + 1 legs, from the car over all stops back to it [min].

    Returns
    -------
    ndarray
        The table with the ways from each place to the next as planned [min].
    """
    table = np.array(walk_min, dtype=float)
    places = len(table)
    for k, (depart, arrive) in enumerate(zip(departs_min, arrives_min, strict=True)):
        table[k, (k + 1) % places] = arrive - depart
    return table
