"""Given beginnings timed in every way, the branches that follow, and the walk that is traced back."""

import numpy as np
import pytest

from hushwalk.planning.bound.backward_labels import NEVER, SCALES, Prices
from hushwalk.planning.bound.domain import domain_after, full_domain, legs_of
from hushwalk.planning.bound.forward_labels import best_beginning, branch_bounds, fill_forward_labels, trace
from hushwalk.planning.bound.node import earliest_leave
from hushwalk.planning.bound.pricing import fill_backward_labels

from .conftest import FREE, Small, make


def node_of(small: Small, fixed: list[int]):
    posts = np.array(fixed, np.int64)
    domain = domain_after(small.tables, full_domain(small.tables, small.relaxation), posts)
    last, first = (fixed[-1] if fixed else 0), earliest_leave(small.tables, small.relaxation, posts)
    legs, top = legs_of(small.tables, small.relaxation, small.point, domain, last, first)
    none = np.zeros(0, np.int64)
    backward = fill_backward_labels(small.tables, small.relaxation, small.point, FREE, legs, top, domain, last, none)
    forward = fill_forward_labels(small.tables, small.relaxation, small.point, FREE, posts, len(fixed))
    args = (small.tables, small.relaxation, small.point, FREE, backward, forward, domain, last, len(fixed))
    return posts, domain, backward, forward, branch_bounds(*args)


def test_two_given_posts_are_timed_as_well_as_by_hand(apart: Small) -> None:
    posts = np.array([2, 4], np.int64)
    forward = fill_forward_labels(apart.tables, apart.relaxation, apart.point, FREE, posts, 2)
    best: dict[tuple[int, int], float] = {}
    dwell = apart.relaxation.dwell
    for t in range(9):
        for v in range(2):
            left = t + int(dwell[v])
            if t < apart.leg(0, 2, 0) or left >= 9:
                continue
            for s in range(left + apart.leg(2, 4, left), 9):
                for w in range(2):
                    gone = s + int(dwell[w])
                    if gone < 9:
                        worth = apart.gain(2, v, t) + apart.gain(4, w, s)
                        best[w, gone] = max(best.get((w, gone), NEVER), worth)
    assert best
    for (w, gone), worth in best.items():
        assert forward.value[2, w, gone] == pytest.approx(worth)
    assert (forward.value[2] > NEVER / 2).sum() == len(best)


def test_overlap_with_the_post_before_is_taken_off(small: Small) -> None:
    i, j = np.unravel_index(np.argmax(small.point.overlap), (5, 5))
    forward = fill_forward_labels(small.tables, small.relaxation, small.point, FREE, np.array([i, j]), 2)
    dwell, factor = small.relaxation.dwell, small.relaxation.factor
    for w in range(2):
        for gone in range(9):
            if forward.value[2, w, gone] <= NEVER / 2:
                continue
            t = gone - int(dwell[w])
            exact = max(
                small.gain(i, v, s) + small.gain(j, w, t) - small.point.overlap[i, j] * factor[v, s] * factor[w, t]
                for v in range(2)
                for s in range(small.leg(0, i, 0), t)
                if s + dwell[v] + small.leg(i, j, min(s + int(dwell[v]), 8)) <= t
            )
            assert forward.value[2, w, gone] >= exact - 1e-9, "the chord of overlap prices lies above"


def test_time_prices_are_paid_from_leaving_on() -> None:
    small = make(3)
    forward = fill_forward_labels(
        small.tables, small.relaxation, small.point, Prices(0.5, 0.0, 0.0, 0.0), np.zeros(0, np.int64), 0
    )
    assert forward.value[0, 0] == pytest.approx(0.5 * np.arange(9))


@pytest.mark.parametrize("fixed", [[], [3], [1, 2]], ids=len)
def test_branches_are_the_best_relaxed_walks_and_tracing_finds_them(apart: Small, fixed: list[int]) -> None:
    posts, domain, backward, forward, (most, when) = node_of(apart, fixed)
    found: dict[int, float] = {}
    for stops in apart.walks(fixed):
        after = stops[len(fixed)][0] if len(stops) > len(fixed) else 5
        found[after] = max(found.get(after, NEVER), apart.relaxed(stops))
    for branch in [1, 2, 3, 4, 5]:
        if branch not in found:
            assert most[branch] <= NEVER / 2
            continue
        assert most[branch] == pytest.approx(found[branch], abs=1e-9)
        walk, size = trace(
            apart.tables, apart.relaxation, apart.point, FREE, backward, forward, domain, posts, len(fixed), branch,
            int(when[branch]),
        )  # fmt: skip
        stops = [tuple(int(v) for v in row) for row in walk[:, :size].T]
        assert [stop[0] for stop in stops[: len(fixed)]] == fixed
        assert apart.relaxed(stops) == pytest.approx(most[branch], abs=1e-9)


def test_a_stop_begins_when_it_is_best(apart: Small) -> None:
    _, _, backward, _, _ = node_of(apart, [])
    for post in range(1, 5):
        dwell, begin = best_beginning(apart.relaxation, backward, 0, post, 2, 0.0, 0)
        value = backward.arrive[0, post, 0, 2]
        if value > NEVER / 2 and backward.after[0, post, dwell, begin + apart.relaxation.dwell[dwell]] != 0:
            left = backward.leave[0, post, dwell, begin + apart.relaxation.dwell[dwell]]
            assert apart.gain(post, dwell, begin) + left == pytest.approx(value)
    assert SCALES > 1
