"""The morning as numbers: posts, times and chances become a problem for the planning room.

Solving it is planning's business, and turning the answer back into words describe.py's.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.sparse import csr_array, vstack
from scipy.spatial import cKDTree

from hushwalk.errors import NoPlanError
from hushwalk.habitat.density import males_on
from hushwalk.hearing.coverage import Coverage
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.morning.look_round import Morning
from hushwalk.morning.posts import PostParams, choose_posts, refine_posts, standable_ground
from hushwalk.planning.model.problem import Problem
from hushwalk.site.detectability import Detectability, availability_table
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site
from hushwalk.types import FloatArray, IntArray
from hushwalk.walking.times import TravelTimes, travel_times

CAR = 0
DWELL_CHOICES = 4  # judgement: four lengths of a stop between the least and the most are fine enough
PROVABLE = 1.7  # judgement: of the routing notes, measured on walks of the same size
HALF_NORMAL = 1.17741  # definition: sqrt(2 ln 2), standard deviations of a half-normal curve to its half
SHIFT = 0.25  # judgement: farther than this share of the spacing it would be another post
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
    targets : shape (m,), the target cells that the problem keeps.
    participation : share of males that display at all this morning.
    """

    problem: Problem
    posts_xy: FloatArray = field(repr=False)
    times: TravelTimes = field(repr=False)
    heard: Coverage = field(repr=False)
    males: FloatArray = field(repr=False)
    targets: IntArray = field(repr=False)
    participation: float


def dwell_choices_s(settings: TripSettings) -> tuple[float, ...]:
    """How long a stop may last, from the least to the most minutes [s]."""
    morning = settings.morning
    minutes = np.linspace(morning.minutes_per_stop_min, morning.minutes_per_stop_max, DWELL_CHOICES)
    return tuple(float(m) * 60 for m in np.unique(np.round(minutes)))


def post_params(settings: TripSettings, detectability: Detectability) -> PostParams:
    """Spacing and scale of the posts from the earshot of this morning.

    Notes
    -----
    Posts lie 1.7 standard deviations of the half-normal chance apart, 1.44 times the 50 % distance: the routing notes
    find that walks over posts this far apart can be proven, and closer ones often cannot. The half-normal scale is the
    50 % distance over 1.17741 (distance sampling).
    """
    earshot_m = detectability.level.earshot_m(LEAFLESS)
    earshot_sd_m = earshot_m / HALF_NORMAL
    return PostParams(
        spacing_m=max(PROVABLE * earshot_sd_m, 100.0),
        earshot_sd_m=earshot_sd_m,
        stand_off_m=settings.walker.stand_off_m,
    )


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


def posts_of(morning: Morning) -> FloatArray:
    """Choose the posts of a morning, shape (n, 2) [m].

    Raises
    ------
    NoPlanError
        If no place is left from which a bird could be heard.
    """
    site, detectability, way, window_s = morning.site, morning.detectability, morning.way, morning.clock.window_s
    within = way.within(window_s - morning.settings.morning.minutes_per_stop_min * 60)
    within &= ~site.ground.passage.no_stop
    params = post_params(morning.settings, detectability)
    where = standable_ground(site.density, within, way.on_trail, quiet_share(detectability, site), params)
    posts = choose_posts(where, params)
    if len(posts) == 0:
        raise NoPlanError(
            f"no place within {window_s / 60:.0f} minutes there and back from the car has any good cover in "
            "earshot; park elsewhere, give a later morning.back_by, or look at the suitability with `hushwalk why`"
        )
    return refine_posts(posts, where, lambda spots: males_heard(detectability, site, spots), params.spacing_m * SHIFT)


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
    usual = detectability.soundscape.params
    coarse = replace(detectability.soundscape, params=replace(usual, target_cell_m=2 * usual.target_cell_m))
    heard = coarse.coverage(places_xy)
    return np.asarray(heard.chance @ males_on(site.density, heard.grid))


def build_problem(morning: Morning, posts_xy: FloatArray) -> MorningProblem:
    """State the problem of choosing and ordering stops among posts.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    posts_xy : shape (n, 2), posts on the grid [m].

    Returns
    -------
    MorningProblem
        Ready to be solved.

    Raises
    ------
    NoPlanError
        If no post can be reached.
    """
    settings, site, clock = morning.settings, morning.site, morning.clock
    detectability = morning.detectability
    places = np.vstack([site.car.xy_m, posts_xy])
    names = ["place.car", *(f"post {k}" for k in range(1, len(places)))]
    times = travel_times(
        morning.way.graph,
        places,
        limit_s=clock.window_s,
        off_trail_in_the_dark=settings.morning.off_trail_in_the_dark,
        names=names,
    )
    heard = detectability.soundscape.coverage(posts_xy)
    males = males_on(site.density, heard.grid)
    dwell_s = dwell_choices_s(settings)
    clock_s, table, participation = availability_table(detectability, site, clock, dwell_s)
    in_earshot = np.asarray(heard.chance.sum(axis=0)).ravel() * males
    targets = np.flatnonzero(in_earshot > 0)
    if len(targets) == 0:
        raise NoPlanError("no displaying male can be heard from any place within reach of the car")
    problem = Problem(
        travel_s=np.stack([times.dark_s, times.day_s]),
        chance=_with_car(heard, targets),
        weights=males[targets] * participation,
        start=CAR,
        end=CAR,
        earliest_s=clock.earliest_s,
        latest_s=morning.last_s,
        budget_s=morning.window_s,
        dwell_s=dwell_s,
        clock_s=clock_s,
        availability=table,
        period_starts_s=(clock.civil_dawn_s,),
        conflicts=_too_near(posts_xy, APART * post_params(settings, detectability).spacing_m) + 1,
        max_stops=settings.morning.stops_max,
    )
    return MorningProblem(problem, posts_xy, times, heard, males, targets, participation)


def _with_car(heard: Coverage, targets: IntArray) -> csr_array:
    chance = heard.chance[:, targets]
    return csr_array(vstack([csr_array((1, len(targets))), chance]))


def _too_near(posts_xy: FloatArray, apart_m: float) -> IntArray:
    pairs: IntArray = cKDTree(posts_xy).query_pairs(apart_m, output_type="ndarray").astype(np.int64)
    return pairs.reshape(-1, 2)
