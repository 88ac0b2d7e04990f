"""The time zone of a place, and clocks that are not those of the place."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest

from hushwalk.site.time_zone import wrong_zone, zone_at, zone_error_h


@pytest.mark.parametrize(
    ("place", "lon", "lat", "zone"),
    [
        ("Duluth", -92.1, 46.8, "America/Chicago"),
        ("Bangor, Maine", -68.77, 44.8, "America/New_York"),
        ("Whitehorse", -135.06, 60.72, "America/Whitehorse"),
        ("Vaduz", 9.521, 47.141, "Europe/Vaduz"),
        ("Lindau", 9.69, 47.555, "Europe/Berlin"),
        ("Bialowieza", 23.86, 52.7, "Europe/Warsaw"),
    ],
)
def test_places_have_the_zone_of_their_country(place: str, lon: float, lat: float, zone: str) -> None:
    assert zone_at(lon, lat) == zone, place


@pytest.mark.parametrize(
    ("zone", "lon", "lat", "hours"),
    [
        ("America/Chicago", -91.7, 47.6, 0.0),
        ("America/Winnipeg", -91.7, 47.6, 0.0),  # another name for the same clock
        ("Europe/Madrid", -8.5, 42.9, 0.0),
        ("Asia/Shanghai", 76.0, 39.5, 0.0),  # the farthest west that keeps the clock of Beijing
        ("America/Nome", -165.4, 64.5, 0.0),
        ("America/New_York", -87.51, 40.5, 0.0),  # on a state line, where either clock may be meant
        ("America/Chicago", -87.51, 40.5, 0.0),
        ("America/New_York", -91.7, 47.6, 1.0),
        ("America/Chicago", 9.5, 47.1, -7.0),
        ("Europe/Zurich", -91.7, 47.6, 7.0),
    ],
)
def test_a_clock_that_is_not_that_of_the_place_is_doubted(zone: str, lon: float, lat: float, hours: float) -> None:
    midnight = datetime(2027, 4, 25, tzinfo=ZoneInfo(zone))
    assert zone_error_h(midnight, lon, lat) == hours


def test_a_wrong_zone_comes_with_the_right_one() -> None:
    day = date(2027, 4, 25)
    assert wrong_zone(day, "Europe/Zurich", -91.7, 47.6) == (7.0, "America/Chicago")
    assert wrong_zone(day, "America/Winnipeg", -91.7, 47.6) is None
