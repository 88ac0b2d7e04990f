"""What to expect of a day, in words."""

from datetime import date

import numpy as np
import pytest

from hushwalk.morning.day.day_worth import PlayedDays, shares_of
from hushwalk.morning.day.rehearsed_trip import RehearsedTrip
from hushwalk.morning.day_chances import DayChances, ExpectedDay, Spread, WayWorth
from hushwalk.morning.way_of_working import Way, WayOfWorking, WhyWay
from hushwalk.wording.day_words import compared_words, expected_sentences, share_words, time_sentence
from hushwalk.wording.rehearsal_words import bars, rehearsed_words


def chances(on_time: float = 1.0) -> DayChances:
    one = Spread(1.24, 0.0, 3.0)
    return DayChances(
        days=200,
        heard_chances=(0.1, 0.2, 0.3, 0.4),
        log_chance=0.66,
        on_time=on_time,
        heard=Spread(3.51, 1.0, 7.0),
        tried=one,
        closed_in=one,
        crossed=one,
        found=Spread(0.94, 0.0, 2.0),
        disturbed=one,
        minutes_late=Spread(0.4, 0.0, 0.0),
        found_error=0.05,
        worth=1.1,
        stops_stood=11.0,
    )


@pytest.fixture
def rehearsed() -> RehearsedTrip:
    counts = np.array([0.0, 1.0, 1.0, 20.0])
    played = PlayedDays(chances(0.97), counts, counts, shares_of(counts), counts, counts)
    return RehearsedTrip("A hollow", "Grouse", date(2027, 4, 24), 12, ExpectedDay(90.0, 180.0, chances(0.97)), played)


def test_chances_are_said_in_order() -> None:
    said = " ".join(expected_sentences(ExpectedDay(90.0, 180.0, chances())))
    assert "nothing on 10 % of these days, one male on 20 %, two on 30 %, three or more on 40 %" in said
    assert "3.5 on average, 1 to 7 on eight days in ten" in said
    assert "3.0 hours" in said
    assert "at least one log is found on 66 % of these days, 0.9 logs a day" in said
    assert expected_sentences(None) == ()


def test_minutes_late_are_said_only_where_there_are_any() -> None:
    assert time_sentence(chances()) == "You are back in time on 100 % of the days."
    assert "0.4 minutes late" in time_sentence(chances(0.97))


def test_a_rehearsal_draws_every_number_and_joins_what_is_rare(rehearsed: RehearsedTrip) -> None:
    said = rehearsed_words(rehearsed)
    assert "A hollow, Saturday 24 April 2027: the day played 200 times" in said
    assert "90 minutes kept for closing in" in said
    assert "males within 50 m" in said
    drawn = bars("males heard", shares_of(rehearsed.played.heard))
    assert len(drawn) == 1 + 13
    assert drawn[2].startswith("     1  ########################################")
    assert drawn[-1].split()[0] == "12+"
    assert drawn[-1].endswith("25 %")


def test_rare_and_almost_certain_shares_are_not_rounded_away() -> None:
    assert [share_words(x) for x in (0.0, 0.001, 0.5, 0.999, 1.0)] == ["0 %", "under 1 %", "50 %", "over 99 %", "100 %"]


def test_ways_of_working_stand_side_by_side_and_the_chosen_one_is_marked() -> None:
    ways = tuple(WayWorth(minutes, 4.0, chances()) for minutes in (0.0, 60.0))
    working = WayOfWorking(Way.CLOSE_IN, WhyWay.MOST_LOGS, 3600.0, 300.0, 4.0, ways)
    head, *lines = compared_words(working)
    assert "logs found" in head
    assert [line.split()[:2] for line in lines] == [["0", "min"], ["60", "min"]]
    assert [line.endswith("<- planned for") for line in lines] == [False, True]
    assert compared_words(WayOfWorking(Way.CROSS, WhyWay.CHOSEN, 0.0, 300.0, 4.0)) == ()
