from hushwalk.morning.report import Report
from hushwalk.wording.formats import (
    bearing,
    clock,
    compass_point,
    headline,
    offset,
    percent,
    promise,
    towards,
    towards_short,
)
from hushwalk.wording.stop_words import stop_lines


def test_bearings_have_three_digits_and_no_360() -> None:
    assert [bearing(a) for a in (0, 359.6, 45.4, 360)] == ["000°", "000°", "045°", "000°"]
    assert [compass_point(a) for a in (0, 11.3, 348.7, 180)] == ["N", "NNE", "NNW", "S"]


def test_what_is_only_likely_is_never_a_hundred_percent() -> None:
    assert [percent(v) for v in (0.0, 0.5, 0.9999, 1.0)] == ["0 %", "50 %", "99 %", "100 %"]


def test_sides_of_north() -> None:
    assert [offset(v) for v in (3.21, -0.06, 0.04)] == ["3.2° east", "0.1° west", "0.0°"]


def test_the_headline_holds_five_times(report: Report) -> None:
    assert [when for _, when in headline(report)] == ["04:52", "05:02", "05:27", "05:59", "06:25"]
    assert clock(None) == "-"
    assert promise(report).startswith("5 stops, 2.7 km")


def test_a_stop_is_told_whole(report: Report) -> None:
    said = dict(stop_lines(report, report.stops[0]))
    assert {"arrive", "walk on at", "listen towards", "chance to hear one", "listen over", "then to P02"} <= set(said)
    assert said["listen towards"] == "ESE, 107° true, 108° compass"
    assert towards_short(report.stops[0]) == "ESE 108°"
    assert towards(report.stops[2]) == "all round"
