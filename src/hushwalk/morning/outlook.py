"""How good the plan is and how well it stands: the males expected, the proof, the budget curve, what delays cost.

The stops themselves are told in describe.py.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from hushwalk.grid.points import to_lonlat, usng_text
from hushwalk.hearing.coverage import Coverage
from hushwalk.hearing.listener import EVIDENCE, Evidence, evidence_db
from hushwalk.hearing.spacing import distance_curve, spacing_advice
from hushwalk.morning.closing_times import whole_morning
from hushwalk.morning.describe import PlanContext
from hushwalk.morning.heard_in_bouts import gains_in_bouts, silent_along, worth_in_bouts
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.morning.report import (
    DelayLoss,
    DisplayChance,
    EvidenceLevel,
    LeaveOut,
    ListeningOutlook,
    Males,
    NotVisited,
    Proof,
    Robustness,
)
from hushwalk.planning.analysis.explain import budget_curve, why_not
from hushwalk.planning.analysis.timetable import Delay, drop_order, what_if_late, what_if_slower
from hushwalk.planning.model.plan import Plan, Result, Visit
from hushwalk.site.detectability import Detectability, availability_at
from hushwalk.site.morning_clock import Clock
from hushwalk.site.site import Site

BUDGETS = 6  # judgement: enough points to see where more time stops paying
SLOWER = 0.2  # judgement: legs take a fifth longer on a bad day
LATE_MIN = 20.0  # judgement: an alarm that was overslept a little
USNG_100_M = 6  # definition: digits of a square of 100 m


def males_of(site: Site, detectability: Detectability, morning_problem: MorningProblem, plan: Plan) -> Males:
    """Expected males heard on the planned walk, with both levels of evidence and the range of the density.

    Parameters
    ----------
    site : the ground of the trip.
    detectability : what can be heard there.
    morning_problem : posts, times and chances.
    plan : the plan of that problem.

    Returns
    -------
    Males
        Expected, with range and both levels of evidence.

    Notes
    -----
    Low and high take the density and the participation at their published ends together; they are no interval.
    """
    levels = {level: _expected(level, detectability, morning_problem, plan) for level in EVIDENCE}
    expected = worth_in_bouts(morning_problem.problem, plan, morning_problem.bouts)
    low_share, high_share = site.habitat.density_range
    morning = detectability.display
    return Males(
        expected=expected,
        low=expected * low_share * morning.participation_low / morning.participation,
        high=expected * high_share * morning.participation_high / morning.participation,
        focal=levels["focal"],
        middle=levels["middle"],
        pessimistic=levels["pessimistic"],
    )


def _expected(level: Evidence, detectability: Detectability, morning_problem: MorningProblem, plan: Plan) -> float:
    """Males expected at one level of evidence; what is heard at a lower one is known from the problem."""
    if not plan.visits:
        return 0.0
    posts, soundscape = [visit.post - 1 for visit in plan.visits], detectability.soundscape
    added_db = evidence_db(level) - evidence_db(soundscape.listener.evidence)
    if added_db <= 0:
        heard = detectability.lowered(morning_problem.heard.of_posts(posts), added_db)
    else:
        heard = soundscape.at_evidence(level).coverage(morning_problem.posts_xy[posts])
    return _caught(heard, plan.visits, morning_problem)


def _caught(heard: Coverage, visits: Sequence[Visit], morning_problem: MorningProblem) -> float:
    """Males expected of some visits, each male once; row k of ``heard`` is visit k."""
    cells = np.unique(heard.chance.indices)
    silent = silent_along(heard.chance[:, cells], visits, morning_problem.bouts)
    return float(morning_problem.males[cells] @ (1 - silent[-1])) * morning_problem.participation


def listening_of(
    site: Site, detectability: Detectability, clock: Clock, morning_problem: MorningProblem, plan: Plan
) -> ListeningOutlook:
    """What the listening rests on: availability in its three parts, evidence, spacing.

    Parameters
    ----------
    site : the ground of the trip.
    detectability : what can be heard there.
    clock : of the morning.
    morning_problem : posts, times and chances.
    plan : the plan of that problem.

    Returns
    -------
    ListeningOutlook
    """
    far_m, chance = distance_curve(
        morning_problem.heard, morning_problem.posts_xy, detectability.soundscape.params.reach_m
    )
    return ListeningOutlook(
        display=_display_chance(site, detectability, clock, plan) if plan.visits else None,
        levels=evidence_levels(detectability),
        spacing=spacing_advice(far_m, chance, detectability.display),
    )


def evidence_levels(detectability: Detectability) -> tuple[EvidenceLevel, ...]:
    """Give the levels of evidence on how far one hears, with their weights."""
    return tuple(
        EvidenceLevel(evidence, weight, detectability.earshot_of(evidence))
        for evidence, weight in zip(EVIDENCE, detectability.weights, strict=True)
    )


def _display_chance(site: Site, detectability: Detectability, clock: Clock, plan: Plan) -> DisplayChance:
    begin_s = np.array([visit.begin_s for visit in plan.visits])
    dwell_s = float(np.mean([visit.dwell_s for visit in plan.visits]))
    found = availability_at(detectability, site, clock, begin_s, dwell_s)
    hour, cue, chance = (float(np.mean(part)) for part in (found.hour_factor, found.cue, found.chance))
    return DisplayChance(found.participation, hour, cue, chance, clock.evening)


def proof_of(result: Result, morning_problem: MorningProblem) -> Proof:
    """What is proven of the plan: the bound counts stands apart, the plan follows each male's bouts, so it holds."""
    certificate, posts = result.certificate, len(morning_problem.posts_xy)
    if certificate is None:
        return Proof(float("inf"), 1.0, posts)
    followed = replace(certificate, worth=worth_in_bouts(morning_problem.problem, result.plan, morning_problem.bouts))
    return Proof(followed.bound, followed.gap, posts, best=followed.proven, of_bouts=followed.gap - certificate.gap)


def budget_curve_of(morning_problem: MorningProblem, seed: int) -> tuple[tuple[float, float], ...]:
    """Males expected against minutes away from the car."""
    budgets_s = np.linspace(0, morning_problem.problem.budget_s, BUDGETS + 1)[1:]
    problem, bouts = morning_problem.problem, morning_problem.bouts
    rng = np.random.default_rng(seed)
    curve = budget_curve(problem, budgets_s.tolist(), rng, count=lambda plan: worth_in_bouts(problem, plan, bouts))
    return tuple((seconds / 60, males) for seconds, males in curve)


def robustness_of(context: PlanContext, seed: int) -> Robustness | None:
    """What delays cost, in which order to leave stops out, and the best place left out; None where nothing is planned.

    Parameters
    ----------
    context : the plan and all it rests on.
    seed : of the search for a walk by way of the best place left out.
    """
    problem, plan = whole_morning(context), context.plan
    if not plan.visits:
        return None
    names = {visit.post: context.start.stop_name(k) for k, visit in enumerate(plan.visits, start=1)}

    def loss(kind: Literal["slower", "late"], amount: float, delay: Delay) -> DelayLoss:
        return DelayLoss(kind, amount, delay.lost, tuple(sorted(names[post] for post in delay.dropped)))

    delays = (
        loss("slower", SLOWER, what_if_slower(problem, plan, 1 + SLOWER)),
        loss("late", LATE_MIN, what_if_late(problem, plan, 60 * LATE_MIN)),
    )
    left_out = drop_order(problem, plan)
    heard = [_heard_without(context, left_out[:k]) for k in range(len(left_out) + 1)]
    order = tuple(LeaveOut(names[post], heard[0] - heard[k]) for k, post in enumerate(left_out, start=1))
    return Robustness(context.clock.at(context.clock.latest_s), delays, order, _not_visited(context, seed))


def _heard_without(context: PlanContext, left_out: tuple[int, ...]) -> float:
    """Males expected of the visits that are left, each as planned."""
    kept = [visit for visit in context.plan.visits if visit.post not in left_out]
    return float(gains_in_bouts(context.morning_problem.problem, kept, context.morning_problem.bouts).sum())


def _not_visited(context: PlanContext, seed: int) -> NotVisited | None:
    """Force the most promising post that is not visited, and see what that would cost."""
    problem, plan = context.morning_problem.problem, context.plan
    alone = np.asarray(problem.chance @ problem.mass)
    clashing = problem.conflicts[np.isin(problem.conflicts, problem.must_visit).any(axis=1)].ravel()
    alone[[problem.start, problem.end, *plan.posts, *problem.forbidden, *clashing.tolist()]] = -1.0
    post = int(np.argmax(alone))
    if alone[post] <= 0:
        return None
    detour = why_not(problem, plan, post, np.random.default_rng(seed))
    place = usng_text(to_lonlat(context.site.grid.epsg, context.morning_problem.posts_xy[post - 1]), USNG_100_M)
    return NotVisited(place, None if detour.plan is None else detour.lost)
