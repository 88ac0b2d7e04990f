"""A walk that passes fewer males for next to the same worth: other stops, and legs that keep off good cover.

How many males a walk passes is counted in posts.py.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np

from hushwalk.errors import NoPlanError
from hushwalk.morning.morning_problem import CAR, MorningProblem, way_line
from hushwalk.morning.posts import males_a_metre, males_passed
from hushwalk.morning.quiet_ways import MALE_S
from hushwalk.planning.model.plan import Plan, Result
from hushwalk.planning.model.problem import whole_ticks
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.site.site import Site
from hushwalk.walking.avoidance import dearer_graph
from hushwalk.walking.lines import WalkLine, draw_line
from hushwalk.walking.shortest_paths import reach_from

WORTH_KEPT = 0.99  # judgement: as good as the best plan; a search from another number errs by as much
QUIETER = 0.95  # judgement: the next plan that is tried passes at least a twentieth less
TURNS = 2  # judgement: a third search found nothing that keeps its worth on the demo and on two real trips
LONGER_MOST = 1.1  # judgement: a leg at most a tenth longer than the quickest
LEAST = 0.002  # judgement: less is not worth another way; some legs of a walk give a few hundredths together
SPARES = 0.97  # judgement: a leg that passes hardly fewer by itself stays the quickest
FAR = 1e9  # definition: more males than any walk passes


def quieter_plan(
    site: Site,
    morning_problem: MorningProblem,
    result: Result,
    allowed: Callable[[Plan], bool],
    search: SolveParams,
    rng: np.random.Generator,
) -> Result:
    """Search for plans that pass ever fewer males, and take the last that is worth nearly as much.

    Parameters
    ----------
    site : the ground of the trip.
    morning_problem : that was solved.
    result : of it.
    allowed : whether a plan keeps what the problem does not say.
    search : limits of each search.
    rng : where all chance comes from.

    Returns
    -------
    Result
        Worth at least 0.99 of the plan given; its certificate holds for the new plan too, with the same bound.
    """
    problem, best = morning_problem.problem, result
    passing = morning_problem.times.along
    if passing is None or not result.plan.visits:
        return result
    passing = np.nan_to_num(passing, posinf=FAR)
    for _ in range(TURNS):
        most = QUIETER * sum(passing[leg] for leg in _legs(problem.start, best.plan))
        try:
            tried = solve(replace(problem, length_m=passing, max_length_m=most), search, rng).plan
        except NoPlanError:  # by the stops that must be there is no quieter walk, or none is found
            break
        kept = tried.worth >= WORTH_KEPT * result.plan.worth and allowed(tried)
        if not kept or passed_by(site, morning_problem, tried) >= passed_by(site, morning_problem, best.plan):
            break
        proven = best.certificate and replace(best.certificate, worth=tried.worth)
        best = replace(best, plan=tried, certificate=proven)
    return best


def passed_by(site: Site, morning_problem: MorningProblem, plan: Plan) -> float:
    """Males expected within 50 m of the legs of a plan, each once, if all displayed."""
    return males_passed(site.density, [line.line_m for line in _lines(morning_problem, plan)])


def with_quiet_legs(site: Site, morning_problem: MorningProblem, plan: Plan) -> MorningProblem:
    """Walk legs by daylight round good cover, where that takes no more of the whole minutes of the timetable.

    Parameters
    ----------
    site : the ground of the trip.
    morning_problem : posts and ways.
    plan : of it.

    Returns
    -------
    MorningProblem
        With another way for each leg that then passes fewer males; the plan and its times stay as they are.
    """
    times, lines = morning_problem.times, _lines(morning_problem, plan)
    found, taken = _round_cover(site, morning_problem, plan), dict[int, WalkLine]()
    found = {k: way for k, way in found.items() if _spares(site, lines[k], way)}
    fewest = males_passed(site.density, [line.line_m for line in lines])
    for tried in (found, *({k: way} for k, way in found.items())):  # all together first: out and back are often one way
        walked = {**dict(enumerate(lines)), **taken, **tried}
        passed = males_passed(site.density, [line.line_m for line in walked.values()])
        if passed <= (1 - LEAST) * fewest:
            fewest, taken = passed, {**taken, **tried}
    legs = _legs(morning_problem.problem.start, plan)
    ways = {legs[k]: way for k, way in taken.items()}
    return replace(morning_problem, times=replace(times, ways={**times.ways, **ways})) if ways else morning_problem


def _spares(site: Site, quickest: WalkLine, way: WalkLine) -> bool:
    """Whether a leg by itself passes so much fewer males that the other way is worth it."""
    return males_passed(site.density, [way.line_m]) <= SPARES * males_passed(site.density, [quickest.line_m])


def _round_cover(site: Site, morning_problem: MorningProblem, plan: Plan) -> dict[int, WalkLine]:
    """Another way for each leg by daylight, by its number, where there is one in the same whole minutes."""
    times, problem = morning_problem.times, morning_problem.problem
    legs = enumerate(zip(_legs(problem.start, plan), _departs(plan), strict=True))
    by_day = {
        k: leg
        for k, (leg, depart_s) in legs
        if morning_problem.in_daylight(leg, depart_s) and leg not in morning_problem.times.ways
    }
    per_m = np.nan_to_num(males_a_metre(site.density).values)
    if not by_day or not per_m.any():
        return {}
    dearer, ways = dearer_graph(times.graph, MALE_S * per_m), dict[int, WalkLine]()
    for k, leg in by_day.items():
        start, end = (int(times.nodes[place]) for place in leg)
        nodes = reach_from(dearer, start, targets=times.nodes[[leg[1]]]).nodes_to(end)
        if len(nodes) < 2:  # noqa: PLR2004 - a way has two ends
            continue
        quickest_s, (start_m, end_m) = float(times.day_s[leg]), times.posts_xy_m[list(leg)]
        way = draw_line(times.graph, nodes, quickest_s, start_m, end_m, chosen_on=dearer)
        if way.seconds <= min(LONGER_MOST * quickest_s, float(whole_ticks(times.day_s[leg], problem.step_s))):
            ways[k] = way
    return ways


def _legs(start: int, plan: Plan) -> list[tuple[int, int]]:
    return list(pairwise([start, *plan.posts, CAR]))


def _departs(plan: Plan) -> list[float]:
    return [plan.depart_s, *(visit.leave_s for visit in plan.visits)]


def _lines(morning_problem: MorningProblem, plan: Plan) -> list[WalkLine]:
    legs = _legs(morning_problem.problem.start, plan)
    return [way_line(morning_problem, leg, depart_s) for leg, depart_s in zip(legs, _departs(plan), strict=True)]
