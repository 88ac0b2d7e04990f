"""How good the plan is and how well it stands: the males expected, the proof, the budget curve, what delays cost.

The stops themselves are told in describe.py.
"""

import numpy as np

from hushwalk.grid.points import to_lonlat, usng_text
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.hearing.listener import Evidence
from hushwalk.hearing.soundscape import Soundscape
from hushwalk.hearing.spacing import distance_curve, spacing_advice
from hushwalk.morning.describe import PlanContext
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.morning.report import Males, Proof
from hushwalk.planning.analysis.explain import budget_curve, why_not
from hushwalk.planning.analysis.timetable import drop_order, what_if_late, what_if_slower
from hushwalk.planning.model.plan import Plan, Result
from hushwalk.site.detectability import Detectability, availability_at
from hushwalk.site.morning_clock import Clock
from hushwalk.site.site import Site

BUDGETS = 6  # judgement: enough points to see where more time stops paying
DROPS = 3  # judgement: more than the first three nobody remembers
USNG_100_M = 6  # definition: digits of a square of 100 m
LEVELS: tuple[Evidence, Evidence] = ("focal", "pessimistic")


def males_of(site: Site, detectability: Detectability, morning_problem: MorningProblem, plan: Plan) -> Males:
    """Expected males heard on the planned walk, with both levels of evidence and the range of the density.

    Notes
    -----
    Low and high take the density and the participation at their published ends together; they are no interval.
    """
    expected = {level: _expected(level, detectability.soundscape, morning_problem, plan) for level in LEVELS}
    low_share, high_share = site.habitat.density_range
    morning = detectability.display
    return Males(
        expected=plan.worth,
        low=plan.worth * low_share * morning.participation_low / morning.participation,
        high=plan.worth * high_share * morning.participation_high / morning.participation,
        focal=expected["focal"],
        pessimistic=expected["pessimistic"],
    )


def _expected(level: Evidence, soundscape: Soundscape, morning_problem: MorningProblem, plan: Plan) -> float:
    """Males expected at one level of evidence; what is heard at the planned level is known from the problem."""
    if not plan.visits:
        return 0.0
    posts = [visit.post - 1 for visit in plan.visits]
    if level == soundscape.listener.evidence:
        heard = morning_problem.heard.of_posts(posts)
    else:
        heard = soundscape.at_evidence(level).coverage(morning_problem.posts_xy[posts])
    missed = np.ones(heard.grid.n_cells)
    for row, visit in enumerate(plan.visits):
        one = heard.chance[[row]]
        missed[one.indices] *= 1 - one.data * visit.factor
    return float(morning_problem.males @ (1 - missed)) * morning_problem.participation


def listening_of(
    site: Site, detectability: Detectability, clock: Clock, morning_problem: MorningProblem, plan: Plan
) -> tuple[str, ...]:
    """What the listening rests on, one sentence each: availability in its three parts, evidence, spacing."""
    lines = [_availability_words(site, detectability, clock, plan)] if plan.visits else []
    level = detectability.soundscape.listener.evidence
    lines.append(
        f"Planned with {level} evidence: on level ground in leafless hardwood one display is heard half of the time at "
        f"{detectability.level.earshot_m(LEAFLESS):.0f} m; the {_other(level)} level gives "
        f"{detectability.at_evidence(_other(level)).level.earshot_m(LEAFLESS):.0f} m."
    )
    far_m, chance = distance_curve(
        morning_problem.heard, morning_problem.posts_xy, detectability.soundscape.params.reach_m
    )
    lines.append(spacing_advice(far_m, chance, detectability.display).sentence)
    return tuple(lines)


def _availability_words(site: Site, detectability: Detectability, clock: Clock, plan: Plan) -> str:
    begin_s = np.array([visit.begin_s for visit in plan.visits])
    dwell_s = float(np.mean([visit.dwell_s for visit in plan.visits]))
    return availability_at(detectability, site, clock, begin_s, dwell_s).sentence()


def _other(level: Evidence) -> Evidence:
    return "pessimistic" if level == "focal" else "focal"


def proof_of(result: Result, morning_problem: MorningProblem) -> Proof:
    """What is proven of the plan, in words."""
    certificate = result.certificate
    posts = len(morning_problem.posts_xy)
    if certificate is None:
        return Proof("no proof was asked for", float("inf"), 1.0, posts)
    return Proof(certificate.sentence, certificate.bound, certificate.gap, posts)


def budget_curve_of(morning_problem: MorningProblem, seed: int) -> tuple[tuple[float, float], ...]:
    """Males expected against minutes away from the car."""
    budgets_s = np.linspace(0, morning_problem.problem.budget_s, BUDGETS + 1)[1:]
    curve = budget_curve(morning_problem.problem, budgets_s.tolist(), np.random.default_rng(seed))
    return tuple((seconds / 60, males) for seconds, males in curve)


def robustness_of(context: PlanContext, seed: int) -> tuple[str, ...]:
    """What delays cost, which stops to leave out first, and why the next best place is not on the walk."""
    problem, plan = context.morning_problem.problem, context.plan
    if not plan.visits:
        return ()
    names = {visit.post: context.begun.stop_name(k) for k, visit in enumerate(plan.visits, start=1)}
    back_by = context.clock.at(context.clock.latest_s)
    sentences = []
    for mishap in (what_if_slower(problem, plan), what_if_late(problem, plan)):
        left_out = ", ".join(sorted(names[post] for post in mishap.dropped))
        drop = f"; leave out {left_out} to be back by {back_by:%H:%M}" if left_out else ""
        sentences.append(f"{mishap.words}: {mishap.lost:.0%} of the males are lost{drop}.")
    first = [names[post] for post in drop_order(problem, plan)[:DROPS]]
    sentences.append(f"If time runs short, leave out {', then '.join(first)}.")
    return (*sentences, *_why_not(context, seed))


def _why_not(context: PlanContext, seed: int) -> list[str]:
    """Force the most promising post that is not visited, and say what that would cost."""
    problem, plan = context.morning_problem.problem, context.plan
    alone = np.asarray(problem.chance @ problem.mass)
    alone[[problem.start, problem.end, *plan.posts, *problem.forbidden]] = -1.0
    post = int(np.argmax(alone))
    if alone[post] <= 0:
        return []
    detour = why_not(problem, plan, post, np.random.default_rng(seed))
    place = usng_text(to_lonlat(context.site.grid.epsg, context.morning_problem.posts_xy[post - 1]), USNG_100_M)
    if detour.plan is None:
        return [f"The best place left out, {place}, cannot be reached and left in time."]
    return [f"The best place left out, {place}: to stop there as well would cost {detour.lost:.0%} of the males."]
