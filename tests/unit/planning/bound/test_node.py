"""The bound of one node: where a walk lies, what multipliers price, and never below any walk of the node."""

import numpy as np
import pytest

from hushwalk.planning.bound.domain import domain_after, full_domain
from hushwalk.planning.bound.node import (
    bound_node,
    earliest_leave,
    moved,
    multiplier,
    no_tangent,
    set_multipliers,
    step_size,
    tangent_at_walk,
    with_repeated,
)

from .conftest import FREE, Small, make

NONE = np.zeros(0, np.int64)


def test_where_a_walk_lies_is_summed_by_hand(small: Small) -> None:
    walk = np.array([[1, 3, 1], [0, 1, 1], [2, 4, 6]])
    tangent = tangent_at_walk(small.tables, small.relaxation, walk, 3)
    chance = small.problem.chance.toarray()
    x = np.array([chance[i] * small.relaxation.factor[w, t] for i, w, t in walk.T])
    assert tangent.seen == pytest.approx(-np.log1p(-x).sum(axis=0))
    assert tangent.summed == pytest.approx(x.sum(axis=0) - (x[:-1] * x[1:]).sum(axis=0))
    assert tangent.visits.tolist() == [0, 2, 0, 1, 0]


def test_the_last_of_given_posts_is_left_after_all_legs_and_shortest_dwells(small: Small) -> None:
    first = small.leg(0, 2, 0) + 1
    assert earliest_leave(small.tables, small.relaxation, NONE) == 0
    assert earliest_leave(small.tables, small.relaxation, np.array([2])) == first
    assert earliest_leave(small.tables, small.relaxation, np.array([2, 4])) == min(first + small.leg(2, 4, 0) + 1, 9)


def test_repeated_posts_cost_and_missed_sure_ones_pay() -> None:
    small = make(0, must_visit=(2,))
    domain = full_domain(small.tables, small.relaxation)
    visits = np.array([0.0, 1.5, 0.0, 1.0, 0.5])
    prices = [multiplier(small.relaxation, domain, visits, post) for post in range(1, 5)]
    assert prices[0] < 0 < prices[1]
    assert prices[2:] == [0.0, 0.0]
    before = small.point.gain.copy()
    own = set_multipliers(small.relaxation, domain, visits, small.point)
    assert own == pytest.approx(-sum(prices))
    assert (small.point.gain - before)[1:].max(axis=1) == pytest.approx(prices)


def test_the_step_is_the_best_of_those_tried(small: Small) -> None:
    domain, here = full_domain(small.tables, small.relaxation), no_tangent(small.tables)
    to = tangent_at_walk(small.tables, small.relaxation, np.array([[1, 3], [0, 1], [2, 4]]), 2)
    far = step_size(small.tables, small.relaxation, domain, here, to)
    assert far == 1.0, "from nothing, the whole walk is worth most"
    half = moved(here, to, 0.5)
    assert half.seen == pytest.approx(0.5 * to.seen)
    assert half.visits == pytest.approx(0.5 * to.visits)


def test_a_post_that_walks_repeat_becomes_critical(small: Small) -> None:
    domain = full_domain(small.tables, small.relaxation)
    assert with_repeated(NONE, domain, np.array([0.0, 1.0, 2.0, 1.0, 0.0])).tolist() == [2]
    assert with_repeated(NONE, domain, np.array([0.0, 1.0, 1.0, 1.0, 0.0])).tolist() == []


@pytest.mark.parametrize("fixed", [[], [4], [2, 1]], ids=len)
def test_no_walk_of_the_node_is_worth_more(small: Small, fixed: list[int]) -> None:
    posts, once = np.array(fixed, np.int64), [1, 2, 3, 4]
    whole = full_domain(small.tables, small.relaxation)
    found = bound_node(
        small.tables, small.relaxation, posts, no_tangent(small.tables), FREE, 6, 0.0, whole, NONE, 0
    )  # fmt: skip
    best = [-np.inf] * 6
    for stops in small.walks(fixed):
        names = [stop[0] for stop in stops]
        if all(names.count(post) <= 1 for post in once):
            branch = names[len(fixed)] if len(names) > len(fixed) else 5
            best[branch] = max(best[branch], small.exact(stops))
    assert found.bound >= max(best) - 1e-9
    assert found.bound <= max(1.6 * max(best), 0.0), "and it is not loose either"
    for branch in [1, 2, 3, 4, 5]:
        assert max(found.branch[branch], found.lost) >= best[branch] - 1e-9
    assert not domain_after(small.tables, found.domain, posts).post[fixed].any()
