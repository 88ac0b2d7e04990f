"""Another way back than the way out: a loop instead of there and back, where the person asks for one.

What counts as the same way is walked_twice.py's; what the wish costs is a value of wish_effect.py.
"""

from dataclasses import replace

import numpy as np
import shapely

from hushwalk.errors import NoPlanError
from hushwalk.grid.align import burn
from hushwalk.grid.nearby import distance_to
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import CAR, MorningProblem
from hushwalk.morning.plain_plan import PlainPlan
from hushwalk.morning.solved_plan import RunParams, as_wished
from hushwalk.morning.walked_twice import APART, NEAR_M, ROUND_CAR_M, walked_twice, way_out_and_back
from hushwalk.planning.model.plan import Plan, Result
from hushwalk.progress import Progress, Step, quiet
from hushwalk.walking.avoidance import dearer_graph
from hushwalk.walking.lines import WalkLine, draw_line
from hushwalk.walking.shortest_paths import reach_from

TRIES = 3  # judgement: a fourth way out leads to a loop that was known before
DEARER = 5.0  # judgement: of the pace in the open; a way round is taken while it is up to some six times as long


def with_other_way_back(
    morning: Morning,
    morning_problem: MorningProblem,
    plain: tuple[PlainPlan, ...],
    params: RunParams,
    first: Result,
    progress: Progress = quiet,
) -> tuple[MorningProblem, Result]:
    """Look for the walk worth most of which the way back is another than the way out.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    morning_problem : as wished otherwise.
    plain : walks that need no plan, the best first.
    params : how long to think, for each try.
    first : the best walk found without this wish.
    progress : is called as each step begins.

    Returns
    -------
    tuple
        Problem and plan; where no walk has another way back, those of which least is walked twice.

    Notes
    -----
    The way out of one plan is made dear for the ways back of all posts in the next one, which are then as long as they
    really are. A plan counts as a loop by its own way out.
    """
    tried = [(morning_problem, first)]
    for _ in range(TRIES):
        if walked_twice(tried[-1][0], tried[-1][1].plan) <= APART:
            break
        progress(Step("looking for another way back"))
        other, ways = _ways_back_off(morning_problem, tried[-1])
        try:
            found = as_wished(morning, other, plain, params, progress)
        except NoPlanError:
            break
        tried.append((_with_last_way(other, ways, found.plan), found))
    shares = [walked_twice(problem, result.plan) for problem, result in tried]
    loops = [k for k, share in enumerate(shares) if share <= APART]
    return tried[max(loops, key=lambda k: tried[k][1].plan.worth) if loops else int(np.argmin(shares))]


def _ways_back_off(
    morning_problem: MorningProblem, before: tuple[MorningProblem, Result]
) -> tuple[MorningProblem, dict[int, WalkLine]]:
    """Give the problem whose ways back keep off the way out of a plan, and the line of each by its post."""
    times, problem = morning_problem.times, morning_problem.problem
    graph = times.graph
    grid, car_m, car = graph.ground.grid, times.posts_xy_m[CAR], int(times.nodes[CAR])
    out, _ = way_out_and_back(before[0], before[1].plan)
    lines = [shapely.LineString(line) for line in out if len(line) > 1]
    rows, cols = np.indices(grid.shape)
    far = np.hypot(*(grid.xy(rows.ravel(), cols.ravel()) - car_m).T).reshape(grid.shape) > ROUND_CAR_M
    dear = (distance_to(burn(lines, grid, touched=True), grid) <= NEAR_M) & far
    dearer, ways = dearer_graph(graph, np.where(dear, DEARER, 0.0)), dict[int, WalkLine]()
    for post in range(1, problem.posts):
        nodes = reach_from(dearer, int(times.nodes[post]), targets=times.nodes[[CAR]]).nodes_to(car)
        if len(nodes) > 1 and np.isfinite(times.day_s[post, CAR]):
            quickest_s = float(times.day_s[post, CAR])
            ways[post] = draw_line(graph, nodes, quickest_s, times.posts_xy_m[post], car_m, chosen_on=dearer)
    travel_s = problem.travel_s.copy()
    by_day = 0 if morning_problem.dusk_s is not None else 1
    for post, way in ways.items():
        travel_s[by_day, post, CAR] = max(way.seconds, float(times.day_s[post, CAR]))
    return replace(morning_problem, problem=replace(problem, travel_s=travel_s)), ways


def _with_last_way(morning_problem: MorningProblem, ways: dict[int, WalkLine], plan: Plan) -> MorningProblem:
    """Walk the last leg of a plan the other way; whoever turns back sooner takes the quickest."""
    last = plan.posts[-1] if plan.posts else CAR
    if last not in ways:
        return morning_problem
    times = morning_problem.times
    return replace(morning_problem, times=replace(times, ways={**times.ways, (last, CAR): ways[last]}))
