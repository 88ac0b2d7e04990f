"""How long to think, and the plan of a morning's problem: no longer than wished, no worse than a plain walk, quiet.

The search and the proof are the planning room's; what the plan gives is story.py's business.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from hushwalk.errors import NoPlanError, SettingsError
from hushwalk.morning.heard_in_bouts import worth_in_bouts
from hushwalk.morning.look_round import Morning
from hushwalk.morning.morning_problem import MorningProblem, walk_length_m, with_less_walking
from hushwalk.morning.plain_plan import PlainPlan, as_near_as, spread_out
from hushwalk.morning.quieter_plan import quieter_plan
from hushwalk.morning.wishes import without_wishes
from hushwalk.planning.model.plan import Plan, Result
from hushwalk.planning.model.worth import leave_late
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.planning.warm_up import warm_up
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site

# shares of a plan's time that have gone: judgement, as measured on the demo, and good to a factor
CHOOSING = Step("choosing stops", done_before=0.45)
QUIETER_SEARCH = 0.5  # judgement: half of the search finds plans as good as the whole, within half a percent
FIRST_LOOK = 0.25  # judgement: a quarter of the search shows how long the walk will be


@dataclass(frozen=True)
class RunParams:
    """How long to think.

    Parameters
    ----------
    search_s : for the first plan [s].
    proof_s : for the proof behind it [s].
    iterations : search steps; if given, the search stops by steps and not by the clock, and the same seed gives the
        same plan.
    proof_nodes : nodes of the proof; if given, it stops by them and not by the clock, and repeats like the plan.
    """

    search_s: float | None = 2.0
    proof_s: float = 2.0
    iterations: int | None = None
    proof_nodes: int | None = None

    def __post_init__(self) -> None:
        search_s, proof_s = (0.0 if s is None else s for s in (self.search_s, self.proof_s))
        if not (0 <= search_s < np.inf and 0 <= proof_s < np.inf):
            raise SettingsError(f"search_s and proof_s are finite seconds of 0 or more, got {search_s} and {proof_s}")
        if self.search_s is None and self.iterations is None:
            raise SettingsError("search_s and iterations are both None: nothing would end the search; give one of them")
        if (self.iterations is not None and self.iterations < 1) or (self.proof_nodes or 0) < 0:
            raise SettingsError(
                f"iterations are 1 or more and proof_nodes 0 or more, got {self.iterations} and {self.proof_nodes}"
            )

    @property
    def proves(self) -> bool:
        """Whether a proof is wanted at all."""
        return self.proof_nodes is not None or self.proof_s > 0

    def proof_limits(self) -> dict[str, Any]:
        """Limits of the proof as the solver takes them; threads would look at nodes in another order each time."""
        if self.proof_nodes is None:
            return {"proof_s": self.proof_s}
        return {"proof_s": None, "proof_nodes": self.proof_nodes, "threads": 1}


def search_of(params: RunParams, share: float) -> SolveParams:
    """Limits of a search that takes so large a share of the plan's."""
    seconds = None if params.search_s is None else params.search_s * share
    steps = None if params.iterations is None else max(1, round(params.iterations * share))
    return SolveParams(search_s=seconds, iterations=steps)


def solved(
    site: Site,
    morning_problem: MorningProblem,
    plain: tuple[PlainPlan, ...],
    settings: TripSettings,
    params: RunParams,
    progress: Progress = quiet,
) -> Result:
    """Solve, on less walking time if the walk would be longer than the person wants, and prove the last answer only.

    Parameters
    ----------
    site : the ground of the trip.
    morning_problem : posts, times and chances.
    plain : walks that need no plan, the best first; the search begins at them too.
    settings : what the trip file says.
    params : how long to think.
    progress : is told as each step begins.

    Returns
    -------
    Result
        Plan and certificate; the plan is worth no less than the best plain walk.
    """
    warm_up(
        proof=params.proves
    )  # compiling takes a minute on a new machine, and must not eat the seconds of the search
    progress(CHOOSING.of(f"among {len(morning_problem.posts_xy)} posts, and proving how good the choice is"))
    search = replace(search_of(params, FIRST_LOOK), iterations=params.iterations)
    whole = replace(search, search_s=params.search_s, **params.proof_limits())
    longest_m = settings.morning.longest_walk_km * 1000
    problem, known = morning_problem.problem, [spread_out(morning_problem.problem, one) for one in plain]
    limits, proven = whole if params.search_s is None else search, False  # by steps the first look is the search itself

    def worth_proving(plan: Plan) -> bool:
        return proven or not plan.visits or walked_m(morning_problem, plan) <= longest_m

    while True:
        rng = np.random.default_rng(settings.seed)
        result = solve(problem, limits, rng, known=known, worth_proving=worth_proving)
        proven = proven or result.certificate is not None
        length_m = walked_m(morning_problem, result.plan)
        if length_m > longest_m and result.plan.visits:
            progress(Step(f"the walk is {length_m / 1000:.1f} km; looking for one of at most {longest_m / 1000:g} km"))
            problem = with_less_walking(problem, result.plan, longest_m / length_m)
        elif limits is search:
            limits = whole
        else:
            break
    limited = replace(morning_problem, problem=problem)
    result = not_below(limited, plain, result, whole, settings)
    progress(Step("looking for a walk that passes fewer males"))
    result = quieter(site, limited, plain, result, search_of(params, QUIETER_SEARCH), settings)
    return replace(result, plan=leave_late(problem, result.plan)) if problem.start == problem.end else result


def not_below(
    morning_problem: MorningProblem,
    plain: tuple[PlainPlan, ...],
    result: Result,
    limits: SolveParams,
    settings: TripSettings,
) -> Result:
    """Plan again from the best plain walk where the plan is worth less, its stops as near as it has them.

    Parameters
    ----------
    morning_problem : that was solved.
    plain : walks that need no plan, the best first.
    result : of the problem.
    limits : of the run.
    settings : what the trip file says.

    Returns
    -------
    Result
        Worth no less than the best plain walk: the search begins at it and keeps the best it has met.
    """

    def males(plan: Plan) -> float:
        return worth_in_bouts(morning_problem.problem, plan, morning_problem.bouts)

    if not plain or plain[0].males <= males(result.plan):
        return result
    freed = as_near_as(morning_problem.problem, plain[0])
    known = [(plain[0].stops, plain[0].waits)]
    again = solve(freed, limits, np.random.default_rng(settings.seed), known=known)
    short = walked_m(morning_problem, again.plan) <= settings.morning.longest_walk_km * 1000
    if short and males(again.plan) >= plain[0].males:
        return again
    return replace(again, plan=plain[0].plan, certificate=None)


def quieter(
    site: Site,
    morning_problem: MorningProblem,
    plain: tuple[PlainPlan, ...],
    result: Result,
    search: SolveParams,
    settings: TripSettings,
) -> Result:
    """Give a plan that passes fewer males, where one is worth nearly as much and no less than the best plain walk.

    Parameters
    ----------
    site : the ground of the trip.
    morning_problem : that was solved.
    plain : walks that need no plan, the best first.
    result : of the problem.
    search : limits of each search.
    settings : what the trip file says.

    Returns
    -------
    Result
    """

    def allowed(plan: Plan) -> bool:
        least = plain[0].males if plain else 0.0
        short = walked_m(morning_problem, plan) <= settings.morning.longest_walk_km * 1000
        return short and worth_in_bouts(morning_problem.problem, plan, morning_problem.bouts) >= least

    return quieter_plan(site, morning_problem, result, allowed, search, np.random.default_rng(settings.seed))


def walked_m(morning_problem: MorningProblem, plan: Plan) -> float:
    """Length of the whole walk of a plan [m]."""
    problem = morning_problem.problem
    return walk_length_m(morning_problem.times, [problem.start, *plan.posts, problem.end])


def as_wished(
    morning: Morning,
    morning_problem: MorningProblem,
    plain: tuple[PlainPlan, ...],
    params: RunParams,
    progress: Progress = quiet,
) -> Result:
    """Solve a problem that may hold wishes, to which a plain walk need not keep.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    morning_problem : posts, times and chances.
    plain : walks that need no plan, the best first.
    params : how long to think.
    progress : is called as each step begins.

    Returns
    -------
    Result

    Raises
    ------
    NoPlanError
        If the stops that must be do not fit into the morning.
    """
    wishes = morning.settings.wishes
    known = () if wishes.must or wishes.must_not else plain
    try:
        return solved(morning.site, morning_problem, known, morning.settings, params, progress)
    except NoPlanError:
        if not wishes.must:
            raise
        raise NoPlanError(
            f"no walk by {' and '.join(wishes.must)} is back in time and short enough; take a place out of "
            f"wishes.must, or give a later {morning.settings.morning.key('back_by')}, a larger "
            "morning.longest_walk_km or fewer closing_in_minutes"
        ) from None


def plan_without_wishes(
    morning: Morning, morning_problem: MorningProblem, plain: tuple[PlainPlan, ...], params: RunParams
) -> tuple[MorningProblem, Plan] | None:
    """Give the best walk found from the same posts where nothing is wished; None where there is none.

    Parameters
    ----------
    morning : ground, clock, hearing and ways.
    morning_problem : as wished.
    plain : walks that need no plan, the best first.
    params : how long to think; nothing is proven.

    Returns
    -------
    tuple or None
        Problem and plan.
    """
    free = without_wishes(morning, morning_problem)
    try:
        result = solved(morning.site, free, plain, morning.settings, replace(params, proof_s=0.0, proof_nodes=None))
    except NoPlanError:
        return None
    return free, result.plan
