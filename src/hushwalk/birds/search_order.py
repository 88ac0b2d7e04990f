"""The search of the late morning: which ground first, the path through each, and when to stop.

fix.py gives the grounds; the walk between two places is handed in.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import Enum
from itertools import permutations

import numpy as np

from hushwalk.birds.credible_ground import CredibleGround
from hushwalk.birds.fix import Fix
from hushwalk.birds.sweep import Sweep, sweep_of
from hushwalk.errors import InputError, NoPlanError
from hushwalk.grid.polyline import polyline_length
from hushwalk.notes.figures import figure
from hushwalk.types import FloatArray

XY = tuple[float, float]
AREAS_TRIED = 7  # judgement: all orders of seven are 13,700; nobody searches more in a morning


@dataclass(frozen=True, eq=False)
class WalkLeg:
    """A walk between two places: seconds, infinite where there is no way, and its line, shape (k, 2) [m]."""

    seconds: float
    line_m: FloatArray = field(repr=False)


Walk = Callable[[XY, XY], WalkLeg]
"""Gives the walk from one place to another."""


@dataclass(frozen=True)
class SearchParams:
    """How a search is done, so that it disturbs little.

    Parameters
    ----------
    quiet_min : since the last display [min].
    after_sunrise_h : not before this [h].
    swath_m : width seen from a line [m].
    pace_ms : walking and looking [m/s].
    minutes_per_area, minutes_at_log : caps [min]; the minutes at a log are among those in the area.
    share : the ground searched holds the bird with this chance.
    find_chance : chance to see the log when its strip is walked.
    """

    quiet_min: float = figure("search", "quiet_min")
    after_sunrise_h: float = figure("search", "after_sunrise_h")
    swath_m: float = figure("search", "swath_m")
    pace_ms: float = figure("search", "pace_ms")
    minutes_per_area: float = figure("search", "minutes_per_area")
    minutes_at_log: float = figure("search", "minutes_at_log")
    share: float = figure("search", "share")
    find_chance: float = figure("search", "find_chance")

    @property
    def longest_path_m(self) -> float:
        """Longest path through one area that leaves time for the log [m]."""
        return (self.minutes_per_area - self.minutes_at_log) * 60 * self.pace_ms


@dataclass(frozen=True, eq=False)
class SearchArea:
    """One piece of ground in the order of the search.

    Parameters
    ----------
    number : 1, 2, ... in walking order.
    bird : whose it is.
    ground : what is searched.
    arrive, leave : planned.
    approach_m : the walk to it, shape (k, 2) [m].
    path_m : the path through it, shape (k, 2) [m].
    sweep : the lines behind that path.
    chance : to find the log.
    """

    number: int
    bird: str
    ground: CredibleGround
    arrive: datetime
    leave: datetime
    approach_m: FloatArray = field(repr=False)
    path_m: FloatArray = field(repr=False)
    sweep: Sweep = field(repr=False)
    chance: float = 0.0

    @property
    def minutes(self) -> float:
        """Minutes in it."""
        return (self.leave - self.arrive).total_seconds() / 60


class WhyLeftOut(Enum):
    """Why a bird is not searched for today."""

    SEARCHED_TODAY = "searched for already that day"
    LOG_FOUND = "its log is found"
    NO_TIME = "no time is left"
    TOO_MANY = "there are more areas than one morning takes"


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
    logs_expected: float = 0.0
    params: SearchParams = field(default_factory=SearchParams)
    left_out: tuple[LeftOut, ...] = ()


def straight_walk(speed_ms: float = figure("search", "walk_straight_ms")) -> Walk:
    """Walk straight, where no walking graph is at hand."""

    def walk(start: XY, end: XY) -> WalkLeg:
        line = np.array([start, end], dtype=np.float64)
        return WalkLeg(float(np.hypot(*(line[1] - line[0]))) / speed_ms, line)

    return walk


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
    fixes: Sequence[Fix],
    start_m: XY,
    end_m: XY,
    *,
    not_before: datetime,
    back_by: datetime,
    walk: Walk | None = None,
    params: SearchParams | None = None,
) -> SearchPlan:
    """Order the grounds of several birds and draw a path through each.

    Parameters
    ----------
    fixes : one a bird.
    start_m, end_m : where the search begins and where it must end [m].
    not_before : see :func:`earliest_search`.
    back_by : at ``end_m``.
    walk : between places; straight where it is not given.
    params : how the search is done.

    Returns
    -------
    SearchPlan

    Raises
    ------
    InputError
        If the times lie the wrong way round or there is nothing to search for.
    NoPlanError
        If there is no way from the start to the end.

    Notes
    -----
    Every order of up to seven areas is tried; the one with the most logs expected is taken, and of equal ones the
    shortest. A search of an area finds the log with ``find_chance`` times the chance that it lies on the lines walked.
    """
    params, walk = params or SearchParams(), walk or straight_walk()
    if not fixes:
        raise InputError("there is no bird to search for; note bearings first")
    if back_by <= not_before:
        raise InputError(f"the search may begin at {not_before:%H:%M} and must end by {back_by:%H:%M}: no time is left")
    ranked = sorted(fixes, key=lambda f: f.ground(params.share).area_m2)
    tried, late = ranked[:AREAS_TRIED], ranked[AREAS_TRIED:]
    legs = _Legs(tried, start_m, end_m, walk, params)
    budget, over = (back_by - not_before).total_seconds(), 1.0
    while over > 0:
        order = _best_order(legs, len(tried), budget)
        areas, home = _walked(legs, order, not_before)
        if not np.isfinite(home.seconds):
            raise NoPlanError("there is no way on foot from the start of the search to its end; move one of them")
        back = (areas[-1].leave if areas else not_before) + timedelta(seconds=home.seconds)
        over = (back - back_by).total_seconds() if areas else 0.0  # ways round water take longer than they seemed to
        budget -= over
    no_time = [LeftOut(f.bird, WhyLeftOut.NO_TIME) for i, f in enumerate(tried) if i not in order]
    crowded = [LeftOut(f.bird, WhyLeftOut.TOO_MANY) for f in late]
    return SearchPlan(
        not_before,
        tuple(areas),
        back,
        home.line_m,
        sum(a.chance for a in areas),
        params,
        (*no_time, *crowded),
    )


class _Legs:
    """Walks and sweeps between areas, remembered between calls."""

    def __init__(self, fixes: Sequence[Fix], start_m: XY, end_m: XY, walk: Walk, params: SearchParams) -> None:
        self.fixes, self.start, self.end, self.walk, self.params = fixes, start_m, end_m, walk, params
        self.sweeps: dict[tuple[int, XY], Sweep] = {}
        self.times: dict[tuple[XY, XY], float] = {}

    def sweep(self, i: int, here: XY) -> Sweep:
        if (i, here) not in self.sweeps:
            fix, params = self.fixes[i], self.params
            ground = fix.ground(params.share)
            self.sweeps[i, here] = sweep_of(ground, fix.chance, here, params.swath_m, params.longest_path_m)
        return self.sweeps[i, here]

    def seconds(self, a: XY, b: XY) -> float:
        if (a, b) not in self.times:
            self.times[a, b] = self.walk(a, b).seconds
        return self.times[a, b]


def _best_order(legs: _Legs, count: int, budget_s: float) -> tuple[int, ...]:
    best: tuple[float, float, tuple[int, ...]] = (0.0, 0.0, ())
    for size in range(count, 0, -1):
        for order in permutations(range(count), size):
            worth = _worth(legs, order, budget_s)
            if worth is not None and (worth[0] > best[0] + 1e-9 or (worth[0] > best[0] - 1e-9 and worth[1] < best[1])):
                best = (*worth, order)
        if len(best[2]) == count:
            break
    return best[2]


def _worth(legs: _Legs, order: Sequence[int], budget_s: float) -> tuple[float, float] | None:
    here, spent, found = legs.start, 0.0, 0.0
    for i in order:
        sweep = legs.sweep(i, here)
        entry = (float(sweep.turns_m[0, 0]), float(sweep.turns_m[0, 1]))
        chance = sweep.chance * legs.params.find_chance
        spent += legs.seconds(here, entry) + sweep.length_m / legs.params.pace_ms
        spent += chance * legs.params.minutes_at_log * 60
        here = (float(sweep.turns_m[-1, 0]), float(sweep.turns_m[-1, 1]))
        found += chance
        if not spent < budget_s:
            return None
    total = spent + legs.seconds(here, legs.end)
    return (found, total) if total <= budget_s else None


def _walked(legs: _Legs, order: Sequence[int], not_before: datetime) -> tuple[list[SearchArea], WalkLeg]:
    areas: list[SearchArea] = []
    clock, here = not_before, legs.start
    for number, i in enumerate(order, start=1):
        area = _area(number, legs.fixes[i], here, clock, legs.walk, legs.params, legs.sweep(i, here))
        areas.append(area)
        clock, here = area.leave, (float(area.path_m[-1, 0]), float(area.path_m[-1, 1]))
    return areas, legs.walk(here, legs.end)


def _area(
    number: int, fix: Fix, here: XY, clock: datetime, walk: Walk, params: SearchParams, sweep: Sweep
) -> SearchArea:
    turns = [(float(x), float(y)) for x, y in sweep.turns_m]
    approach = walk(here, turns[0])
    path, at, left_m = [np.array([turns[0]])], turns[0], params.longest_path_m
    for turn in turns[1:]:
        leg = walk(at, turn)
        if not np.isfinite(leg.seconds):  # a turn in a pond or on closed ground is left out, not walked to
            continue
        left_m -= polyline_length(leg.line_m)
        if left_m < 0:  # the cap on minutes holds for the true way, round water too
            break
        path.append(leg.line_m[1:])
        at = turn
    chance = sweep.chance * params.find_chance
    arrive = clock + timedelta(seconds=approach.seconds)
    whole = np.concatenate(path)
    leave = arrive + timedelta(seconds=polyline_length(whole) / params.pace_ms + chance * params.minutes_at_log * 60)
    return SearchArea(number, fix.bird, fix.ground(params.share), arrive, leave, approach.line_m, whole, sweep, chance)
