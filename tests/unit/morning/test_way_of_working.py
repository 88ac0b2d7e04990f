"""How a morning is worked: the trip file first, then earshot, males and time."""

from datetime import date, time

import pytest

from hushwalk.morning.way_of_working import Way, WhyWay, way_of_working
from hushwalk.site.settings import MorningSettings


def morning(**said: object) -> MorningSettings:
    return MorningSettings(date(2027, 4, 24), time(9, 30), "America/Chicago", **said)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("earshot_m", "males", "window_s", "why", "minutes"),
    [
        (300.0, 4.0, 18_000.0, WhyWay.PAYS, 85),
        (200.0, 2.0, 18_000.0, WhyWay.PAYS, 85),
        (199.0, 4.0, 18_000.0, WhyWay.POOR_EARSHOT, 0),
        (300.0, 1.9, 18_000.0, WhyWay.FEW_MALES, 0),
        (300.0, 4.0, 9_000.0, WhyWay.PAYS, 60),  # two fifths of 150 minutes
        (300.0, 4.0, 3_000.0, WhyWay.SHORT_MORNING, 0),  # two fifths of 50 minutes hold no try of 24
    ],
)
def test_the_rule(earshot_m: float, males: float, window_s: float, why: WhyWay, minutes: int) -> None:
    found = way_of_working(morning(), earshot_m, males, window_s)
    assert (found.why, found.kept_free_s) == (why, minutes * 60)
    assert found.way is (Way.CLOSE_IN if minutes else Way.CROSS)
    assert (found.earshot_m, found.males) == (earshot_m, males)


@pytest.mark.parametrize(
    ("said", "way", "minutes"),
    [
        ({"way": "listen and close in"}, Way.CLOSE_IN, 85),
        ({"way": "listen and cross"}, Way.CROSS, 0),
        ({"closing_in_minutes": 0}, Way.CROSS, 0),
        ({"closing_in_minutes": 50}, Way.CLOSE_IN, 50),
        ({"way": "listen and close in", "closing_in_minutes": 120}, Way.CLOSE_IN, 120),
    ],
)
def test_what_the_trip_file_says_goes_before_the_rule(said: dict[str, object], way: Way, minutes: int) -> None:
    for earshot_m, males in ((100.0, 0.5), (400.0, 8.0)):
        found = way_of_working(morning(**said), earshot_m, males, 18_000.0)
        assert (found.way, found.why, found.kept_free_s) == (way, WhyWay.CHOSEN, minutes * 60)
