"""`hushwalk plan --days` in reading order: each walk's ground and hours, all walks together, then each by itself.

How days share the males is joint_days.py's; one morning is morning/story.py's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np

from hushwalk.campaign.campaign_plan import Campaign, Outing, PlannedDay, RainedOut
from hushwalk.campaign.crossings import CrossingEffect, CrossingParams, with_crossings
from hushwalk.campaign.joint_days import (
    DayChoice,
    Days,
    Solve,
    SolvedDay,
    WalkFound,
    bound_of,
    males_in_order,
    males_new,
    solve_days,
    solve_given,
)
from hushwalk.campaign.outings import NOBODY_ELSE, People, cars_of, checked_days, day_settings
from hushwalk.campaign.shared_ground import shared_bound
from hushwalk.errors import HushwalkError
from hushwalk.morning.chosen_way import chosen_way, with_time_kept_free
from hushwalk.morning.heeded_notes import HeededNotes
from hushwalk.morning.look_round import on_another_day
from hushwalk.morning.morning_problem import MorningProblem, problem_on_day
from hushwalk.morning.other_way_back import with_other_way_back
from hushwalk.morning.outlook import budget_curve_of
from hushwalk.morning.plain_plan import plain_plans, plain_walk_of
from hushwalk.morning.solved_plan import RunParams, as_wished, walked_m
from hushwalk.morning.story import heard_and_walked, looked_round, report_of
from hushwalk.morning.walked_twice import APART, walked_twice
from hushwalk.morning.way_of_working import WayOfWorking
from hushwalk.planning.model.plan import Plan
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.planning.warm_up import warm_up
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.settings import TripSettings
from hushwalk.worker import Pending, Worker

PROOF_SEARCH = SolveParams(search_s=None, iterations=200, starts=4)
"""Judgement: what a day can still add is little, and a short search finds what there is to begin the proof with."""


@dataclass(frozen=True, eq=False)
class _Place:
    """The ground from one place of the car, with what is heard and walked there by weather."""

    heeded: HeededNotes
    problem: MorningProblem
    working: WayOfWorking


def plan_campaign(
    settings: TripSettings,
    outings: Sequence[Outing],
    params: RunParams | None = None,
    progress: Progress = quiet,
    worker: Worker | None = None,
    notes: Path | None = None,
    people: People = NOBODY_ELSE,
) -> Campaign:
    """Plan several walks together.

    Parameters
    ----------
    settings : what the trip file says, what is different on some days included.
    outings : mornings and evenings, of one or of two people.
    params : how long to think, for each walk.
    progress : is called as each step begins.
    worker : a second process, if there is one.
    notes : the ledger, which is heeded as by a plan of one day; None for none.
    people : names of two people, and where the car of the second one stands.

    Returns
    -------
    Campaign

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    params, wanted = params or RunParams(), checked_days(settings, outings)
    said = [[day_settings(settings, one, car) for car in cars_of(settings, one, people)] for one in wanted]
    at_place, solve_day = Places(notes, progress), solver(params, progress)
    choices = [[at_place.choice(own) for own in places] for places in said]
    warm_up()
    solved = solve_days(choices, solve_day)
    crossings: list[CrossingEffect] = []
    if people.names:
        progress(Step("seeking stops of the same minutes whose bearings cross"))
        solved, crossings = _with_crossings(solved, wanted)
    males = sum(males_in_order(solved))
    bound = None
    if params.proof_nodes or (params.proof_nodes is None and params.proof_s > 0):
        progress(Step("proving how good the days are together"))
        bound = _bound(solved, choices, params, settings.seed)
    progress(Step("looking what a lost day costs"))
    hours = tuple(dict.fromkeys((one.day, one.evening) for one in wanted))
    rained_out = tuple(_without(lost, wanted, choices, solved, solve_day) for lost in hours) if len(hours) > 1 else ()
    repeated = _repeated(choices, solve_day) if not any(one.person for one in wanted) else None
    reports = [
        planned_day(one, solved, k, at_place, worker, progress, people.name(one)) for k, one in enumerate(wanted)
    ]
    return Campaign(settings.place.name, tuple(reports), males, bound, repeated, rained_out, tuple(crossings))


def best_car(
    settings: TripSettings, outing: Outing, params: RunParams, progress: Progress = quiet, notes: Path | None = None
) -> str:
    """Give the place of the car from which one walk by itself hears most, as it was typed.

    Parameters
    ----------
    settings : of the trip.
    outing : which morning or evening.
    params : how long to think, for each place.
    progress : is called as each step begins.
    notes : the ledger, which is heeded; None for none.

    Returns
    -------
    str
    """
    cars = cars_of(settings, outing)
    if len(cars) == 1:
        return cars[0]
    at_place, solve_day = Places(notes, progress), solver(params, progress)
    choices = [at_place.choice(day_settings(settings, outing, car)) for car in cars]
    warm_up()
    return solve_days([choices], solve_day)[0].choice.car


def _with_crossings(solved: Days, wanted: Sequence[Outing]) -> tuple[dict[int, SolvedDay], list[CrossingEffect]]:
    """Let the two walks of each morning and evening cross bearings in the same minutes, where that is worth it."""
    walks, effects = dict(solved), []
    for k in [k for k, one in enumerate(wanted) if one.person == 0]:
        morning = walks[k].choice.morning
        walker, longest_m = morning.settings.walker, morning.settings.morning.longest_walk_km * 1000
        params = CrossingParams(walker.bearing_error_deg, morning.detectability.mean_earshot_m)
        others = [walk for j, walk in walks.items() if j not in {k, k + 1}]

        pair, loops = (walks[k], walks[k + 1]), morning.settings.wishes.other_way_back

        def allowed(walk: SolvedDay, longest_m: float = longest_m, loops: bool = loops) -> bool:
            own = walk.choice.morning_problem, walk.result.plan
            back_as_before = not (loops and walk.back_as_wished) or walked_twice(*own) <= APART
            return back_as_before and walked_m(*own) <= longest_m

        (walks[k], walks[k + 1]), effect = with_crossings(pair, others, params, allowed, morning.settings.seed)
        effects.append(effect)
    return walks, effects


class Places:
    """Grounds from places of the car, read when they are first asked for.

    Parameters
    ----------
    notes : the ledger; None for none.
    progress : is called as each step begins.
    """

    def __init__(self, notes: Path | None, progress: Progress) -> None:
        self._notes, self._progress = notes, progress
        self._known: dict[tuple[object, ...], _Place] = {}

    def at(self, settings: TripSettings) -> "_Place":
        """Give the ground from the place of the car of some settings, in their weather."""
        key = (settings.place.car, settings.weather, settings.morning.evening)
        if key not in self._known:
            self._known[key] = _place(settings, self._notes, self._progress)
        return self._known[key]

    def choice(self, settings: TripSettings) -> DayChoice:
        """Give one day of some settings, ready to be solved."""
        return _choice(self.at(settings), settings)


def solver(params: RunParams, progress: Progress) -> Solve:
    """Give what plans one day; nothing is proven of it alone."""
    once = replace(params, proof_s=0.0, proof_nodes=None)

    def solve_day(one: DayChoice, given: MorningProblem) -> WalkFound:
        progress(Step(f"choosing stops of {one.morning.settings.morning.date:%d %B} from {one.car}"))
        longest_m = one.morning.settings.morning.longest_walk_km * 1000
        plain = plain_plans(given, longest_m)
        result = as_wished(one.morning, given, plain, once)
        if not one.morning.settings.wishes.other_way_back:
            return WalkFound(given, result)
        other, result = with_other_way_back(one.morning, given, plain, once, result, progress)
        return WalkFound(other, result, walked_twice(other, result.plan) <= APART)

    return solve_day


def _place(settings: TripSettings, notes: Path | None, progress: Progress) -> _Place:
    progress(Step(f"the ground round {settings.place.car}"))
    try:
        heeded = looked_round(settings, notes, progress=progress)
        problem = heard_and_walked(heeded.morning, progress)
    except HushwalkError as fault:
        raise type(fault)(f"with the car at {settings.place.car}: {fault}") from fault
    progress(Step("playing days to choose a way of working"))
    return _Place(heeded, problem, chosen_way(heeded.morning, problem))


def _choice(place: _Place, settings: TripSettings) -> DayChoice:
    morning = on_another_day(place.heeded.morning, settings)
    morning, problem = with_time_kept_free(morning, problem_on_day(place.problem, morning), place.working)
    return DayChoice(settings.place.car, settings.morning.date, morning, problem)


def _bound(solved: Days, choices: Sequence[Sequence[DayChoice]], params: RunParams, seed: int) -> float:
    """The lower of two bounds: one rests on the plans found, the other on prices of ground that all walks pay."""

    def prove(given: MorningProblem) -> float:
        return _most(given, params, seed)

    def look(given: MorningProblem) -> Plan:
        return solve(given.problem, PROOF_SEARCH, np.random.default_rng(seed)).plan

    shared = shared_bound(choices, look, prove)
    added = bound_of(solved, choices, prove)
    return added if shared is None else min(added, shared)


def _most(given: MorningProblem, params: RunParams, seed: int) -> float:
    limits = replace(PROOF_SEARCH, **params.proof_limits())
    found = solve(given.problem, limits, np.random.default_rng(seed)).certificate
    return float("inf") if found is None else found.bound


def _without(
    lost: tuple[date, bool],
    wanted: Sequence[Outing],
    choices: Sequence[Sequence[DayChoice]],
    solved: Days,
    solve_day: Solve,
) -> RainedOut:
    """What the other walks hear where a morning or an evening is lost, for both where two walk."""
    gone = {k for k, one in enumerate(wanted) if (one.day, one.evening) == lost}
    kept = {k: day for k, day in solved.items() if k not in gone}
    as_planned = sum(males_in_order(kept))
    before = {k: day for k, day in kept.items() if k < min(gone)}
    if len(before) == len(kept):
        return RainedOut(lost[0], as_planned, None, lost[1])
    later = [places if k > max(gone) else () for k, places in enumerate(choices)]
    anew = sum(males_in_order(solve_days(later, solve_day, before)))
    return RainedOut(lost[0], as_planned, max(as_planned, anew), lost[1])


def _repeated(choices: Sequence[Sequence[DayChoice]], solve_day: Solve) -> float | None:
    """Males if the first day's best walk by itself were walked every day."""
    if len({id(choice.morning_problem.posts_xy) for places in choices for choice in places}) > 1:
        return None
    first = solve_given(choices[0][0], (), solve_day)
    walked: list[SolvedDay] = []
    males = 0.0
    for places in choices:
        day = SolvedDay(places[0], first.result)
        males += males_new(day, walked)
        walked.append(day)
    return males


def planned_day(
    outing: Outing,
    solved: Days,
    k: int,
    at_place: Places,
    worker: Worker | None,
    progress: Progress,
    person: str = "",
) -> PlannedDay:
    """Report one walk by itself, as a plan of that day alone would be.

    Parameters
    ----------
    outing, solved, k : the walk, all of them, and its place among them.
    at_place : grounds.
    worker : a second process, if there is one.
    progress : is called as it begins.
    person : who walks, where there are two.

    Returns
    -------
    PlannedDay
    """
    progress(Step(f"the sheet of {outing.day:%d %B}"))
    own, choice = solved[k], solved[k].choice
    morning, problem = choice.morning, choice.morning_problem
    place = at_place.at(morning.settings)
    longest_m = morning.settings.morning.longest_walk_km * 1000
    plain = plain_walk_of(plain_plans(problem, longest_m))
    curve = Pending(lambda: budget_curve_of(problem, morning.settings.seed))
    report = report_of(morning, problem, own.result, plain, curve, working=place.working, worker=worker)
    before = [solved[j] for j in solved if j < k]
    heeded = place.heeded.with_notes(report)
    twice = walked_twice(problem, own.result.plan) if morning.settings.wishes.other_way_back else None
    return PlannedDay(outing.day, choice.car, heeded, males_new(own, before), outing.evening, person, twice)
