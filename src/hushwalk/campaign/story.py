"""`hushwalk plan --days` in reading order: each day's ground and hours, all days together, then each day by itself.

How days share the males is joint_days.py's; one morning is morning/story.py's.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np

from hushwalk.campaign.campaign_plan import Campaign, PlannedDay, RainedOut
from hushwalk.campaign.joint_days import (
    DayChoice,
    Days,
    Solve,
    SolvedDay,
    bound_of,
    males_in_order,
    males_new,
    solve_days,
    solve_given,
)
from hushwalk.errors import HushwalkError, SettingsError
from hushwalk.morning.chosen_way import chosen_way, with_time_kept_free
from hushwalk.morning.heeded_notes import HeededNotes
from hushwalk.morning.look_round import on_another_day
from hushwalk.morning.morning_problem import MorningProblem, problem_on_day
from hushwalk.morning.outlook import budget_curve_of
from hushwalk.morning.plain_plan import plain_plans, plain_walk_of
from hushwalk.morning.solved_plan import RunParams, as_wished
from hushwalk.morning.story import heard_and_walked, looked_round, report_of
from hushwalk.morning.way_of_working import WayOfWorking
from hushwalk.morning.wishes import shorter_walk
from hushwalk.planning.model.plan import Result
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.planning.warm_up import warm_up
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.campaign_settings import HOURS, WEATHER, CampaignDay
from hushwalk.site.forecast import on_morning, read_forecast
from hushwalk.site.settings import TripSettings, WeatherSettings
from hushwalk.worker import Pending, Worker

DAYS_MOST = 14  # judgement: beyond two weeks neither weather nor birds are what the plan says
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
    days: Sequence[date],
    params: RunParams | None = None,
    progress: Progress = quiet,
    worker: Worker | None = None,
    notes: Path | None = None,
) -> Campaign:
    """Plan several mornings together.

    Parameters
    ----------
    settings : what the trip file says, what is different on some days included.
    days : the mornings.
    params : how long to think, for each day.
    progress : is called as each step begins.
    worker : a second process, if there is one.
    notes : the ledger, which is heeded as by a plan of one day; None for none.

    Returns
    -------
    Campaign

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    params, wanted = params or RunParams(), checked_days(settings, days)
    said = [[day_settings(settings, day, car) for car in cars_of(settings, day)] for day in wanted]
    at_place, solve_day = Places(notes, progress), solver(params, progress)
    choices = [[at_place.choice(own) for own in places] for places in said]
    warm_up()
    solved = solve_days(choices, solve_day)
    males = sum(males_in_order(solved))
    bound = None
    if params.proof_nodes or (params.proof_nodes is None and params.proof_s > 0):
        progress(Step("proving how good the days are together"))
        bound = bound_of(solved, choices, lambda given: _most(given, params, settings.seed))
    progress(Step("looking what a lost day costs"))
    rained_out = tuple(_without(k, wanted, choices, solved, solve_day) for k in solved) if len(solved) > 1 else ()
    repeated = _repeated(choices, solve_day)
    reports = [planned_day(day, solved, k, at_place, worker, progress) for k, day in enumerate(wanted)]
    return Campaign(settings.place.name, tuple(reports), males, bound, repeated, rained_out)


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
        key = (settings.place.car, settings.weather)
        if key not in self._known:
            self._known[key] = _place(settings, self._notes, self._progress)
        return self._known[key]

    def choice(self, settings: TripSettings) -> DayChoice:
        """Give one day of some settings, ready to be solved."""
        return _choice(self.at(settings), settings)


def solver(params: RunParams, progress: Progress) -> Solve:
    """Give what plans one day; nothing is proven of it alone."""

    def solve_day(one: DayChoice, given: MorningProblem) -> Result:
        progress(Step(f"choosing stops of {one.morning.settings.morning.date:%d %B} from {one.car}"))
        longest_m = one.morning.settings.morning.longest_walk_km * 1000
        plain = plain_plans(given, longest_m)
        return as_wished(one.morning, given, plain, replace(params, proof_s=0.0, proof_nodes=None))

    return solve_day


def checked_days(settings: TripSettings, days: Sequence[date]) -> tuple[date, ...]:
    """Give the days in their order.

    Raises
    ------
    SettingsError
        If a day comes twice, there are too many, or a ``[[campaign.exception]]`` is none of them.
    """
    twice = [day for day, many in Counter(days).items() if many > 1]
    if twice:
        raise SettingsError(f"campaign.days names {twice[0]} twice; name each day once")
    if len(days) > DAYS_MOST:
        raise SettingsError(f"{len(days)} days are more than the {DAYS_MOST} that can be planned together; name fewer")
    own = Counter(one.date for one in settings.campaign.exception)
    for day, many in own.items():
        if many > 1:
            raise SettingsError(f"two tables [[campaign.exception]] are of {day}; make one of them")
        if settings.campaign.days and day not in settings.campaign.days:
            raise SettingsError(f"[[campaign.exception]] is of {day}, which is none of campaign.days; add it there")
    return tuple(sorted(days))


def campaign_days(settings: TripSettings, many: int | None) -> tuple[date, ...]:
    """Give the days that are planned: so many from the day of the trip on, else those of the trip file."""
    if many is None:
        return settings.campaign.days
    return tuple(settings.morning.date + timedelta(days=k) for k in range(many))


def cars_of(settings: TripSettings, day: date) -> tuple[str, ...]:
    """Places where the car may stand on a day: that of the day alone where it has one, else all of the trip."""
    own = _own(settings, day)
    return (
        (own.car_at,) if own.car_at is not None else tuple(dict.fromkeys((settings.place.car, *settings.campaign.cars)))
    )


def day_settings(settings: TripSettings, day: date, car: str) -> TripSettings:
    """Give the trip on one day of a campaign, from one place of the car.

    Parameters
    ----------
    settings : of the trip.
    day : the morning.
    car : as it was typed.

    Returns
    -------
    TripSettings
    """
    own = _own(settings, day)
    moved = replace(
        settings,
        place=replace(settings.place, car=car),
        morning=replace(settings.morning, date=day, **own.said(*HOURS)),
    )
    there = _as_forecast(moved)
    return shorter_walk(replace(there, weather=replace(there.weather, **own.said(*WEATHER))))


def _as_forecast(settings: TripSettings) -> TripSettings:
    """Give the weather that is forecast for the day, where that of the trip is; else that of the trip."""
    forecast = None if settings.forecast is None else read_forecast(settings.folder)
    if settings.forecast is None or forecast is None:
        return settings
    said = {item.name for item in fields(WeatherSettings) if getattr(settings.weather, item.name) is not None}
    given = said - set(settings.forecast.taken)
    return on_morning(settings, forecast, settings.morning.date, given)


def _own(settings: TripSettings, day: date) -> CampaignDay:
    return next((one for one in settings.campaign.exception if one.date == day), CampaignDay(date=day))


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


def _most(given: MorningProblem, params: RunParams, seed: int) -> float:
    limits = replace(PROOF_SEARCH, **params.proof_limits())
    found = solve(given.problem, limits, np.random.default_rng(seed)).certificate
    return float("inf") if found is None else found.bound


def _without(
    lost: int, wanted: Sequence[date], choices: Sequence[Sequence[DayChoice]], solved: Days, solve_day: Solve
) -> RainedOut:
    kept = {k: day for k, day in solved.items() if k != lost}
    as_planned = sum(males_in_order(kept))
    before = {k: day for k, day in kept.items() if k < lost}
    if len(before) == len(kept):
        return RainedOut(wanted[lost], as_planned, None)
    later = [places if k > lost else () for k, places in enumerate(choices)]
    anew = sum(males_in_order(solve_days(later, solve_day, before)))
    return RainedOut(wanted[lost], as_planned, max(as_planned, anew))


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
    day: date, solved: Days, k: int, at_place: Places, worker: Worker | None, progress: Progress
) -> PlannedDay:
    """Report one day by itself, as a plan of that day alone would be.

    Parameters
    ----------
    day, solved, k : the morning, all days, and its place among them.
    at_place : grounds.
    worker : a second process, if there is one.
    progress : is called as it begins.

    Returns
    -------
    PlannedDay
    """
    progress(Step(f"the sheet of {day:%d %B}"))
    own, choice = solved[k], solved[k].choice
    morning, problem = choice.morning, choice.morning_problem
    place = at_place.at(morning.settings)
    longest_m = morning.settings.morning.longest_walk_km * 1000
    plain = plain_walk_of(plain_plans(problem, longest_m))
    curve = Pending(lambda: budget_curve_of(problem, morning.settings.seed))
    report = report_of(morning, problem, own.result, plain, curve, working=place.working, worker=worker)
    before = [solved[j] for j in solved if j < k]
    return PlannedDay(day, choice.car, place.heeded.with_notes(report), males_new(own, before))
