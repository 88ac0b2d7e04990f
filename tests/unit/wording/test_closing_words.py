"""Closing in, in sentences, and the card of bearings against the figures and their sources."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from hushwalk.morning.closing_in import (
    ClosingIn,
    FurtherStop,
    LaterWithout,
    LikelyGround,
    SideStand,
    StopClosing,
    TryTimes,
    UnheardWalk,
    WayIn,
    WaySide,
)
from hushwalk.morning.way_of_working import Way, WayOfWorking, WhyWay
from hushwalk.site.place import Place
from hushwalk.wording import closing_words as words
from hushwalk.wording.card_of_bearings import closing_lines, conduct_lines, reading_lines


def at(hour: int, minute: int) -> datetime:
    return datetime(2027, 4, 24, hour, minute, tzinfo=UTC)


PLACE = Place("", (0.0, 0.0), -91.7, 47.6, 430.0, "15T 1 2", "15T XN 99622 51326")
PAYS = WayOfWorking(Way.CLOSE_IN, WhyWay.PAYS, 5100.0, 300.4, 4.66)
TIMES = TryTimes(
    earliest=at(5, 23),
    latest=at(6, 8),
    latest_long=at(5, 47),
    walk_on_by=at(6, 32),
    without=(LaterWithout("P04", at(6, 21)), LaterWithout("P03", at(6, 40))),
)
WAY = WayIn(WaySide.RIGHT, 40.0, 42.0, None, 158.6, 3.9, PLACE, 310.0, 312.0, 55.0, 1)  # type: ignore[arg-type]
STAND = SideStand(PLACE, 148.2, 3.7, 54.0, 56.0, 305.0, 307.0, 60.0)
GROUND = LikelyGround(5.0, 7.0, 161.0, 0.12, WAY, None, STAND)
UNHEARD = UnheardWalk("P04", (FurtherStop(PLACE, at(7, 54), at(7, 59), 0.22),), 0.22, at(9, 22))
CLOSING = ClosingIn(PAYS, at(9, 23), at(7, 26), (StopClosing("P02", TIMES, (GROUND,)),), UNHEARD)


def test_the_way_of_working_says_why() -> None:
    assert words.way_words(PAYS) == (
        "listen and close in, 85 min are kept free for it; assumed, since half of the displays are heard at 300 m "
        "(200 m or more) and 4.7 males are expected (2 or more)"
    )
    cross = WayOfWorking(Way.CROSS, WhyWay.POOR_EARSHOT, 0.0, 73.0, 4.0)
    assert words.way_words(cross).startswith("listen and cross bearings, no time is kept for closing in; assumed")
    for why in WhyWay:
        assert "{" not in words.way_words(replace(cross, why=why))


def test_the_rule_is_shown_before_a_plan_is_made() -> None:
    assert "listen and cross, since half of the displays are heard at 150 m" in words.way_rule(150.0)
    assert "85 minutes kept free" in words.way_rule(300.0)
    assert words.way_rule(300.0, 500.0).endswith("since one keeps 500 m off the display ground of this bird")


def test_a_try_has_a_latest_begin_and_a_way_to_be_back() -> None:
    assert words.try_words(TIMES, at(7, 26)) == "until 06:08, back here by 06:32"
    assert words.try_words(TIMES, at(6, 0)).endswith("; better before 06:00")
    assert words.try_words(None, at(7, 26)) == ""
    assert "no time" in words.try_words(replace(TIMES, latest=None), at(7, 26))
    assert words.without_words(TIMES) == words.without_words(TIMES, 2) == "P04 06:21, P03 06:40"
    assert words.without_words(TIMES, 1) == "P04 06:21 ..."
    assert words.first_light_words(TIMES, at(5, 4)) == "not before 05:23: dark"
    assert words.first_light_words(TIMES, at(5, 23)) == ""


@pytest.mark.parametrize(
    ("times", "said"),
    [(TIMES, "06:08"), (replace(TIMES, latest=at(8, 0)), "08:00"), (replace(TIMES, latest=None), "-"), (None, "-")],
)
def test_the_column_offers_a_try_as_long_as_there_is_time_for_it(times: TryTimes | None, said: str) -> None:
    assert words.latest_words(times) == said


def test_likely_ground_says_the_way_in_and_where_the_second_bearing_comes_from() -> None:
    assert words.ground_words(GROUND) == (
        "N 007°, 161 m: in by the right, set off 042°, 159 m, 4 min, wade 1 stream, stop at 15T XN 99622 51326, "
        "face 312°; side stand 056°, 148 m, 4 min, at 15T XN 99622 51326, face 307°"
    )
    assert words.ground_words(replace(GROUND, crossed_from="P03")).endswith("; P03 crosses it")
    assert words.ground_words(replace(GROUND, way_in=None, side_stand=None)).endswith("no quiet way in")


def test_the_summary_gives_the_times_and_what_to_do_where_nothing_is_heard() -> None:
    said = words.closing_summary(CLOSING)
    assert "P02 06:08; 21 min earlier for one of 45 min." in said[1]
    assert said[2].startswith("Better before 07:26: later on males display less and a try reaches fewer of them")
    assert said[3].startswith("Nothing heard: the 85 min kept for closing in are unused, walk on from P04: ")
    assert len(words.closing_summary(CLOSING, times_apart=True)) == 3
    late = replace(CLOSING, better_before=at(6, 0))
    assert "still to come: P02 06:08; " in words.closing_summary(late)[1], "the same time as in the column of the sheet"
    assert words.closing_summary(None) == ()
    none_fits = replace(CLOSING, unheard=replace(UNHEARD, stops=()))
    assert "no further stop fits" in words.closing_summary(none_fits)[-1]


def test_the_lines_of_a_stop_leave_out_what_there_is_not() -> None:
    lines = dict(words.stop_closing_lines(CLOSING, "P02", at(5, 4)))
    assert list(lines) == ["close in", "first light", "later, leaving out in this order", "likely ground 1"]
    assert words.stop_closing_lines(CLOSING, "P09", at(5, 4)) == ()
    assert words.stop_closing_lines(None, "P02", at(5, 4)) == ()
    assert "first light" not in dict(words.stop_closing_lines(CLOSING, "P02", at(5, 4) + timedelta(hours=1)))


def test_the_card_holds_the_protocol_with_its_figures() -> None:
    """Steps and figures as published: 30 to 40 degrees, a step of 2 m, two silent stands of 8 min."""
    reading, closing, conduct = ("\n".join(lines()) for lines in (reading_lines, closing_lines, conduct_lines))
    for part in (
        "dead ahead",
        "30 to 40 degrees",
        "2 m aside",
        "rock walls, big trunks, the water's edge",
        "Silent stands",
    ):
        assert part in reading
    for part in ("35 degrees", "65 m off", "24 min, 45 at most", "2 silent stands of 8 min", "Leave the way you came"):
        assert part in closing
    for part in ("Local law", "Never at a lek", "One try a male a morning"):
        assert part in conduct
