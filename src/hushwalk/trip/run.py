"""The story of a morning in reading order: from settings to the report that outputs draw.

Each step is told in its own file of the hall; the work is done in the rooms below.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from hushwalk.planning.plan import Result
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.science.moon import moon_words
from hushwalk.trip.cautions import cautions
from hushwalk.trip.describe import Told, bail_outs, legs_of, north_of, stops_of, sun_times
from hushwalk.trip.listening import Ears, ears_of
from hushwalk.trip.morning import Clock, morning_clock
from hushwalk.trip.outlook import budget_curve_of, listening_of, males_of, proof_of, robustness_of
from hushwalk.trip.plain_walk import best_plain_walk
from hushwalk.trip.report import Report
from hushwalk.trip.settings import TripSettings
from hushwalk.trip.stated import Stated, posts_of, state_problem
from hushwalk.trip.survey import Survey, survey_trip
from hushwalk.trip.way import Way, lay_way

Tell = Callable[[str], None]


@dataclass(frozen=True)
class RunParams:
    """How long to think.

    Parameters
    ----------
    search_s : for the first plan [s].
    proof_s : for the proof behind it [s].
    iterations : search steps; if given, the search stops by steps and not by the clock, and the same seed gives the
        same plan.
    """

    search_s: float | None = 2.0
    proof_s: float = 8.0
    iterations: int | None = None


def plan_morning(settings: TripSettings, params: RunParams | None = None, tell: Tell = lambda _: None) -> Report:
    """Plan one morning.

    Parameters
    ----------
    settings : what the trip file says.
    params : how long to think.
    tell : is called with a few words as each step begins.

    Returns
    -------
    Report

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend; NoPlanError if no walk fits the limits.
    """
    params = params or RunParams()
    tell("reading the layers")
    survey = survey_trip(settings)
    clock = morning_clock(settings.morning, survey.car.lon_deg, survey.car.lat_deg)
    ears = ears_of(settings, survey)
    tell("working out how quickly each place is reached")
    way = lay_way(settings, survey, clock)
    tell("working out what is heard from each post")
    posts = posts_of(settings, survey, ears, way, clock)
    stated = state_problem(settings, survey, ears, way, clock, posts)
    tell(f"choosing stops among {len(posts)} posts")
    result = _solved(stated, settings, params)
    tell("comparing with a plain walk")
    return _report(settings, Morning(survey, clock, ears, way, stated, result))


@dataclass(frozen=True, eq=False)
class Morning:
    """All that was worked out on the way."""

    survey: Survey
    clock: Clock
    ears: Ears
    way: Way
    stated: Stated
    result: Result


def _solved(stated: Stated, settings: TripSettings, params: RunParams) -> Result:
    """Solve, and solve again on less walking while the walk is longer than the person wants."""
    limits = SolveParams(search_s=params.search_s, iterations=params.iterations, proof_s=params.proof_s)
    longest_m = settings.morning.longest_walk_km * 1000
    problem = stated.problem
    while True:
        result = solve(problem, limits, np.random.default_rng(settings.seed))
        length_m = walked_m(stated, result)
        if length_m <= longest_m or not result.plan.visits:
            return result
        problem = replace(problem, max_walk_s=result.plan.walk_s * min(0.95, longest_m / length_m))


def walked_m(stated: Stated, result: Result) -> float:
    """Length of the walk of a result [m]."""
    places = [stated.problem.start, *result.plan.posts, stated.problem.end]
    return sum(stated.times.path(a, b).length_m for a, b in itertools.pairwise(places))


def _report(settings: TripSettings, morning: Morning) -> Report:
    survey, clock, result = morning.survey, morning.clock, morning.result
    north = north_of(survey, clock)
    told = Told(survey, morning.ears, clock, morning.stated, result.plan, north, morning.way.on_trail)
    verdict = morning.ears.verdict()
    moon = moon_words(clock.at(clock.civil_dawn_s), survey.car.lon_deg, survey.car.lat_deg)
    return Report(
        title=settings.place.name,
        settings=settings,
        grid=survey.grid,
        species=survey.card.name,
        car=survey.car,
        depart=clock.at(result.plan.depart_s),
        back=clock.at(result.plan.back_s),
        stops=stops_of(told),
        legs=legs_of(told),
        sun=sun_times(clock, moon),
        north=north,
        males=males_of(morning.survey, morning.ears, morning.stated, result.plan),
        plain=best_plain_walk(settings, survey, morning.ears, morning.way, clock),
        proof=proof_of(result, morning.stated),
        country=survey.country,
        budget_curve=budget_curve_of(morning.stated),
        robustness=robustness_of(morning.stated, result.plan, clock),
        listening=listening_of(survey, morning.ears, clock, morning.stated, result.plan),
        notices=(verdict.sentence, *survey.notices),
        assumptions=survey.assumptions,
        cautions=cautions(settings),
        layer_stories=survey.inputs.stories,
        source_keys=survey.source_keys,
        bail_outs=bail_outs(told),
    )
