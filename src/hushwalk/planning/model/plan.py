"""What comes out: visits, the plan they make, its certificate, and the result of a run.

How they are found is solve.py's and branch_and_bound.py's business.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Visit:
    """One stop of a plan.

    Parameters
    ----------
    post : index of the post.
    arrive_s, begin_s, leave_s : clock when one gets there, when the stop begins (after any waiting) and ends [s].
    dwell : index into the problem's ``dwell_s``.
    dwell_s : what the stop lasts [s].
    factor : the availability at that time and dwell.
    gain : worth of the targets that no earlier visit has caught.
    """

    post: int
    arrive_s: float
    begin_s: float
    leave_s: float
    dwell: int
    dwell_s: float
    factor: float
    gain: float

    @property
    def wait_s(self) -> float:
        """Waiting before the stop begins [s]."""
        return self.begin_s - self.arrive_s


@dataclass(frozen=True)
class Plan:
    """One timed walk. ``passing`` is what start and end catch themselves and is part of ``worth``."""

    visits: tuple[Visit, ...]
    depart_s: float
    back_s: float
    worth: float
    walk_s: float
    passing: float = 0.0

    @property
    def posts(self) -> tuple[int, ...]:
        """Posts in walking order."""
        return tuple(v.post for v in self.visits)

    @property
    def duration_s(self) -> float:
        """Time from leaving to being back [s]."""
        return self.back_s - self.depart_s


@dataclass(frozen=True)
class Certificate:
    """What no walk over these posts, on this clock and with these dwells, can exceed.

    Parameters
    ----------
    worth : worth of the plan that the certificate was made for.
    bound : a number that the best possible worth does not exceed.
    posts, step_s, dwell_s : the posts, rounding and minutes it holds for.
    how : the method that gave it.
    seconds : time it took [s].
    """

    worth: float
    bound: float
    posts: int
    step_s: float
    dwell_s: tuple[float, ...]
    how: str
    seconds: float

    PROVEN = 1e-6  # definition: the relative gap that is nothing but rounding of floating numbers

    @property
    def gap(self) -> float:
        """How far the best possible could lie above the plan, as a share of the plan's bound, 0..1."""
        return max(0.0, (self.bound - self.worth) / self.bound) if self.bound > 0 else 0.0

    @property
    def proven(self) -> bool:
        """Whether the plan is the best there is, to rounding."""
        return self.gap <= self.PROVEN


@dataclass(frozen=True)
class Result:
    """A run of the solver: the best plan, what is proven of it, and how it went.

    Parameters
    ----------
    plan : the best plan found.
    certificate : what is proven, or None where no proof was asked for.
    iterations : search steps made.
    seconds : time it took [s].
    history : (seconds since the beginning [s], best worth) each time the best grew.
    stopped : why the run ended.
    """

    plan: Plan
    certificate: Certificate | None
    iterations: int
    seconds: float
    history: tuple[tuple[float, float], ...] = field(default=(), repr=False)
    stopped: str = "limits reached"
