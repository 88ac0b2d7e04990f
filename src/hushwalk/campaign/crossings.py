"""Two people in the same minutes: what bearings of one display from two stops are worth, and walks that seek them.

How two walks share the males is joint_days.py's; which stands are shared is listed by two_people.py.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hushwalk.campaign.joint_days import DayChoice, SolvedDay, given_others, males_new, on_targets
from hushwalk.errors import NoPlanError
from hushwalk.morning.heeded_notes import left_to_learn
from hushwalk.planning.model.clock import excess, run_clock
from hushwalk.planning.model.plan import Plan, Visit
from hushwalk.planning.model.problem import Problem, with_posts
from hushwalk.planning.model.tables import tables_of
from hushwalk.planning.model.worth import plan_of, route_of
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.science.crossing import crossing_area_m2
from hushwalk.types import FloatArray

NEAR_M, FAR_M = 120.0, 600.0  # judgement: nearer, lines hardly cross; farther, both rarely hear the same bird
LEAST_S = 180.0  # judgement: in fewer minutes together hardly any bird displays to both
PLACED_WORTH = 0.5  # judgement: to know where a male is saves half of the morning that hearing him first would take
TRIED = 6  # judgement: further posts add less than the search errs by
SEARCH = SolveParams(search_s=None, iterations=200, starts=4)
"""judgement: a handful of stops moves; more steps find no other ones."""


@dataclass(frozen=True)
class CrossingParams:
    """How bearings err [deg], and the distance at which half of the displays are heard [m]."""

    sd_deg: float
    earshot_m: float


@dataclass(frozen=True)
class CrossingEffect:
    """What walks that seek crossings give and cost: males heard by both together, and males placed, before and after.

    A male counts as placed by the share of what was to be learned of his place that two bearings of one display tell.
    """

    males_before: float
    males: float
    placed_before: float
    placed: float


def males_placed(first: SolvedDay, second: SolvedDay, params: CrossingParams) -> float:
    """Males placed by bearings of one display from two stops of the same minutes.

    Parameters
    ----------
    first, second : two walks of the same hours.
    params : bearings and earshot.

    Returns
    -------
    float
        Males.

    Notes
    -----
    A male that displays in the minutes of both stops is heard from both with the product of the chances of one display;
    what the crossing tells of his place is counted on the scale of information by which a plan counts what is left to
    learn of a known male (heeded_notes.py).
    """
    problem = first.choice.morning_problem.problem
    missed = np.ones(problem.targets)
    for mine in first.result.plan.visits:
        for yours in second.result.plan.visits:
            minutes_s = min(mine.leave_s, yours.leave_s) - max(mine.begin_s, yours.begin_s)
            if minutes_s >= LEAST_S:
                begin_s = max(mine.begin_s, yours.begin_s)
                both = _placed_by(first.choice, mine.post, second.choice, yours.post, params)
                missed *= 1 - both * _displays(problem, begin_s, minutes_s)
    return float(problem.mass @ (1 - missed))


def _displays(problem: Problem, begin_s: float, minutes_s: float) -> float:
    """Chance of a display in some shared minutes, from those of whole stops."""
    at_clock = [float(np.interp(begin_s, problem.clock_s, row)) for row in problem.availability]
    return float(np.interp(minutes_s, [0.0, *problem.dwell_s], [0.0, *at_clock]))


def _place_m(choice: DayChoice, post: int) -> FloatArray:
    return np.asarray(choice.morning_problem.posts_xy[post - 1])


def _placed_by(first: DayChoice, mine: int, second: DayChoice, yours: int, params: CrossingParams) -> FloatArray:
    """Chance that one display is heard from both posts, times what the crossing tells, by target of the first."""
    here, there = _place_m(first, mine), _place_m(second, yours)
    placed = np.zeros(first.morning_problem.problem.targets)
    if not NEAR_M <= float(np.hypot(*(here - there))) <= FAR_M:
        return placed
    row = first.morning_problem.problem.chance[[mine]]
    other = 1 - on_targets(1 - second.morning_problem.problem.chance[[yours]].toarray().ravel(), second, first)
    of = first.morning_problem
    grid, cells = of.heard.grid, of.targets[row.indices]
    area = crossing_area_m2(here, there, grid.xy(cells // grid.n_cols, cells % grid.n_cols), params.sd_deg)
    learned = 1 - np.array([left_to_learn(float(ha), params.earshot_m) for ha in np.minimum(area / 1e4, 1e6)])
    placed[row.indices] = row.data * other[row.indices] * learned
    return placed


def with_crossings(
    pair: tuple[SolvedDay, SolvedDay],
    others: Sequence[SolvedDay],
    params: CrossingParams,
    allowed: Callable[[SolvedDay], bool],
    seed: int,
) -> tuple[tuple[SolvedDay, SolvedDay], CrossingEffect]:
    """Change two walks so that stops of the same minutes cross well, where that is worth the males it costs.

    Parameters
    ----------
    pair : two walks of the same hours, planned for what the other leaves unheard.
    others : walks of other hours.
    params : bearings and earshot.
    allowed : whether a walk keeps what its problem does not say.
    seed : of the searches.

    Returns
    -------
    tuple
        Both walks, and what seeking costs and gives.

    Notes
    -----
    In turn one walk stays and the other is planned to visit one more post that crosses well with a stop of the first,
    and to wait there or elsewhere until the minutes are shared. A change stays where males heard by both, and
    ``PLACED_WORTH`` for each male placed, are worth more together.
    """
    walks = [*pair]

    def both(second: SolvedDay, first: SolvedDay) -> float:
        return males_new(second, [*others, first]) + PLACED_WORTH * males_placed(second, first, params)

    def heard() -> float:
        return males_new(walks[0], others) + males_new(walks[1], [*others, walks[0]])

    before = heard(), males_placed(walks[0], walks[1], params)
    for mover in (1, 0):
        stays = walks[1 - mover]
        best = both(walks[mover], stays)
        for tried in _candidates(walks[mover], stays, others, params, seed):
            if allowed(tried) and both(tried, stays) > best + 1e-9:
                best, walks[mover] = both(tried, stays), tried
    effect = CrossingEffect(before[0], heard(), before[1], males_placed(walks[0], walks[1], params))
    return (walks[0], walks[1]), effect


def _candidates(
    mover: SolvedDay, stays: SolvedDay, others: Sequence[SolvedDay], params: CrossingParams, seed: int
) -> list[SolvedDay]:
    """Walks that share minutes with one that stays: the walk as it is, or by way of one more post, with waits."""
    choice, found = mover.choice, [mover.result.plan]
    given = given_others(choice, [*others, stays]).problem
    for post in _posts_that_cross(choice, stays, params):
        if post not in mover.result.plan.posts:
            try:
                found.append(solve(with_posts(given, (post,)), SEARCH, np.random.default_rng(seed)).plan)
            except NoPlanError:
                continue
    own = choice.morning_problem.problem
    made = [plan for one in found for plan in _in_step(own, plan_of(own, *route_of(own, one)), stays.result.plan)]
    return [replace(mover, result=replace(mover.result, plan=plan)) for plan in made]


def _posts_that_cross(choice: DayChoice, stays: SolvedDay, params: CrossingParams) -> list[int]:
    """The posts from which bearings cross best with those of any stop that stays, the best first."""
    problem = choice.morning_problem.problem
    usable = sorted(set(range(1, problem.posts)) - {*problem.forbidden, problem.start, problem.end})
    places = choice.morning_problem.posts_xy[np.array(usable) - 1]
    worth: dict[int, float] = {}
    for visit in stays.result.plan.visits:
        apart = np.hypot(*(places - _place_m(stays.choice, visit.post)).T)
        for post in np.array(usable)[(apart >= NEAR_M) & (apart <= FAR_M)].tolist():
            placed = _placed_by(choice, post, stays.choice, visit.post, params)
            worth[post] = max(worth.get(post, 0.0), float(problem.mass @ placed) * visit.factor)
    return sorted(worth, key=lambda post: -worth[post])[:TRIED]


def _in_step(problem: Problem, plan: Plan, stays: Plan) -> list[Plan]:
    """The same stops with a wait before one of them, so that it begins with a stop of the walk that stays."""
    made = [plan]
    for k, mine in enumerate(plan.visits):
        for yours in stays.visits:
            if mine.begin_s < yours.begin_s < mine.begin_s + _most_wait(problem, plan) and _apart_s(mine, yours):
                made += _waiting(problem, plan, k, yours.begin_s - mine.begin_s)
    return made


def _apart_s(mine: Visit, yours: Visit) -> bool:
    """Whether the minutes that two stops share are not all that they could share."""
    shared = min(mine.leave_s, yours.leave_s) - max(mine.begin_s, yours.begin_s)
    return shared < min(mine.dwell_s, yours.dwell_s)


def _most_wait(problem: Problem, plan: Plan) -> float:
    return problem.latest_s - plan.back_s


def _waiting(problem: Problem, plan: Plan, k: int, wait_s: float) -> list[Plan]:
    stops, waits = route_of(problem, plan)
    waits = waits.copy()
    waits[k + 1] += wait_s
    begin = np.zeros(len(plan.visits) + 1)
    back, walk, length = run_clock(tables_of(problem), stops, waits, len(plan.visits), begin)
    if excess(tables_of(problem), waits, len(plan.visits), back, walk, length) > 0:
        return []
    return [plan_of(problem, stops, waits)]
