"""Days planned together: each for what the others leave unheard, and how good they are as a whole.

One day by itself is morning/solved_plan.py's; the story is story.py's.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

import numpy as np

from hushwalk.grid.layer import Layer
from hushwalk.grid.points import to_lonlat, to_metres
from hushwalk.morning.heard_in_bouts import worth_in_bouts
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.planning.model.plan import Plan, Result
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import missed_by, plan_of, route_of
from hushwalk.types import FloatArray

ROUNDS = 2  # judgement: a third round changes next to nothing on the demo
TIES = 1e-9  # definition: of two plans that differ by rounding only the first stays


@dataclass(frozen=True, eq=False)
class DayChoice:
    """A day from one place of the car, ready to be solved: its morning and its problem."""

    car: str
    date: date
    morning: Morning
    morning_problem: MorningProblem


@dataclass(frozen=True, eq=False)
class SolvedDay:
    """A day with its plan, whose gains are those of the day by itself; and whether the way back is as wished."""

    choice: DayChoice
    result: Result
    back_as_wished: bool = True


class WalkFound(NamedTuple):
    """A plan, the problem it is of, with other ways back where they are wished, and whether its own is as wished."""

    morning_problem: MorningProblem
    result: Result
    back_as_wished: bool = True


Days = Mapping[int, SolvedDay]
"""Solved days by their place in the campaign; a day that is lost is left out."""
Solve = Callable[[DayChoice, MorningProblem], WalkFound]
"""Plans one day for what others leave of its problem."""


def unheard_after(days: Sequence[SolvedDay], other: DayChoice) -> FloatArray:
    """Chance that walks leave each target of another walk unheard, 1 where they hear nothing; shape (m,).

    Parameters
    ----------
    days : with their plans.
    other : whose targets are meant.

    Notes
    -----
    Whether a male displays is drawn anew each day, for all walks of that day at once: he does on a walk whose share of
    males that display is p where his draw lies below p. Walks of one day with shares p_i miss him with
    ``integral over u of prod (q_i where u < p_i)``, q_i the chance that one that displays is missed by all stops of
    walk i: for one walk ``1 - p (1 - q)``. On the day of the other walk itself only draws below its own share count.
    """
    unheard = np.ones(other.morning_problem.problem.targets)
    by_date: dict[date, list[SolvedDay]] = {}
    for day in days:
        by_date.setdefault(day.choice.date, []).append(day)
    for on, walks in by_date.items():
        own = other.morning_problem.participation if on == other.date else 1.0
        if own <= 0:
            continue
        missed = [(walk.choice.morning_problem.participation, _missed_at(walk, other)) for walk in walks]
        ends = sorted({min(share, own) for share, _ in missed} | {own})
        begin, left = 0.0, np.zeros(len(unheard))
        for end in ends:
            met = [q for share, q in missed if share >= end]
            left += (end - begin) / own * np.prod([np.ones(len(unheard)), *met], axis=0)
            begin = end
        unheard *= left
    return unheard


def _missed_at(day: SolvedDay, other: DayChoice) -> FloatArray:
    """Chance that a walk misses a male that displays at each target of another walk, 1 where it hears nothing."""
    of = day.choice.morning_problem
    return on_targets(missed_by(of.problem, day.result.plan), day.choice, other)


def on_targets(values: FloatArray, own: DayChoice, other: DayChoice) -> FloatArray:
    """Give what holds at the targets of one walk at those of another, by place and evidence; 1 where it says nothing.

    Parameters
    ----------
    values : shape (m,), by target of the first.
    own, other : of whose targets they are, and at whose they are wanted.

    Returns
    -------
    ndarray
        Shape (n,).
    """
    of = own.morning_problem
    places_m = _places_m(other.morning_problem)
    there, here = other.morning_problem.heard.grid, of.heard.grid
    if there.epsg != here.epsg:
        places_m = to_metres(here.epsg, to_lonlat(there.epsg, places_m))
    found = np.ones(len(places_m))
    for level in range(len(of.level_weights)):
        mine, wanted = of.level == level, other.morning_problem.level == level
        cells = np.ones(here.n_cells)
        cells[of.targets[mine]] = values[mine]
        layer = Layer("unheard", "1", here, cells.reshape(here.shape))
        met = np.flatnonzero(wanted)[here.contains(places_m[wanted])]
        found[met] = np.nan_to_num(layer.at(places_m[met]), nan=1.0)
    return found


def _places_m(morning_problem: MorningProblem) -> FloatArray:
    grid, targets = morning_problem.heard.grid, morning_problem.targets
    return grid.xy(targets // grid.n_cols, targets % grid.n_cols)


def given_others(choice: DayChoice, others: Sequence[SolvedDay]) -> MorningProblem:
    """Give the problem of a day in which males that other days hear count for less."""
    problem = choice.morning_problem.problem
    missed = np.ones(problem.targets) if problem.missed is None else problem.missed
    missed = missed * unheard_after(others, choice)
    return replace(choice.morning_problem, problem=replace(problem, missed=missed))


def solve_days(choices: Sequence[Sequence[DayChoice]], solve: Solve, days: Days | None = None) -> dict[int, SolvedDay]:
    """Plan days in turn, each for what all others leave unheard, from the best place of the car.

    Parameters
    ----------
    choices : of each day that is planned, those of its places of the car; none for a day that is lost.
    solve : plans one day.
    days : days whose plans stay as they are.

    Returns
    -------
    dict
        Solved days by their place, those that stay among them.
    """
    solved, fixed = dict(days or {}), set(days or {})
    for _ in range(ROUNDS if sum(map(bool, choices)) > 1 else 1):
        for k, places in enumerate(choices):
            if k in fixed or not places:
                continue
            others = [day for j, day in solved.items() if j != k]
            tried = [solve_given(choice, others, solve) for choice in places]
            worth = [(day.back_as_wished, males_new(day, others)) for day in tried]
            best = max(range(len(tried)), key=worth.__getitem__)
            kept = solved.get(k)
            if kept is None or worth[best] > (kept.back_as_wished, males_new(kept, others) + TIES):
                solved[k] = tried[best]
    return dict(sorted(solved.items()))


def solve_given(choice: DayChoice, others: Sequence[SolvedDay], solve: Solve) -> SolvedDay:
    """Plan one day for what others leave unheard.

    Parameters
    ----------
    choice : ground and problem of the day.
    others : days that are planned already.
    solve : plans one day.

    Returns
    -------
    SolvedDay
        Its plan, by the problem with nothing heard on other days.
    """
    whole = choice.morning_problem
    given = given_others(choice, others)
    planned, result, back_as_wished = solve(choice, given)
    if planned is not given:  # its ways back are other ones, which the walk keeps
        problem = replace(planned.problem, missed=whole.problem.missed)
        choice = replace(choice, morning_problem=replace(planned, problem=problem))
    own = choice.morning_problem.problem
    return SolvedDay(choice, replace(result, plan=_again(own, result.plan), certificate=None), back_as_wished)


def _again(problem: Problem, plan: Plan) -> Plan:
    return plan_of(problem, *route_of(problem, plan))


def males_new(day: SolvedDay, others: Sequence[SolvedDay]) -> float:
    """Males expected to be heard on a day that none of some other days hears."""
    own = given_others(day.choice, others)
    return worth_in_bouts(own.problem, day.result.plan, own.bouts)


def males_in_order(days: Days) -> list[float]:
    """Males expected to be heard on each day that no day before it hears; their sum is that of all days together."""
    solved = [day for _, day in sorted(days.items())]
    return [males_new(day, solved[:k]) for k, day in enumerate(solved)]


def bound_of(days: Days, choices: Sequence[Sequence[DayChoice]], prove: Callable[[MorningProblem], float]) -> float:
    """Males that no plans of these days can exceed.

    Parameters
    ----------
    days : as planned.
    choices : of each day, those of its places of the car.
    prove : gives what no plan of a problem can exceed.

    Returns
    -------
    float

    Notes
    -----
    Males heard by sets of stops are monotone and submodular. So for plans P and any others S of the same days,
    ``f(S) <= f(P) + sum over days of max over S_d [f(P and S_d) - f(P)]``; what a day could still add to all plans is
    a problem of its own, in which what P hears counts no more, and is bounded like that of a single day.

    References
    ----------
    nemhauser_1978
    """
    solved, total = [day for _, day in sorted(days.items())], 0.0
    for k, day in enumerate(solved):
        own = given_others(day.choice, solved[:k])
        total += float(_again(own.problem, day.result.plan).worth)
    for k, places in enumerate(choices):
        total += max((prove(_left(choice, k, days)) for choice in places), default=0.0)
    return total


def _left(choice: DayChoice, k: int, days: Days) -> MorningProblem:
    """Give the problem of what a day could still add to all plans; on the day itself the same males display."""
    own = given_others(choice, [day for j, day in days.items() if j != k])
    if k in days and days[k].choice.car == choice.car:
        more = missed_by(choice.morning_problem.problem, days[k].result.plan)
        missed = own.problem.missed
        own = replace(own, problem=replace(own.problem, missed=more if missed is None else missed * more))
    return own
