"""A search ends by sunset; that of Duluth on 14 November is about 16:35 CST by the almanac, from memory."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from hushwalk.birds.search.search_story import by_daylight
from hushwalk.errors import SettingsError
from hushwalk.site.place import Place

ZONE = ZoneInfo("America/Chicago")
DULUTH = Place("CAR", (0.0, 0.0), -92.10, 46.79, 200.0, "", "")
SUNSET = datetime(2027, 11, 14, 16, 35, tzinfo=ZONE)


def test_a_search_that_would_last_into_the_dark_ends_by_sunset_and_says_so() -> None:
    window = (datetime(2027, 11, 14, 14, tzinfo=ZONE), datetime(2027, 11, 14, 17, tzinfo=ZONE))
    (begin, end), said = by_daylight(window, DULUTH)
    assert begin == window[0]
    assert abs(end - SUNSET) < timedelta(minutes=4)
    assert f"ends by sunset, {end:%H:%M}, not at 17:00" in said[0]


def test_a_search_by_day_is_left_alone() -> None:
    window = (datetime(2027, 4, 24, 10, tzinfo=ZONE), datetime(2027, 4, 24, 13, tzinfo=ZONE))
    assert by_daylight(window, DULUTH) == (window, ())


def test_a_search_after_sunset_is_refused() -> None:
    window = (datetime(2027, 11, 14, 18, tzinfo=ZONE), datetime(2027, 11, 14, 20, tzinfo=ZONE))
    with pytest.raises(SettingsError, match="after sunset"):
        by_daylight(window, DULUTH)
