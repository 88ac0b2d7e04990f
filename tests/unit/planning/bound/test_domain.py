"""What may still be on a walk: everything at first, less after given posts, sorted by overlap and by when it opens."""

import numpy as np

from hushwalk.planning.bound.domain import domain_after, full_domain, legs_of

from .conftest import Small, make


def test_a_full_domain_holds_every_post_but_start_end_and_forbidden() -> None:
    small = make(1, forbidden=(3,), must_visit=(2,), conflicts=np.array([[1, 4]]))
    domain = full_domain(small.tables, small.relaxation)
    assert domain.post.tolist() == [False, True, True, False, True]
    assert np.flatnonzero(domain.sure).tolist() == [2]
    open_legs = domain.early <= domain.late
    assert not open_legs[1, 4]
    assert not open_legs[4, 1]
    assert not open_legs[2, 2]
    assert open_legs[0, 1]


def test_posts_of_the_beginning_and_those_that_clash_with_them_are_out() -> None:
    small = make(1, conflicts=np.array([[1, 4]]))
    whole = full_domain(small.tables, small.relaxation)
    domain = domain_after(small.tables, whole, np.array([1]))
    assert domain.post.tolist() == [False, False, True, True, False]
    domain.begin[:] = False
    assert whole.begin.all(), "the domain of the parent is left alone"


def test_legs_are_near_where_targets_are_shared_and_open_when_they_can_be_reached(small: Small, apart: Small) -> None:
    domain = full_domain(small.tables, small.relaxation)
    legs, top = legs_of(small.tables, small.relaxation, small.point, domain, 0, 2)
    for i in range(1, 5):
        near, far = set(legs.near[i, : legs.nears[i]].tolist()), set(legs.far[i, : legs.fars[i]].tolist())
        assert near | far == {1, 2, 3, 4} - {i}
        assert all(small.point.overlap[i, j] > 0 for j in near)
        assert legs.opens[i] == 2 + small.relaxation.quickest[0, i]
        assert legs.closes[i] == 8 - small.relaxation.quickest[i, 0]
        assert np.isclose(top[i], small.point.overlap[:, i].max() * small.relaxation.peak)
        times = small.relaxation.quickest[i][legs.far[i, : legs.fars[i]]]
        assert times.tolist() == sorted(times.tolist())
    legs, _ = legs_of(apart.tables, apart.relaxation, apart.point, full_domain(apart.tables, apart.relaxation), 0, 0)
    assert legs.nears.sum() == 0
