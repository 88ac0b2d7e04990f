"""The story of a morning in reading order: from settings to the report that outputs draw.

Each step has a file of its own in this room; the work is done in the rooms below.
"""

from dataclasses import replace
from functools import partial
from pathlib import Path

from hushwalk.grid.points import parse_place
from hushwalk.morning.cache import NO_CACHE, StepCache
from hushwalk.morning.chosen_way import chosen_way, with_time_kept_free
from hushwalk.morning.closing_story import closing_of
from hushwalk.morning.day.expected_day import expected_of_plan
from hushwalk.morning.day.late_search import warm_up_late_search
from hushwalk.morning.describe import FROM_THE_CAR, PlanContext, StartState, bail_outs, legs_of, stops_of
from hushwalk.morning.heeded_notes import HeededNotes, heed_notes
from hushwalk.morning.look_round import Morning, longest_out_s, look_round
from hushwalk.morning.males_steps import MalesSteps, males_steps
from hushwalk.morning.morning_problem import MorningProblem, build_problem, posts_of
from hushwalk.morning.other_way_back import with_other_way_back
from hushwalk.morning.outlook import budget_curve_of, listening_of, males_of, proof_of, robustness_of
from hushwalk.morning.plain_plan import plain_plans, plain_walk_of
from hushwalk.morning.plain_walk import PlainWalkKind, plain_routes
from hushwalk.morning.posts import males_passed
from hushwalk.morning.quieter_plan import with_quiet_legs
from hushwalk.morning.report import ListeningOutlook, PlainWalk, Report, Robustness
from hushwalk.morning.solved_plan import RunParams, as_wished, plan_without_wishes
from hushwalk.morning.sun_times import evening_hours, sun_times
from hushwalk.morning.warnings import warnings
from hushwalk.morning.way_of_working import WayOfWorking
from hushwalk.morning.wishes import (
    any_wish,
    effect_of_wishes,
    shorter_walk,
    start_post,
    wished_problem,
    with_lines_closed,
    with_must,
)
from hushwalk.planning.model.plan import Result
from hushwalk.planning.warm_up import warm_up_bound
from hushwalk.progress import Progress, Step, quiet
from hushwalk.science.magnetic import declination
from hushwalk.science.moon import moon_words
from hushwalk.site.cautions import cautions, keeping_off
from hushwalk.site.norths import north_of
from hushwalk.site.place import Place
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site, place_of
from hushwalk.types import FloatArray
from hushwalk.worker import Pending, Worker, submit

# shares of a plan's time that have gone: judgement, as measured on the demo, and good to a factor
HEARING = Step("working out what is heard from each post", done_before=0.15)
COMPARING_WAYS = Step("playing days to choose a way of working", done_before=0.4)
OUTLOOK = Step("working out what the plan gives, and what delays cost", done_before=0.75)
DRAWING = Step("drawing", done_before=0.9)

THE_NOTES = "the field notes"
"""Definition: name of the step that heeds them."""
START = "START"
"""Definition: what the place is called where one is set down."""

Curve = tuple[tuple[float, float], ...]


def plan_morning(
    settings: TripSettings,
    params: RunParams | None = None,
    progress: Progress = quiet,
    worker: Worker | None = None,
    cache: StepCache = NO_CACHE,
    notes: Path | None = None,
    site: Site | None = None,
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
    site : the ground, where it was read before; None to read it.

    Returns
    -------
    Report

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend; NoPlanError if no walk fits the limits.
    """
    params = params or RunParams()
    declination(settings.morning.date, *parse_place(settings.place.car))  # a day without a compass is refused at once
    for warm in (warm_up_late_search, *([warm_up_bound] if params.proves else [])):
        submit(worker, warm)  # on a new machine, the larger half of compiling goes on there meanwhile
    settings = shorter_walk(settings)
    heeded = looked_round(settings, notes, cache, progress, site)
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
        partial(as_wished, morning, morning_problem, plain, params, progress),
        progress,
    )
    effect, unwished = None, morning_problem
    if settings.wishes.other_way_back:
        morning_problem, result = cache.cached(
            step(f"another way back ({params})"),
            partial(with_other_way_back, morning, morning_problem, plain, params, result, progress),
        )
    if any_wish(settings.wishes):
        before = cache.cached(
            step(f"the plan without wishes ({params})"),
            partial(plan_without_wishes, morning, unwished, plain, params),
        )
        effect = effect_of_wishes(settings, morning_problem, result.plan, before)
    progress(OUTLOOK)
    start = StartState(start_post(settings.wishes), START) if settings.wishes.start else FROM_THE_CAR
    compared = plain_walk_of(plain) if start is FROM_THE_CAR else PlainWalk(PlainWalkKind.ANOTHER_START)
    report = report_of(morning, morning_problem, result, compared, curve, start, working, worker)
    return heeded.with_notes(replace(report, wish_effect=effect))


def looked_round(
    settings: TripSettings,
    notes: Path | None,
    cache: StepCache = NO_CACHE,
    progress: Progress = quiet,
    site: Site | None = None,
) -> HeededNotes:
    """Read the ground and lay the ways, closed and kept off as wished and noted.

    Parameters
    ----------
    settings : what the trip file says.
    notes : the ledger; None for none.
    cache : costly steps of an earlier run of the same trip.
    progress : is told as each step begins.
    site : the ground, where it was read before; None to read it.

    Returns
    -------
    HeededNotes
        The morning with its notes.
    """
    looked = cache.cached("the ground and the ways", partial(look_round, settings, progress, site), progress)
    return cache.remembered(THE_NOTES, lambda: heed_notes(with_lines_closed(looked), notes, progress))


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
    plain = () if morning.start_m is not None else plain_routes(morning)
    posts = with_must(morning, posts_of(morning, sum(len(route.stops_xy) for route in plain)))
    return wished_problem(morning, build_problem(morning, posts, plain))


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
    dark_s = clock.civil_dusk_s if clock.evening else clock.civil_dawn_s
    outlook = submit(worker, _outlook, context, settings.seed)
    from_start = start.stops_made == 0 and working is not None
    expected = submit(worker, expected_of_plan, morning, morning_problem, plan) if from_start else None
    stops, legs = stops_of(context), legs_of(context)
    closing = None if working is None else closing_of(context, morning, working)  # before one waits for the worker
    robustness, listening, ways_back = outlook.result()
    return Report(
        title=settings.place.name,
        settings=settings,
        grid=site.grid,
        species=site.card.name,
        car=site.car,
        start=_set_down(context),
        depart=clock.at(plan.depart_s),
        back=clock.at(plan.back_s),
        stops=stops,
        legs=legs,
        sun=sun_times(clock, moon_words(clock.at(dark_s), site.car.lon_deg, site.car.lat_deg)),
        north=context.north,
        males=replace(males_of(site, detectability, morning_problem, plan), steps=_steps(morning, morning_problem)),
        males_passed=males_passed(site.density, [leg.line_m for leg in legs]) * morning_problem.participation,
        plain=plain,
        proof=proof_of(result, morning_problem),
        country=site.country,
        budget_curve=curve.result(),
        robustness=robustness,
        listening=listening,
        verdict=detectability.verdict(),
        warnings=warnings(site, detectability, clock, morning.way),
        notices=site.notices,
        trust=site.habitat.surface.confidence,
        passage=site.ground.passage.facts,
        region=site.region,
        assumptions=site.assumptions,
        cautions=cautions(keeping_off(settings, site.card)),
        layer_stories=site.inputs.stories,
        source_keys=site.source_keys,
        bail_outs=ways_back,
        closing=closing,
        expected=None if expected is None else expected.result(),
        evening=evening_hours(settings.morning, detectability.display, site.card),
    )


def _steps(morning: Morning, morning_problem: MorningProblem) -> MalesSteps:
    within = morning.way.within(longest_out_s(morning.clock, morning.settings))
    return males_steps(morning.site, morning.detectability, within, morning_problem.participation)


def _set_down(context: PlanContext) -> Place | None:
    """Where one is set down; None where one starts at the car or stands at a stop."""
    if context.start.name != START:
        return None
    xy_m = context.morning_problem.posts_xy[context.start.place - 1]
    return place_of(context.site.grid, xy_m, START, context.site.ground.elevation)


def _outlook(
    context: PlanContext, seed: int
) -> tuple[Robustness | None, ListeningOutlook, tuple[tuple[str, FloatArray], ...]]:
    """How the plan stands when things go wrong, what its listening rests on, and the ways back."""
    listening = listening_of(context.site, context.detectability, context.clock, context.morning_problem, context.plan)
    return robustness_of(context, seed), listening, bail_outs(context)
