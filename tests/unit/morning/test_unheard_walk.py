"""Further stops where nothing was heard, on what was kept free."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.sparse import csr_array

from hushwalk.morning.describe import PlanContext
from hushwalk.morning.unheard_walk import unheard_walk
from hushwalk.science.bouts import Bouts

Made = Callable[..., PlanContext]


def test_what_is_kept_free_becomes_the_next_best_stops(row_of_posts: Made) -> None:
    # from P03 at 05:45 to posts 4 and 5 and home: 10 + 5 + 10 + 5 + 50 min = 07:05, the last minute of 50 kept free
    found = unheard_walk(row_of_posts(), longest_walk_m=20_000.0, seed=1)
    assert found is not None
    assert found.after == "P03"
    assert [stop.place.name for stop in found.stops] == ["P04", "P05"]
    assert sorted(stop.place.xy_m[0] for stop in found.stops) == [502_050.0, 502_550.0]
    assert found.males == pytest.approx(0.5 * (4 + 5))
    assert f"{found.back:%H:%M}" == "07:05"


def test_stops_that_were_made_are_not_made_again(row_of_posts: Made) -> None:
    found = unheard_walk(row_of_posts(visited=(1, 3), kept_free_s=900.0), longest_walk_m=20_000.0, seed=1)
    assert found is not None
    assert [stop.place.xy_m[0] for stop in found.stops] == [501_050.0]  # post 2 on the way home


def test_the_longest_walk_holds_for_the_whole_morning(row_of_posts: Made) -> None:
    # out to post 3 and back are 3 km; to post 4 and back 4 km, to post 5 and back 5 km
    found = unheard_walk(row_of_posts(), longest_walk_m=4_000.0, seed=1)
    assert found is not None
    assert [stop.place.xy_m[0] for stop in found.stops] == [502_050.0]


def test_without_time_or_room_there_is_no_further_stop(row_of_posts: Made) -> None:
    assert unheard_walk(row_of_posts(kept_free_s=0.0), longest_walk_m=20_000.0, seed=1) is None
    tight = unheard_walk(row_of_posts(kept_free_s=240.0), longest_walk_m=20_000.0, seed=1)
    assert tight is not None
    assert tight.stops == ()
    assert f"{tight.back:%H:%M}" == "06:15"  # as planned


def test_further_stops_count_males_as_the_plan_does_each_through_his_bouts(row_of_posts: Made) -> None:
    # half of the males are in a bout all morning, half in a pause: each stop hears half of the former, 4th and 5th too
    context = row_of_posts(bouts=Bouts(100.0, 1e6, 0.5))
    problem = context.morning_problem.problem
    everywhere = csr_array(np.vstack([np.zeros(5), np.full((5, 5), 0.5)]))
    context.morning_problem.problem = replace(problem, chance=everywhere)
    found = unheard_walk(context, longest_walk_m=20_000.0, seed=1)
    assert found is not None
    assert [stop.males for stop in found.stops] == pytest.approx([15 / 2 * 0.5**4, 15 / 2 * 0.5**5], rel=1e-3)
