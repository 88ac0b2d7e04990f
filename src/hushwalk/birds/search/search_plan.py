"""The search of the late morning: which ground first, the lines through each, when, and what it finds.

search_effort.py says where minutes find most; the walk between two places is handed in.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from enum import Enum
from typing import Protocol

import numpy as np

from hushwalk.birds.search.search_effort import XY, EffortParams, GroundEffort, Likelihood, Orders, plan_effort
from hushwalk.birds.search.search_strips import longest_axis, strips_over
from hushwalk.errors import InputError, NoPlanError
from hushwalk.grid.polyline import polyline_length
from hushwalk.notes.figures import figure
from hushwalk.types import FloatArray

TURNS = 8  # judgement: after eight corrections the plan fits its time within a minute or so
SLACK_S = 180.0  # judgement: three minutes left over are not worth a further correction
STEP_STRIPS = 3.0  # judgement: a step of more than three strips is a walk from one part of the ground to another
HARDLY = 0.02  # judgement: a bird found with a chance below one in fifty is not searched for


@dataclass(frozen=True, eq=False)
class WalkLeg:
    """A walk between two places: seconds, infinite where there is no way, and its line, shape (k, 2) [m]."""

    seconds: float
    line_m: FloatArray = field(repr=False)


class Walk(Protocol):
    """The way on foot between two places."""

    def seconds(self, start: XY, end: XY) -> float:
        """Time of the way [s], infinite where there is none."""

    def leg(self, start: XY, end: XY) -> WalkLeg:
        """Time and line of the way."""

    def clear(self, start: XY, end: XY) -> bool:
        """Whether one can go straight."""


@dataclass(frozen=True)
class StraightWalk:
    """Walk straight, where no walking graph is at hand, at a speed [m/s]."""

    speed_ms: float = figure("search", "walk_straight_ms")

    def seconds(self, start: XY, end: XY) -> float:
        """Time of the way [s]."""
        return float(np.hypot(end[0] - start[0], end[1] - start[1])) / self.speed_ms

    def leg(self, start: XY, end: XY) -> WalkLeg:
        """Time and line of the way."""
        return WalkLeg(self.seconds(start, end), np.array([start, end], dtype=np.float64))

    def clear(self, start: XY, end: XY) -> bool:
        """Always, for there is nothing in the way."""
        return bool(np.isfinite([*start, *end]).all())


@dataclass(frozen=True)
class SearchParams:
    """How a search is done, so that it finds much and disturbs little.

    Parameters
    ----------
    effort : how ground is walked.
    quiet_min : since the last display [min].
    after_sunrise_h : not before this [h].
    """

    effort: EffortParams = field(default_factory=EffortParams)
    quiet_min: float = figure("search", "quiet_min")
    after_sunrise_h: float = figure("search", "after_sunrise_h")


@dataclass(frozen=True, eq=False)
class LinesWalked:
    """One pass over a piece of ground.

    Parameters
    ----------
    path_m : shape (k, 2), from line to line [m].
    cells_m : centres of the cells that are seen, shape (n, 2) [m].
    lines : how many.
    towards_deg : where the first line leads, from the north of the grid [deg].
    """

    path_m: FloatArray = field(repr=False)
    cells_m: FloatArray = field(repr=False)
    lines: int
    towards_deg: float


@dataclass(frozen=True, eq=False)
class SearchArea:
    """One piece of ground in the order of the search.

    Parameters
    ----------
    number : 1, 2, ... in walking order.
    bird : whose it is most likely.
    arrive, leave : planned.
    approach_m : the walk to it, shape (k, 2) [m].
    passes : the first sees all of it, the second the best part again, across.
    cell_m : size of a cell [m].
    logs : expected to be found in it.
    by_bird : chance to find the log of each bird in it.
    """

    number: int
    bird: str
    arrive: datetime
    leave: datetime
    approach_m: FloatArray = field(repr=False)
    passes: tuple[LinesWalked, ...] = field(repr=False)
    cell_m: float
    logs: float
    by_bird: dict[str, float]

    @property
    def minutes(self) -> float:
        """Minutes in it."""
        return (self.leave - self.arrive).total_seconds() / 60

    @property
    def first_m(self) -> XY:
        """Where its path begins [m]."""
        return _xy(self.passes[0].path_m[0])

    @property
    def last_m(self) -> XY:
        """Where its path ends [m]."""
        return _xy(self.passes[-1].path_m[-1])


class WhyLeftOut(Enum):
    """Why a bird is not searched for today."""

    SEARCHED_TODAY = "searched for already that day"
    LOG_FOUND = "its log is found"
    NO_TIME = "minutes find more elsewhere"
    NO_WAY = "no path leads there"


@dataclass(frozen=True)
class LeftOut:
    """A bird that is not searched for today, why, and the log that is found if that is the reason."""

    bird: str
    reason: WhyLeftOut
    log: str = ""


@dataclass(frozen=True, eq=False)
class SearchPlan:
    """The search of one late morning, how it is done, and the birds that are left out."""

    not_before: datetime
    areas: tuple[SearchArea, ...]
    back: datetime
    way_back_m: FloatArray = field(repr=False)
    params: SearchParams = field(default_factory=SearchParams)
    left_out: tuple[LeftOut, ...] = ()

    @property
    def logs_expected(self) -> float:
        """Logs that the whole search finds on average."""
        return sum(area.logs for area in self.areas)

    def found_chance(self, bird: str) -> float:
        """Chance that the log of a bird is found, 0..1."""
        return sum(area.by_bird.get(bird, 0.0) for area in self.areas)


def earliest_search(last_heard: datetime | None, sunrise: datetime, params: SearchParams | None = None) -> datetime:
    """When a search may begin.

    Parameters
    ----------
    last_heard : the last display of the morning, None if none was heard.
    sunrise : of that day.
    params : how long after both.

    Returns
    -------
    datetime
        The later of both, in the time zone of the sunrise or of the last display.
    """
    params = params or SearchParams()
    by_sun = sunrise + timedelta(hours=params.after_sunrise_h)
    return by_sun if last_heard is None else max(by_sun, last_heard + timedelta(minutes=params.quiet_min))


def plan_search(
    grounds: Sequence[Likelihood],
    start_m: XY,
    end_m: XY,
    *,
    not_before: datetime,
    back_by: datetime,
    walk: Walk | None = None,
    params: SearchParams | None = None,
) -> SearchPlan:
    """Choose the ground of several birds that is worth the time, and draw lines through it.

    Parameters
    ----------
    grounds : one a bird, none on another's ground.
    start_m, end_m : where the search begins and where it must end [m].
    not_before : see :func:`earliest_search`.
    back_by : at ``end_m``.
    walk : between places; straight where it is not given.
    params : how the search is done.

    Returns
    -------
    SearchPlan
        Back in time; without any area where no ground can be reached, searched and left in the time.

    Raises
    ------
    InputError
        If the times lie the wrong way round or there is nothing to search for.
    NoPlanError
        If there is no way from the start to the end.

    Notes
    -----
    Ground is chosen by :func:`plan_effort`, and the time that it may take is corrected until the lines as drawn, with
    every step between and round them, fill the time. Logs expected are those on ground walked times
    ``1 - exp(-W L / A)``, with L the lines as drawn, summed over the passes. A found log takes its minutes. The ground
    round it takes about as long as the rest of the lines, which is then left, so that neither is counted.
    """
    params, walk = params or SearchParams(), walk or StraightWalk()
    if not grounds:
        raise InputError("there is no bird to search for; note bearings first")
    if back_by <= not_before:
        raise InputError(f"the search may begin at {not_before:%H:%M} and must end by {back_by:%H:%M}: no time is left")
    home = walk.leg(start_m, end_m)
    if not np.isfinite(home.seconds):
        raise NoPlanError("there is no way on foot from the start of the search to its end; move one of them")
    best = SearchPlan(not_before, (), not_before + timedelta(seconds=home.seconds), home.line_m, params)
    whole = budget = (back_by - not_before).total_seconds()
    orders = Orders()
    fits, over = 0.0, np.inf  # budgets that are known to fit into the time, and not to
    for _ in range(TURNS):
        efforts = plan_effort(grounds, start_m, end_m, budget, walk.seconds, params.effort, orders)
        if not efforts:
            break
        made = _walked(grounds, efforts, (start_m, end_m), not_before, walk, params)
        left = whole - (made.back - not_before).total_seconds()
        if left >= 0 and made.logs_expected > best.logs_expected:
            best = made
        if 0 <= left < SLACK_S:
            break
        fits, over = (max(fits, budget), over) if left >= 0 else (fits, min(over, budget))
        budget += left
        if not fits < budget < over:
            budget = (fits + min(over, whole)) / 2
    names = [name for ground in grounds for name in (*ground.by_bird, ground.bird)]
    no_time = [bird for bird in dict.fromkeys(names) if best.found_chance(bird) < HARDLY]
    return replace(best, left_out=tuple(LeftOut(bird, WhyLeftOut.NO_TIME) for bird in no_time))


def _walked(
    grounds: Sequence[Likelihood],
    efforts: Sequence[GroundEffort],
    ends: tuple[XY, XY],
    not_before: datetime,
    walk: Walk,
    params: SearchParams,
) -> SearchPlan:
    areas: list[SearchArea] = []
    clock, here = not_before, ends[0]
    for effort in efforts:
        area = _area(len(areas) + 1, grounds[effort.bird], effort, here, clock, walk, params.effort)
        if area is not None:
            areas.append(area)
            clock, here = area.leave, area.last_m
    home = walk.leg(here, ends[1])
    return SearchPlan(not_before, tuple(areas), clock + timedelta(seconds=home.seconds), home.line_m, params)


def _area(
    number: int, where: Likelihood, effort: GroundEffort, here: XY, clock: datetime, walk: Walk, params: EffortParams
) -> SearchArea | None:
    """Draw the passes over a ground; None where its lines cannot be walked."""
    at, passes, misses = here, [], np.ones(effort.cells[0])
    along = longest_axis(where.xy_m[effort.order[: effort.cells[0]]])
    across = np.array([along[1], -along[0]])  # of the first pass, whichever way the best part of the ground stretches
    for turn, count in enumerate(effort.cells):
        own = where.xy_m[effort.order[:count]]
        lines = strips_over(own, where.cell_m, params.strip_m, at, along=across if turn % 2 else along)
        path, walked_m = _path(lines, walk, at if turn else None, params.strip_m)
        if len(path) < 2:  # noqa: PLR2004 - a line has two ends
            continue
        away = lines[0, 1] - lines[0, 0]
        passes.append(LinesWalked(path, own, len(lines), float(np.degrees(np.arctan2(*away))) % 360))
        misses[:count] *= np.exp(-params.sweep_m * walked_m / (count * where.cell_m**2))
        at = _xy(path[-1])
    if not passes:
        return None
    chosen, found = effort.order[: effort.cells[0]], 1 - misses
    logs = float(where.chance[chosen] @ found)
    by_bird = {bird: float(chance[chosen] @ found) for bird, chance in where.by_bird.items()} or {where.bird: logs}
    approach = walk.leg(here, _xy(passes[0].path_m[0]))
    arrive = clock + timedelta(seconds=approach.seconds)
    inside = sum(polyline_length(one.path_m) for one in passes) / params.pace_ms
    leave = arrive + timedelta(seconds=inside + logs * params.minutes_at_log * 60)
    return SearchArea(
        number,
        where.bird,
        arrive,
        leave,
        approach.line_m,
        tuple(passes),
        where.cell_m,
        logs,
        {bird: chance for bird, chance in by_bird.items() if chance > 0},
    )


def _path(lines: FloatArray, walk: Walk, at: XY | None, strip_m: float) -> tuple[FloatArray, float]:
    """Path along the lines, round what lies in the way, and the length of it that sees the ground [m].

    A step from one line to the next sees the ground to one side only.
    """
    points: list[FloatArray] = [] if at is None else [np.array([at])]
    walked = 0.0
    for begin, end in ((_xy(a), _xy(b)) for a, b in lines):
        for goal in (begin, end):
            step = np.array([goal]) if not points else _step(at, goal, walk)
            if step is None:  # an end in a pond or on closed ground is left out, not walked to
                continue
            if points and at is not None:
                length = polyline_length(np.concatenate([[at], step]))
                along = goal == end and at == begin
                walked += length if along else length / 2 if length < STEP_STRIPS * strip_m else 0.0
            points.append(step)
            at = goal
    return (np.concatenate(points) if points else np.empty((0, 2))), walked


def _step(at: XY | None, goal: XY, walk: Walk) -> FloatArray | None:
    if at is None:
        return None
    if walk.clear(at, goal):
        return np.array([goal])
    leg = walk.leg(at, goal)
    return leg.line_m[1:] if np.isfinite(leg.seconds) else None


def _xy(place: FloatArray) -> XY:
    return float(place[0]), float(place[1])
