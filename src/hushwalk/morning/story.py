"""The story of a morning in reading order: from settings to the report that outputs draw.

Each step has a file of its own in this room; the work is done in the rooms below.
"""

from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np

from hushwalk.morning.cache import NO_CACHE, StepCache
from hushwalk.morning.chosen_way import chosen_way, with_time_kept_free
from hushwalk.morning.closing_story import closing_of
from hushwalk.morning.day.expected_day import expected_of_plan
from hushwalk.morning.describe import FROM_THE_CAR, PlanContext, StartState, bail_outs, legs_of, stops_of, sun_times
from hushwalk.morning.heard_in_bouts import worth_in_bouts
from hushwalk.morning.heeded_notes import heed_notes
from hushwalk.morning.look_round import Morning, look_round
from hushwalk.morning.morning_problem import MorningProblem, build_problem, posts_of, walk_length_m, with_less_walking
from hushwalk.morning.outlook import budget_curve_of, listening_of, males_of, proof_of, robustness_of
from hushwalk.morning.plain_plan import PlainPlan, as_near_as, plain_plans, plain_walk_of, spread_out
from hushwalk.morning.plain_walk import plain_routes
from hushwalk.morning.posts import males_passed
from hushwalk.morning.quieter_plan import quieter_plan, with_quiet_legs
from hushwalk.morning.report import ListeningOutlook, PlainWalk, Report, Robustness
from hushwalk.morning.warnings import verdict_at, warnings
from hushwalk.morning.way_of_working import WayOfWorking
from hushwalk.planning.model.plan import Plan, Result
from hushwalk.planning.model.worth import leave_late
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.planning.warm_up import warm_up, warm_up_bound
from hushwalk.progress import Progress, Step, quiet
from hushwalk.science.moon import moon_words
from hushwalk.site.cautions import cautions
from hushwalk.site.norths import north_of
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site
from hushwalk.types import FloatArray
from hushwalk.worker import Pending, Worker, submit

# shares of a plan's time that have gone: judgement, as measured on the demo, and good to a factor
HEARING = Step("working out what is heard from each post", done_before=0.15)
COMPARING_WAYS = Step("playing days to choose a way of working", done_before=0.4)
CHOOSING = Step("choosing stops", done_before=0.45)
OUTLOOK = Step("working out what the plan gives, and what delays cost", done_before=0.75)
DRAWING = Step("drawing", done_before=0.9)
QUIETER_SEARCH = 0.5  # judgement: half of the search finds plans as good as the whole, within half a percent
FIRST_LOOK = 0.25  # judgement: a quarter of the search shows how long the walk will be

Curve = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class RunParams:
    """How long to think.

    Parameters
    ----------
    search_s : for the first plan [s].
    proof_s : for the proof behind it [s].
    iterations : search steps; if given, the search stops by steps and not by the clock, and the same seed gives the
        same plan.
    proof_nodes : nodes of the proof; if given, it stops by them and not by the clock, and repeats like the plan.
    """

    search_s: float | None = 2.0
    proof_s: float = 2.0
    iterations: int | None = None
    proof_nodes: int | None = None

    def proof_limits(self) -> dict[str, Any]:
        """Limits of the proof as the solver takes them; threads would look at nodes in another order each time."""
        if self.proof_nodes is None:
            return {"proof_s": self.proof_s}
        return {"proof_s": None, "proof_nodes": self.proof_nodes, "threads": 1}


def search_of(params: RunParams, share: float) -> SolveParams:
    """Limits of a search that takes so large a share of the plan's."""
    seconds = None if params.search_s is None else params.search_s * share
    steps = None if params.iterations is None else max(1, round(params.iterations * share))
    return SolveParams(search_s=seconds, iterations=steps)


def plan_morning(
    settings: TripSettings,
    params: RunParams | None = None,
    progress: Progress = quiet,
    worker: Worker | None = None,
    cache: StepCache = NO_CACHE,
    notes: Path | None = None,
) -> Report:
    """Plan one morning.

    Parameters
    ----------
    settings : what the trip file says.
    params : how long to think.
    progress : is called as each step begins.
    worker : works out the comparison while this process thinks; None to do it afterwards, with the same result.
    cache : costly steps of an earlier run of the same trip.
    notes : the ledger, whose birds and logs are drawn and heeded where it is there; None for none.

    Returns
    -------
    Report

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend; NoPlanError if no walk fits the limits.
    """
    params = params or RunParams()
    submit(worker, warm_up_bound)  # on a new machine, the larger half of compiling goes on there meanwhile
    looked = cache.cached("the ground and the ways", partial(look_round, settings, progress), progress)
    heeded = heed_notes(looked, notes, progress)
    morning, step = heeded.morning, heeded.step
    morning_problem = cache.cached(
        step("what is heard from each post"), partial(heard_and_walked, morning, progress), progress
    )
    progress(COMPARING_WAYS)
    working = cache.cached(step("the way of working"), partial(chosen_way, morning, morning_problem), progress)
    morning, morning_problem = with_time_kept_free(morning, morning_problem, working)
    curve = cache.cached_later(
        step("the males by minutes away"), lambda: submit(worker, budget_curve_of, morning_problem, settings.seed)
    )
    plain = plain_plans(morning_problem, settings.morning.longest_walk_km * 1000)
    result = cache.cached(
        step(f"the plan ({params})"),
        partial(solved, morning.site, morning_problem, plain, settings, params, progress),
        progress,
    )
    progress(OUTLOOK)
    report = report_of(morning, morning_problem, result, plain_walk_of(plain), curve, working=working, worker=worker)
    return heeded.with_notes(report)


def heard_and_walked(morning: Morning, progress: Progress = quiet) -> MorningProblem:
    """Choose posts, those of the plain walks among them, hear from each, and walk between all of them.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    progress : is told as each step begins.

    Returns
    -------
    MorningProblem
        Ready to be solved.
    """
    progress(HEARING)
    plain = plain_routes(morning)
    return build_problem(morning, posts_of(morning, sum(len(route.stops_xy) for route in plain)), plain)


def solved(
    site: Site,
    morning_problem: MorningProblem,
    plain: tuple[PlainPlan, ...],
    settings: TripSettings,
    params: RunParams,
    progress: Progress = quiet,
) -> Result:
    """Solve, on less walking time if the walk would be longer than the person wants, and prove the last answer only.

    Parameters
    ----------
    site : the ground of the trip.
    morning_problem : posts, times and chances.
    plain : walks that need no plan, the best first; the search begins at them too.
    settings : what the trip file says.
    params : how long to think.
    progress : is told as each step begins.

    Returns
    -------
    Result
        Plan and certificate; the plan is worth no less than the best plain walk.
    """
    warm_up()  # compiling takes a minute on a new machine, and must not eat the seconds of the search
    progress(CHOOSING.of(f"among {len(morning_problem.posts_xy)} posts, and proving how good the choice is"))
    search = replace(search_of(params, FIRST_LOOK), iterations=params.iterations)
    whole = replace(search, search_s=params.search_s, **params.proof_limits())
    longest_m = settings.morning.longest_walk_km * 1000
    problem, limits = morning_problem.problem, search
    known = [spread_out(problem, one) for one in plain]
    while True:
        result = solve(problem, limits, np.random.default_rng(settings.seed), known=known)
        length_m = walked_m(morning_problem, result.plan)
        if length_m > longest_m and result.plan.visits:
            progress(Step(f"the walk is {length_m / 1000:.1f} km; looking for one of at most {longest_m / 1000:g} km"))
            problem = with_less_walking(problem, result.plan, longest_m / length_m)
        elif limits is search:
            limits = whole
        else:
            break
    limited = replace(morning_problem, problem=problem)
    result = not_below(limited, plain, result, whole, settings)
    progress(Step("looking for a walk that passes fewer males"))
    result = quieter(site, limited, plain, result, search_of(params, QUIETER_SEARCH), settings)
    return replace(result, plan=leave_late(problem, result.plan)) if problem.start == problem.end else result


def not_below(
    morning_problem: MorningProblem,
    plain: tuple[PlainPlan, ...],
    result: Result,
    limits: SolveParams,
    settings: TripSettings,
) -> Result:
    """Plan again from the best plain walk where the plan is worth less, its stops as near as it has them.

    Parameters
    ----------
    morning_problem : that was solved.
    plain : walks that need no plan, the best first.
    result : of the problem.
    limits : of the run.
    settings : what the trip file says.

    Returns
    -------
    Result
        Worth no less than the best plain walk: the search begins at it and keeps the best it has met.
    """

    def males(plan: Plan) -> float:
        return worth_in_bouts(morning_problem.problem, plan, morning_problem.bouts)

    if not plain or plain[0].males <= males(result.plan):
        return result
    freed = as_near_as(morning_problem.problem, plain[0])
    known = [(plain[0].stops, plain[0].waits)]
    again = solve(freed, limits, np.random.default_rng(settings.seed), known=known)
    short = walked_m(morning_problem, again.plan) <= settings.morning.longest_walk_km * 1000
    if short and males(again.plan) >= plain[0].males:
        return again
    return replace(again, plan=plain[0].plan, certificate=None)


def quieter(
    site: Site,
    morning_problem: MorningProblem,
    plain: tuple[PlainPlan, ...],
    result: Result,
    search: SolveParams,
    settings: TripSettings,
) -> Result:
    """Give a plan that passes fewer males, where one is worth nearly as much and no less than the best plain walk.

    Parameters
    ----------
    site : the ground of the trip.
    morning_problem : that was solved.
    plain : walks that need no plan, the best first.
    result : of the problem.
    search : limits of each search.
    settings : what the trip file says.

    Returns
    -------
    Result
    """

    def allowed(plan: Plan) -> bool:
        least = plain[0].males if plain else 0.0
        short = walked_m(morning_problem, plan) <= settings.morning.longest_walk_km * 1000
        return short and worth_in_bouts(morning_problem.problem, plan, morning_problem.bouts) >= least

    return quieter_plan(site, morning_problem, result, allowed, search, np.random.default_rng(settings.seed))


def walked_m(morning_problem: MorningProblem, plan: Plan) -> float:
    """Length of the whole walk of a plan [m]."""
    problem = morning_problem.problem
    return walk_length_m(morning_problem.times, [problem.start, *plan.posts, problem.end])


def report_of(
    morning: Morning,
    morning_problem: MorningProblem,
    result: Result,
    plain: PlainWalk,
    curve: Pending[Curve],
    start: StartState = FROM_THE_CAR,
    working: WayOfWorking | None = None,
    worker: Worker | None = None,
) -> Report:
    """Tell a solved morning as a report that outputs draw, beside a plain walk and the curve of males by budget.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    morning_problem : posts, times and chances.
    result : of the solver.
    plain : the best walk that needs no plan.
    curve : minutes away and males, to come.
    start : where the walk that is reported begins.
    working : how the morning is worked; None where nothing is kept free and closing in is not spoken of.
    worker : a second process, if there is one.

    Returns
    -------
    Report
        Ready to be drawn.
    """
    settings, plan = morning.settings, result.plan
    morning_problem = with_quiet_legs(morning.site, morning_problem, plan)
    site, clock, detectability = morning.site, morning.clock, morning.detectability
    north, on_trail = north_of(site, clock), morning.way.on_trail
    context = PlanContext(
        site, detectability, clock, morning_problem, plan, north, on_trail, start, morning.kept_free_s
    )
    outlook = submit(worker, _outlook, context, settings.seed)
    expected = submit(worker, expected_of_plan, morning, morning_problem, plan) if start is FROM_THE_CAR else None
    stops, legs = stops_of(context), legs_of(context)
    closing = None if working is None else closing_of(context, morning, working)  # before one waits for the worker
    robustness, listening, ways_back = outlook.result()
    return Report(
        title=settings.place.name,
        settings=settings,
        grid=site.grid,
        species=site.card.name,
        car=site.car,
        depart=clock.at(plan.depart_s),
        back=clock.at(plan.back_s),
        stops=stops,
        legs=legs,
        sun=sun_times(clock, moon_words(clock.at(clock.civil_dawn_s), site.car.lon_deg, site.car.lat_deg)),
        north=context.north,
        males=males_of(site, detectability, morning_problem, plan),
        males_passed=males_passed(site.density, [leg.line_m for leg in legs]) * morning_problem.participation,
        plain=plain,
        proof=proof_of(result, morning_problem),
        country=site.country,
        budget_curve=curve.result(),
        robustness=robustness,
        listening=listening,
        verdict=verdict_at(site, detectability.verdict()),
        warnings=warnings(site, detectability, clock, morning.way),
        notices=site.notices,
        passage=site.ground.passage.facts,
        region=site.region,
        assumptions=site.assumptions,
        cautions=cautions(settings),
        layer_stories=site.inputs.stories,
        source_keys=site.source_keys,
        bail_outs=ways_back,
        closing=closing,
        expected=None if expected is None else expected.result(),
    )


def _outlook(
    context: PlanContext, seed: int
) -> tuple[Robustness | None, ListeningOutlook, tuple[tuple[str, FloatArray], ...]]:
    """How the plan stands when things go wrong, what its listening rests on, and the ways back."""
    listening = listening_of(context.site, context.detectability, context.clock, context.morning_problem, context.plan)
    return robustness_of(context, seed), listening, bail_outs(context)
