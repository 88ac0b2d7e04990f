"""Arc fixing takes out what no relaxed walk above the floor goes through, and nothing else that matters."""

import numpy as np
import pytest

from hushwalk.planning.bound.arc_fixing import fix_arcs
from hushwalk.planning.bound.domain import full_domain, legs_of
from hushwalk.planning.bound.forward_labels import fill_forward_labels
from hushwalk.planning.bound.pricing import fill_backward_labels

from .conftest import FREE, Small

NONE = np.zeros(0, np.int64)


def fixed_at(small: Small, floor: float):
    domain = full_domain(small.tables, small.relaxation)
    legs, top = legs_of(small.tables, small.relaxation, small.point, domain, 0, 0)
    backward = fill_backward_labels(small.tables, small.relaxation, small.point, FREE, legs, top, domain, 0, NONE)
    forward = fill_forward_labels(small.tables, small.relaxation, small.point, FREE, NONE, 0)
    args = (small.tables, small.relaxation, small.point, FREE, backward, forward, legs, domain, 0, 0, floor)
    return fix_arcs(*args), domain, legs


def test_what_lies_on_a_walk_above_the_floor_stays_and_the_rest_goes(apart: Small) -> None:
    walks = [(apart.relaxed(stops), stops) for stops in apart.walks() if stops]
    best = max(worth for worth, _ in walks)
    through, domain, legs = fixed_at(apart, 0.9 * best)
    kept = [stops for worth, stops in walks if worth > 0.9 * best + 1e-9]
    posts = {post for stops in kept for post, _, _ in stops}
    begins = {(post, tick) for stops in kept for post, _, tick in stops}
    assert set(np.flatnonzero(domain.post).tolist()) == posts
    for post in range(1, 5):
        for tick in range(legs.opens[post], legs.closes[post] + 1):  # outside of them nothing is looked at
            assert bool(domain.begin[post, tick] and domain.post[post]) == ((post, tick) in begins)
    for stops in kept:
        here, left = 0, None
        for post, dwell, tick in stops:
            if left is not None:
                assert domain.early[here, post] <= tick - apart.leg(here, post, left)
                assert domain.early[here, post] <= domain.late[here, post]
            here, left = post, tick + int(apart.relaxation.dwell[dwell])
    for post in posts:
        most = max(worth for worth, stops in walks if post in {stop[0] for stop in stops})
        assert through[post] == pytest.approx(most, abs=1e-9)


def test_above_the_best_walk_nothing_is_left(apart: Small) -> None:
    best = max(apart.relaxed(stops) for stops in apart.walks() if stops)
    _, domain, _ = fixed_at(apart, best + 1e-6)
    assert not domain.post.any()


def test_no_true_walk_worth_more_is_lost_where_posts_overlap(small: Small) -> None:
    walks = [
        (small.exact(stops), stops)
        for stops in small.walks()
        if stops and len({stop[0] for stop in stops}) == len(stops)
    ]
    best, stops = max(walks, key=lambda walk: walk[0])
    _, domain, _ = fixed_at(small, best - small.point.constant - 1e-9)
    assert all(domain.post[post] and domain.begin[post, tick] for post, _, tick in stops)
