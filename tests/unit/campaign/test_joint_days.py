"""Days planned together on posts in a star, held against every pair of walks."""

from collections.abc import Sequence
from datetime import date
from itertools import count, permutations, product
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.campaign.joint_days import (
    DayChoice,
    SolvedDay,
    WalkFound,
    bound_of,
    males_in_order,
    males_new,
    solve_days,
    unheard_after,
)
from hushwalk.campaign.shared_ground import shared_bound
from hushwalk.grid.grid import Grid
from hushwalk.morning.morning_problem import MorningProblem
from hushwalk.planning.model.plan import Plan, Result
from hushwalk.planning.model.problem import Problem
from hushwalk.planning.model.worth import missed_by, plan_of
from hushwalk.planning.solve import SolveParams, solve
from hushwalk.science.bouts import Bouts

RUN = SolveParams(search_s=None, iterations=60, starts=3)
WITHOUT_PAUSE = Bouts(100.0, 35.0, 1.0)  # so often that every stop holds a display
TARGETS = Grid(32615, 500_000.0, 5_200_000.0, 100.0, 1, 4)
DAYS = count(740_000)
MALES = np.array([8.0, 7.0, 6.0, 1.0])


def star(males: np.ndarray, participation: float) -> Problem:
    """Four posts 600 s from the car and 1200 s from one another: an hour reaches two of them."""
    travel = 1200.0 * (1 - np.eye(5))
    travel[0], travel[:, 0] = 600.0, 600.0
    return Problem(
        travel_s=travel,
        chance=csr_array(np.vstack([np.zeros(4), 0.5 * np.eye(4)])),
        weights=males * participation,
        start=0,
        end=0,
        earliest_s=0.0,
        latest_s=3600.0,
        budget_s=3600.0,
        dwell_s=(300.0,),
    )


def choice(
    participation: float, males: np.ndarray = MALES, car: str = "road", east_cells: int = 0, day: int | None = None
) -> DayChoice:
    """A day of its own, if not given, on four target cells, ``east_cells`` of them farther east."""
    grid = Grid(32615, 500_000.0 + 100.0 * east_cells, 5_200_000.0, 100.0, 1, 4)
    given: dict[str, Any] = {"times": None, "heard": SimpleNamespace(grid=grid)}
    problem = MorningProblem(
        star(males, participation),
        np.zeros((4, 2)),
        males=males,
        targets=np.arange(4),
        participation=participation,
        bouts=WITHOUT_PAUSE,
        level=np.zeros(4, dtype=np.int64),
        level_weights=np.ones(1),
        **given,
    )
    no_morning: Any = None
    return DayChoice(car, date.fromordinal(day or next(DAYS)), no_morning, problem)


def solved(_: DayChoice, given: MorningProblem) -> WalkFound:
    return WalkFound(given, solve(given.problem, RUN, np.random.default_rng(1)))


def walk(one: DayChoice, posts: Sequence[int]) -> SolvedDay:
    plan = plan_of(one.morning_problem.problem, np.array([posts, [0] * len(posts)]), np.zeros(len(posts) + 1))
    return SolvedDay(one, Result(plan, None, 0, 0.0))


def together(days: Sequence[SolvedDay]) -> float:
    """Different males of all days, straight from the definition: a male is unheard if he is on every day."""
    unheard = np.ones(4)
    for day in days:
        of = day.choice.morning_problem
        unheard *= 1 - of.participation * (1 - missed_by(of.problem, day.result.plan))
    return float(MALES @ (1 - unheard))


def best_of(one: DayChoice, other: DayChoice) -> float:
    pairs = list(permutations(range(1, 5), 2))
    return max(together([walk(one, a), walk(other, b)]) for a, b in product(pairs, pairs))


@pytest.mark.parametrize("shares", [(1.0, 1.0), (0.6, 0.6), (0.9, 0.3)])
def test_days_are_as_good_as_the_best_of_all_pairs_and_never_above_the_bound(shares: tuple[float, float]) -> None:
    days = [choice(share) for share in shares]
    found = solve_days([[day] for day in days], solved)
    males = males_in_order(found)
    assert sum(males) == pytest.approx(together(list(found.values())), rel=1e-6)
    best = best_of(*days)
    assert sum(males) == pytest.approx(best, rel=0.02)

    def prove(given: MorningProblem) -> float:
        limits = SolveParams(search_s=None, iterations=60, starts=3, proof_s=None, threads=1)
        certificate = solve(given.problem, limits, np.random.default_rng(1)).certificate
        assert certificate is not None
        return certificate.bound

    def look(given: MorningProblem) -> Plan:
        return solve(given.problem, RUN, np.random.default_rng(1)).plan

    choices = [[day] for day in days]
    added, shared = bound_of(found, choices, prove), shared_bound(choices, look, prove)
    assert added >= best - 1e-9
    assert shared is not None
    assert shared >= best - 1e-9
    assert min(added, shared) <= 1.2 * best
    poor = {0: walk(days[0], (4,)), 1: walk(days[1], (4,))}
    assert bound_of(poor, [[day] for day in days], prove) >= best - 1e-9


def test_a_day_that_is_lost_leaves_its_ground_to_the_days_after_it() -> None:
    days = [choice(1.0), choice(1.0), choice(1.0)]
    whole = solve_days([[day] for day in days], solved)
    kept = {k: day for k, day in whole.items() if k != 1}
    anew = solve_days([(), (), [days[2]]], solved, {0: whole[0]})
    assert anew[0] is whole[0]
    assert sum(males_in_order(anew)) >= sum(males_in_order(kept)) - 1e-9


def test_the_better_place_of_the_car_is_taken() -> None:
    poor, rich = choice(1.0, MALES / 10, "lane"), choice(1.0, MALES, "road")
    assert solve_days([[poor, rich]], solved)[0].choice.car == "road"


def test_ground_is_shared_by_place_and_not_by_number() -> None:
    here, east = choice(0.5), choice(0.5, east_cells=1)
    day = walk(here, (2, 3))  # hears the second and the third of its cells: the first and the second farther east
    assert unheard_after([day], choice(0.5)) == pytest.approx([1.0, 0.75, 0.75, 1.0])
    assert unheard_after([day], east) == pytest.approx([0.75, 0.75, 1.0, 1.0])
    assert males_new(walk(east, (1, 2)), [day]) == pytest.approx(0.5 * 0.5 * 0.75 * 15.0)


def test_two_people_of_one_morning_meet_the_same_males() -> None:
    """A male off that morning is off for both: what one hears of him is heard by the other with the plain product."""
    mine, yours = choice(0.6, day=740_500), choice(0.6, day=740_500)
    day = walk(mine, (1, 2))
    assert unheard_after([day], yours) == pytest.approx([0.5, 0.5, 1.0, 1.0])
    both = 0.6 * (
        0.5 * 15.0 + 0.25 * 15.0
    )  # each displaying male of the first two posts: once in two, and half of the rest
    assert sum(males_in_order({0: day, 1: walk(yours, (1, 2))})) == pytest.approx(both)
    apart = solve_days([[mine], [yours]], solved)
    assert set(apart[0].result.plan.posts) != set(apart[1].result.plan.posts)


def test_walks_of_one_day_meet_the_same_males_and_are_counted_so_on_every_other_day() -> None:
    """Against the average over each male's draw, in steps: he displays on a walk whose share lies above his draw."""
    shares = (0.6, 0.3, 0.6)  # morning of one, evening of one, morning of the other, all on one day
    posts = [(1, 2), (2, 3), (2, 4)]
    walks = [walk(choice(share, day=740_600), own) for share, own in zip(shares, posts, strict=True)]
    draws = (np.arange(3000) + 0.5) / 3000
    missed = [missed_by(one.choice.morning_problem.problem, one.result.plan) for one in walks]

    def unheard(share: float, of: Sequence[int]) -> np.ndarray:
        own = draws[draws < share]
        left = [np.prod([missed[k] if u < shares[k] else np.ones(4) for k in of], axis=0) for u in own]
        return np.asarray(np.mean(left, axis=0))

    assert unheard_after(walks, choice(0.5)) == pytest.approx(unheard(1.0, (0, 1, 2)), abs=1e-3)
    assert unheard_after(walks[:2], choice(0.6, day=740_600)) == pytest.approx(unheard(0.6, (0, 1)), abs=1e-3)
    assert unheard_after(walks[:1], choice(0.3, day=740_600)) == pytest.approx(unheard(0.3, (0,)), abs=1e-3)
    all_three = males_in_order(dict(enumerate(walks)))
    assert sum(all_three) == pytest.approx(float(MALES @ (1 - unheard(1.0, (0, 1, 2)))), rel=1e-3)


def test_walks_on_other_ground_have_no_prices_in_common() -> None:
    def nothing(_: MorningProblem) -> Any:
        raise AssertionError

    assert shared_bound([[choice(1.0)], [choice(1.0, east_cells=1)]], nothing, nothing) is None
