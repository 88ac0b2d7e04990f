"""How good the plan is and how well it stands: the males expected, the proof, the budget curve, what delays cost.

The stops themselves are told in describe.py.
"""

import numpy as np
from numpy.typing import NDArray

from hushwalk.hearing.spacing import distance_curve, spacing_advice
from hushwalk.planning.plan import Plan, Result
from hushwalk.planning.timetable import budget_curve, if_late, if_slower
from hushwalk.trip.listening import LEAFLESS, Ears, availability_at, heard_from
from hushwalk.trip.morning import Clock
from hushwalk.trip.report import Males, Proof
from hushwalk.trip.settings import Evidence
from hushwalk.trip.stated import Stated, males_on
from hushwalk.trip.survey import Survey

FloatArray = NDArray[np.float64]
LEVELS: tuple[Evidence, Evidence] = ("focal", "pessimistic")


def males_of(survey: Survey, ears: Ears, stated: Stated, plan: Plan) -> Males:
    """Expected males heard on the planned walk, with both levels of evidence and the range of the density.

    Notes
    -----
    Low and high take the density and the participation at their published ends together; they are no interval.
    """
    posts = stated.posts_xy[[visit.post - 1 for visit in plan.visits]]
    factor = np.array([visit.factor for visit in plan.visits])
    expected = {level: _expected(survey, ears.at_evidence(level), posts, factor, stated) for level in LEVELS}
    low_share, high_share = survey.habitat.density_range
    morning = ears.display
    return Males(
        expected=plan.worth,
        low=plan.worth * low_share * morning.participation_low / morning.participation,
        high=plan.worth * high_share * morning.participation_high / morning.participation,
        focal=expected["focal"],
        pessimistic=expected["pessimistic"],
    )


def _expected(survey: Survey, ears: Ears, posts: FloatArray, factor: FloatArray, stated: Stated) -> float:
    if len(posts) == 0:
        return 0.0
    heard = heard_from(ears, survey, posts)
    missed = np.ones(heard.grid.n_cells)
    for row, chance in enumerate(factor):
        one = heard.chance[[row]]
        missed[one.indices] *= 1 - one.data * chance
    return float(males_on(survey.density, heard.grid) @ (1 - missed)) * stated.participation


def listening_of(survey: Survey, ears: Ears, clock: Clock, stated: Stated, plan: Plan) -> tuple[str, ...]:
    """What the listening rests on, one sentence each: availability in its three parts, evidence, spacing."""
    told = [_availability_words(survey, ears, clock, plan)] if plan.visits else []
    level = ears.listener.evidence
    told.append(
        f"Planned with {level} evidence: on level ground in leafless hardwood one display is heard half of the time at "
        f"{ears.earshot_m(LEAFLESS):.0f} m; the {_other(level)} level gives "
        f"{ears.at_evidence(_other(level)).earshot_m(LEAFLESS):.0f} m."
    )
    far_m, chance = distance_curve(stated.heard, stated.posts_xy, ears.params.reach_m)
    told.append(spacing_advice(far_m, chance, ears.display).sentence)
    return tuple(told)


def _availability_words(survey: Survey, ears: Ears, clock: Clock, plan: Plan) -> str:
    begin_s = np.array([visit.begin_s for visit in plan.visits])
    dwell_s = float(np.mean([visit.dwell_s for visit in plan.visits]))
    return availability_at(ears, survey, clock, begin_s, dwell_s).sentence()


def _other(level: Evidence) -> Evidence:
    return "pessimistic" if level == "focal" else "focal"


def proof_of(result: Result, stated: Stated) -> Proof:
    """What is proven of the plan, in words."""
    told = result.certificate
    posts = len(stated.posts_xy)
    if told is None:
        return Proof("no proof was asked for", float("inf"), 1.0, posts)
    return Proof(told.sentence, told.bound, told.gap, posts)


def budget_curve_of(stated: Stated) -> tuple[tuple[float, float], ...]:
    """Males expected against minutes away from the car."""
    return tuple((seconds / 60, males) for seconds, males in budget_curve(stated.problem))


def robustness_of(stated: Stated, plan: Plan, clock: Clock) -> tuple[str, ...]:
    """What delays cost, one sentence each."""
    told = []
    for words, changed in (
        ("20 % slower on foot", if_slower(stated.problem, plan, 1.2)),
        ("20 minutes late from the car", if_late(stated.problem, plan, 1200.0)),
    ):
        lost = plan.worth - changed.worth
        dropped = [f"P{k:02d}" for k, post in enumerate(plan.posts, start=1) if post not in changed.posts]
        drop = f"; leave out {', '.join(dropped)} to be back by {clock.at(clock.latest_s):%H:%M}" if dropped else ""
        told.append(f"{words}: {lost:.1f} of {plan.worth:.1f} males fewer{drop}")
    return tuple(told)
