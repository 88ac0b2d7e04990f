"""The way of working that finds most logs is chosen, and closing in only where it wins enough."""

from dataclasses import replace

import pytest

from hushwalk.morning.chosen_way import most_logs
from hushwalk.morning.day.compared_ways import choices_min
from hushwalk.morning.day_chances import DayChances, Spread, WayWorth
from hushwalk.morning.way_of_working import Way, WayOfWorking, WhyWay

RULE = WayOfWorking(Way.CLOSE_IN, WhyWay.PAYS, 85 * 60.0, 300.0, 4.0)
NONE = Spread(0.0, 0.0, 0.0)
CHANCES = DayChances(200, (0, 0, 0, 1.0), 0.5, 1.0, *(NONE,) * 7, found_error=0.03, worth=0.0, stops_stood=9.0)


def ways(**worth: float) -> tuple[WayWorth, ...]:
    return tuple(WayWorth(float(name[1:]), 4.0, replace(CHANCES, worth=own)) for name, own in worth.items())


@pytest.mark.parametrize(
    ("worth", "way", "why", "minutes"),
    [
        ({"m0": 0.8, "m30": 1.0, "m60": 1.2, "m90": 1.1}, Way.CLOSE_IN, WhyWay.MOST_LOGS, 60),
        ({"m0": 0.8, "m30": 1.0, "m60": 1.2, "m90": 1.18}, Way.CLOSE_IN, WhyWay.MOST_LOGS, 90),  # as good, more slack
        ({"m0": 0.8, "m30": 0.9, "m60": 0.94}, Way.CROSS, WhyWay.WINS_LITTLE, 0),
        ({"m0": 0.8}, Way.CROSS, WhyWay.WINS_LITTLE, 0),
    ],
)
def test_the_most_logs_decide(worth: dict[str, float], way: Way, why: WhyWay, minutes: int) -> None:
    found = most_logs(RULE, ways(**worth))
    assert (found.way, found.why, found.kept_free_s) == (way, why, minutes * 60)


def test_the_reason_of_the_rule_stands_where_closing_in_wins_little() -> None:
    poor = replace(RULE, way=Way.CROSS, why=WhyWay.POOR_EARSHOT, kept_free_s=0.0)
    assert most_logs(poor, ways(m0=0.5, m30=0.59)).why is WhyWay.POOR_EARSHOT
    assert most_logs(poor, ways(m0=0.5, m30=0.7)).way is Way.CLOSE_IN


def test_on_poor_ground_the_one_bird_is_gone_to_where_that_finds_a_fifth_more() -> None:
    few = replace(RULE, way=Way.CROSS, why=WhyWay.FEW_MALES, kept_free_s=0.0)
    assert most_logs(few, ways(m0=0.31, m30=0.41)).way is Way.CLOSE_IN
    assert most_logs(few, ways(m0=0.31, m30=0.36)).why is WhyWay.FEW_MALES


def test_without_a_plan_the_rule_stands() -> None:
    assert most_logs(RULE, ()) is RULE


def test_no_more_is_compared_than_a_morning_holds_and_the_own_minutes_always() -> None:
    assert choices_min(100.0) == (0.0, 30.0, 60.0, 90.0)
    assert choices_min(100.0, 85.0) == (0.0, 30.0, 60.0, 85.0, 90.0)
    assert choices_min(10.0, 110.0) == (0.0, 110.0)
