"""The morning as numbers: posts, times and chances become a problem for the planning room.

Solving it is planning's business, and turning the answer back into words describe.py's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np
from scipy.sparse import csr_array, hstack, vstack
from scipy.spatial import cKDTree

from hushwalk.errors import NoPlanError
from hushwalk.habitat.density import males_on
from hushwalk.hearing.coverage import Coverage
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.morning.known_places import KnownPlaces
from hushwalk.morning.look_round import Morning
from hushwalk.morning.plain_walk import PlainRoute, coarse_coverage
from hushwalk.morning.posts import choose_posts, males_a_metre, post_params, refine_posts, standable_ground
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.model.problem import Problem
from hushwalk.science.bouts import Bouts
from hushwalk.site.detectability import Detectability, availability_table
from hushwalk.site.morning_clock import Clock
from hushwalk.site.site import Site
from hushwalk.types import BoolArray, FloatArray, IntArray
from hushwalk.walking.lines import WalkLine
from hushwalk.walking.shortest_paths import walking_time_from
from hushwalk.walking.times import TravelTimes, travel_times

CAR = 0
SHIFT = 0.25  # judgement: farther than this share of the spacing it would be another post
POSTS_LEAST = 48  # judgement: half of what the proof carries is left to posts off the plain walks
LESS = 0.95  # judgement: allow at least this much less walking at each try
APART = 0.6  # judgement: two stops nearer than this share of the spacing hear nearly the same birds


@dataclass(frozen=True, eq=False)
class MorningProblem:
    """A problem and what its numbers stand for.

    Parameters
    ----------
    problem : place 0 is the car, places 1 .. n are the posts.
    posts_xy : shape (n, 2), posts on the trip's grid [m].
    times : walking times of car and posts.
    heard : chance to hear one display, posts x targets of its grid.
    males : shape (n_targets,), displaying males on each target cell before participation.
    targets : shape (m,), the target cell of each target of the problem.
    participation : share of males that display at all this morning.
    bouts : of the displays of those that do.
    level : shape (m,), the level of evidence of each target, counted among those planned with.
    level_weights : of these levels; they sum to 1.
    plain : walks that need no plan; their stops are the last posts, in this order.
    dusk_s : in an evening, when the ways by daylight end [s]; None in a morning.
    """

    problem: Problem
    posts_xy: FloatArray = field(repr=False)
    times: TravelTimes = field(repr=False)
    heard: Coverage = field(repr=False)
    males: FloatArray = field(repr=False)
    targets: IntArray = field(repr=False)
    participation: float
    bouts: Bouts
    level: IntArray = field(repr=False)
    level_weights: FloatArray = field(repr=False)
    plain: tuple[PlainRoute, ...] = ()
    dusk_s: float | None = None

    def in_daylight(self, leg: tuple[int, int], depart_s: float) -> bool:
        """Whether a leg begun at some clock is walked by daylight from end to end."""
        if self.dusk_s is None:
            return depart_s >= self.problem.period_starts_s[0]
        return depart_s + float(self.times.day_s[leg]) <= self.dusk_s

    def in_dark(self, leg: tuple[int, int], depart_s: float) -> bool:
        """Whether a leg begun at some clock follows the way of the dark; one across dusk does, one across dawn not."""
        dark_s = float(self.times.dark_s[leg])
        if self.dusk_s is None:
            return depart_s + dark_s <= self.problem.period_starts_s[0]
        return bool(np.isfinite(dark_s)) and not self.in_daylight(leg, depart_s)

    def latest_leave_s(self, leg: tuple[int, int], by_s: float) -> float:
        """Last clock at which a leg may be begun to be walked by some clock, by daylight from dusk backwards [s]."""
        day_s, dark_s = float(self.times.day_s[leg]), float(self.times.dark_s[leg])
        if self.dusk_s is None or by_s <= self.dusk_s:
            return by_s - day_s
        left = min((by_s - self.dusk_s) / dark_s, 1.0) if dark_s > 0 else 1.0
        return by_s - dark_s if left == 1 else self.dusk_s - day_s * (1 - left)

    @property
    def plain_posts(self) -> tuple[tuple[int, ...], ...]:
        """Posts of each plain walk, from the car outwards."""
        many = [len(route.stops_xy) for route in self.plain]
        ends = 1 + len(self.posts_xy) - sum(many) + np.cumsum([0, *many])
        return tuple(tuple(range(int(a), int(b))) for a, b in pairwise(ends))


def way_line(morning_problem: MorningProblem, leg: tuple[int, int], depart_s: float) -> WalkLine:
    """Line of a leg: that of the dark where the leg is walked in the dark and there is one, else by day.

    Parameters
    ----------
    morning_problem : posts and ways.
    leg : the places at its ends.
    depart_s : when it is begun [s].

    Returns
    -------
    WalkLine
    """
    return morning_problem.times.path(*leg, dark=morning_problem.in_dark(leg, depart_s))


def times_by_light(clock: Clock, times: TravelTimes) -> tuple[FloatArray, tuple[float, ...]]:
    """Walking times of the periods of dark and daylight that a window meets, and when the second begins.

    Parameters
    ----------
    clock : of the morning, which is dark until civil dawn, or of the evening, which is dark from civil dusk on.
    times : by daylight and in the dark.

    Returns
    -------
    tuple
        Shape (periods, n, n) [s], and clock times [s].
    """
    if not clock.evening:
        return np.stack([times.dark_s, times.day_s]), (clock.civil_dawn_s,)
    if clock.latest_s <= clock.civil_dusk_s:
        return times.day_s[None], ()
    return np.stack([times.day_s, times.dark_s]), (clock.civil_dusk_s,)


def walk_length_m(times: TravelTimes, places: Sequence[int]) -> float:
    """Length of the walk from place to place [m]."""
    return sum(times.path(a, b).length_m for a, b in pairwise(places))


def with_less_walking(problem: Problem, plan: Plan, share: float) -> Problem:
    """Give the same problem with so large a share of a plan's walking time, and always less than it.

    Parameters
    ----------
    problem : that was solved.
    plan : of it, too long a walk.
    share : the length that is wanted over that of the plan.

    Returns
    -------
    Problem
    """
    return replace(problem, max_walk_s=plan.walk_s * min(LESS, share))


def quiet_share(detectability: Detectability, site: Site) -> FloatArray:
    """Share of the open earshot area left over water and traffic, shape grid.shape, 0..1; the louder decides."""
    level, quiet = detectability.level, np.ones(site.grid.shape)
    levels = np.arange(0.0, 95.0, 5.0)
    silence = np.full(len(levels), np.nan)
    for noise, dba in (
        (site.ground.stream_noise, np.stack([levels, silence], axis=1)),
        (site.ground.traffic_noise, np.stack([silence, levels], axis=1)),
    ):
        if noise is None:
            continue
        left = [level.earshot_m(LEAFLESS, *map(float, pair)) for pair in dba]
        share = np.minimum((np.array(left) / level.earshot_m(LEAFLESS)) ** 2, 1.0)
        quiet = np.minimum(quiet, np.interp(np.nan_to_num(noise.values, nan=0.0), levels, share))
    return np.asarray(quiet)


def posts_of(morning: Morning, taken: int = 0) -> FloatArray:
    """Choose the posts of a morning, shape (n, 2) [m], so many fewer as others are taken.

    Raises
    ------
    NoPlanError
        If no place is left from which a bird could be heard.
    """
    site, detectability, way, window_s = morning.site, morning.detectability, morning.way, morning.clock.window_s
    within = _within(morning, window_s - morning.settings.morning.minutes_per_stop_min * 60)
    within &= ~site.ground.passage.no_stop
    params = post_params(morning.settings, detectability)
    where = standable_ground(site.density, within, way.on_trail, quiet_share(detectability, site), params)
    posts = choose_posts(where, replace(params, posts_max=max(params.posts_max - taken, POSTS_LEAST)))
    if len(posts) == 0:
        raise NoPlanError(
            f"no place within {window_s / 60:.0f} minutes there and back from the car has any good cover in "
            f"earshot; park elsewhere, give a later {morning.settings.morning.key('back_by')}, or look at the "
            "suitability with `hushwalk why`"
        )
    return refine_posts(posts, where, lambda spots: males_heard(detectability, site, spots), params.spacing_m * SHIFT)


def _within(morning: Morning, whole_s: float) -> BoolArray:
    """Cells by way of which one comes from the start to the car in time, shape grid.shape."""
    if morning.start_m is None:
        return morning.way.within(whole_s)
    graph = morning.way.graph
    out_s = walking_time_from(graph, (float(morning.start_m[0]), float(morning.start_m[1])), limit_s=whole_s)
    back_s = walking_time_from(graph, morning.site.car.xy_m, limit_s=whole_s)
    inside: BoolArray = np.nan_to_num(out_s.values, nan=np.inf) + np.nan_to_num(back_s.values, nan=np.inf) <= whole_s
    return inside & ~graph.ground.blocked


def males_heard(detectability: Detectability, site: Site, places_xy: FloatArray) -> FloatArray:
    """Displaying males heard from each place if each displayed once, over the real ground, shape (n,).

    Parameters
    ----------
    detectability : what can be heard there.
    site : the ground of the trip.
    places_xy : shape (n, 2), places on the grid [m].

    Returns
    -------
    ndarray
        Shape (n,), males.

    Notes
    -----
    To rank spots, targets of twice the usual size tell enough at a quarter of the work; the plan uses the usual ones.
    """
    heard = coarse_coverage(detectability, places_xy)
    return np.asarray(heard.chance @ males_on(site.density, heard.grid))


def build_problem(
    morning: Morning,
    posts_xy: FloatArray,
    plain: tuple[PlainRoute, ...] = (),
    known: KnownPlaces | None = None,
    near: int | None = None,
) -> MorningProblem:
    """State the problem of choosing and ordering stops among posts.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    posts_xy : shape (n, 2), posts on the grid [m].
    plain : walks that need no plan, whose stops become posts as well.
    known : legs and hearing of places that were asked for before on this ground; the answer is the same without.
    near : legs between so many near posts only, others by way of them, for a first answer; None for all.

    Returns
    -------
    MorningProblem
        Ready to be solved.

    Raises
    ------
    NoPlanError
        If no post can be reached.
    """
    posts_xy = np.vstack([posts_xy, *(route.stops_xy for route in plain)])
    places = np.vstack([morning.site.car.xy_m, posts_xy])
    names = ["place.car", *(f"post {k}" for k in range(1, len(places)))]
    times = travel_times(
        morning.way.graph,
        places,
        limit_s=morning.clock.window_s,
        off_trail_in_the_dark=morning.settings.morning.off_trail_in_the_dark,
        names=names,
        per_m=males_a_metre(morning.site.density).values,
        known=known.legs if known else None,
        near=near,
    )
    soundscape = morning.detectability.soundscape
    heard = known.heard.coverage(soundscape, posts_xy) if known else soundscape.coverage(posts_xy)
    return problem_of(morning, posts_xy, times, heard, plain)


def problem_of(
    morning: Morning, posts_xy: FloatArray, times: TravelTimes, heard: Coverage, plain: tuple[PlainRoute, ...] = ()
) -> MorningProblem:
    """State the problem of choosing and ordering stops among posts whose times and hearing are known.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    posts_xy : shape (n, 2), posts on the grid, those of the plain walks last [m].
    times : of the car and the posts.
    heard : from the posts.
    plain : walks that need no plan.

    Returns
    -------
    MorningProblem
        Ready to be solved.

    Raises
    ------
    NoPlanError
        If no male can be heard from any post.
    """
    settings, site, clock = morning.settings, morning.site, morning.clock
    detectability = morning.detectability
    males = males_on(site.density, heard.grid)
    dwell_s = morning.dwell_s
    clock_s, table, participation = availability_table(detectability, site, clock, dwell_s)
    levels = detectability.at_levels(heard)
    kept = [np.flatnonzero(np.asarray(one.chance.sum(axis=0)).ravel() * males > 0) for _, one in levels]
    targets, level = np.concatenate(kept), np.repeat(np.arange(len(kept)), [len(own) for own in kept])
    if len(targets) == 0:
        raise NoPlanError("no displaying male can be heard from any place within reach of the car")
    level_weights = np.array([weight for weight, _ in levels])
    chance = hstack([one.chance[:, own] for (_, one), own in zip(levels, kept, strict=True)])
    travel_s, period_starts_s = times_by_light(clock, times)
    problem = Problem(
        travel_s=travel_s,
        chance=csr_array(vstack([csr_array((1, len(targets))), chance])),
        weights=males[targets] * level_weights[level] * participation,
        start=CAR,
        end=CAR,
        earliest_s=clock.earliest_s,
        latest_s=morning.last_s,
        budget_s=morning.window_s,
        dwell_s=dwell_s,
        clock_s=clock_s,
        availability=table,
        period_starts_s=period_starts_s,
        conflicts=_too_near(posts_xy, APART * post_params(settings, detectability).spacing_m) + 1,
        max_stops=settings.morning.stops_max,
    )
    return MorningProblem(
        problem,
        posts_xy,
        times,
        heard,
        males,
        targets,
        participation,
        detectability.display.bouts,
        level,
        level_weights,
        plain,
        clock.civil_dusk_s if clock.evening else None,
    )


def problem_on_day(morning_problem: MorningProblem, morning: Morning) -> MorningProblem:
    """State the same posts and targets for another day of the same weather.

    Parameters
    ----------
    morning_problem : of a morning from the same car.
    morning : the other day.

    Returns
    -------
    MorningProblem
    """
    clock, problem = morning.clock, morning_problem.problem
    clock_s, table, participation = availability_table(
        morning.detectability, morning.site, clock, tuple(problem.dwell_s)
    )
    travel_s, period_starts_s = times_by_light(clock, morning_problem.times)
    moved = replace(
        problem,
        travel_s=travel_s,
        weights=problem.weights * (participation / morning_problem.participation),
        earliest_s=clock.earliest_s,
        latest_s=morning.last_s,
        budget_s=morning.window_s,
        clock_s=clock_s,
        availability=table,
        period_starts_s=period_starts_s,
    )
    dusk_s = clock.civil_dusk_s if clock.evening else None
    return replace(morning_problem, problem=moved, participation=participation, dusk_s=dusk_s)


def _too_near(posts_xy: FloatArray, apart_m: float) -> IntArray:
    pairs: IntArray = cKDTree(posts_xy).query_pairs(apart_m, output_type="ndarray").astype(np.int64)
    return pairs.reshape(-1, 2)
