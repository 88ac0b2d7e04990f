"""Until when one may close in from each stop, worked out on paper for posts in a row."""

from collections.abc import Callable
from datetime import datetime

from hushwalk.morning.closing_times import better_before, try_times, whole_morning
from hushwalk.morning.describe import PlanContext

Made = Callable[..., PlanContext]


def hhmm(moment: datetime | None) -> str:
    return "" if moment is None else f"{moment:%H:%M}"


def test_a_try_may_begin_while_all_that_is_kept_free_covers_it(row_of_posts: Made) -> None:
    # on foot 10 min a leg, 5 min a stop: at P01 05:10 to 05:15, P02 05:25 to 05:30, P03 05:40 to 05:45, back at 06:15;
    # 50 minutes kept free let one walk on 50 minutes later from each of them
    first, second, third = try_times(row_of_posts(), off_trail_in_the_dark=True)
    assert [hhmm(one.walk_on_by) for one in (first, second, third)] == ["06:05", "06:20", "06:35"]
    assert [hhmm(one.latest) for one in (first, second, third)] == ["05:41", "05:56", "06:11"]
    assert [hhmm(one.latest_long) for one in (first, second, third)] == ["05:20", "05:35", "05:50"]
    assert [hhmm(one.earliest) for one in (first, second, third)] == ["05:15", "05:30", "05:45"]


def test_no_try_begins_in_the_dark_off_the_trail(row_of_posts: Made) -> None:
    first, *_, third = try_times(row_of_posts(), off_trail_in_the_dark=False)
    assert (hhmm(first.earliest), hhmm(first.latest), first.latest_long) == ("05:30", "05:41", None)
    assert hhmm(third.earliest) == "05:45"


def test_leaving_stops_out_lets_a_try_begin_later_down_to_going_straight_back(row_of_posts: Made) -> None:
    first, second, third = try_times(row_of_posts(), off_trail_in_the_dark=True)
    # post 3 frees 25 minutes for half of a worth of 3, which is less a minute than half of 2 for the 5 of post 2
    assert [(one.stop, hhmm(one.latest)) for one in first.without] == [("P03", "06:06"), ("P02", "06:31")]
    assert [(one.stop, hhmm(one.latest)) for one in second.without] == [("P03", "06:21")]
    assert third.without == ()


def test_without_time_kept_free_no_try_fits(row_of_posts: Made) -> None:
    for one in try_times(row_of_posts(kept_free_s=0.0), off_trail_in_the_dark=True):
        assert one.latest is None
        assert one.walk_on_by is not None  # just as planned


def test_the_whole_morning_has_back_what_was_kept_free(row_of_posts: Made) -> None:
    context = row_of_posts(kept_free_s=1800.0)
    whole, shorter = whole_morning(context), context.morning_problem.problem
    assert (whole.latest_s - shorter.latest_s, whole.budget_s - shorter.budget_s) == (1800.0, 1800.0)


def test_a_try_is_worth_little_from_an_hour_and_a_half_after_sunrise(row_of_posts: Made) -> None:
    assert hhmm(better_before(row_of_posts())) == "07:30"
