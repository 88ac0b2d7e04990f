"""Sun, moon and their light against published values.

US Naval Observatory pages for Golden, Colorado (to the minute, as quoted in the tests of an open solar library);
NREL/TP-560-34302 table A5.1 for the position; Meeus 1998 examples 48.a and 49; Circular 171 coefficients, and against
them the glossary of the American Meteorological Society (sunset 585 to 410 lux, end of civil twilight 3.5 to 2 lux,
of nautical 0.008, of astronomical 6e-4).
"""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from hushwalk.science.moon import moon_lit_fraction
from hushwalk.science.sky_light import moon_lux, sun_lux
from hushwalk.science.sun import sun_altitude_deg, sun_azimuth_deg, sun_events

GOLDEN = (-105.1786, 39.742476)
MST = timezone(timedelta(hours=-7))


@pytest.mark.parametrize(
    ("day", "rise", "sets"),
    [
        (date(2015, 1, 1), "07:22", "16:47"),
        (date(2015, 1, 2), "07:22", "16:48"),
        (date(2015, 1, 3), "07:22", "16:49"),
        (date(2015, 8, 2), "05:00", "19:13"),
    ],
)
def test_minutes_of_the_naval_observatory(day: date, rise: str, sets: str) -> None:
    (up,) = sun_events(day, MST, *GOLDEN)
    (down,) = sun_events(day, MST, *GOLDEN, rising=False)
    assert to_the_minute(up) == rise
    # 16:48:34 on 3 January rounds to 16:49
    assert to_the_minute(down) == sets


def to_the_minute(when: datetime) -> str:
    return (when + timedelta(seconds=30)).strftime("%H:%M")


def test_the_position_of_the_solar_position_algorithm() -> None:
    when = datetime(2003, 10, 17, 12, 30, 30, tzinfo=MST)
    assert 90 - float(sun_altitude_deg(when, *GOLDEN)) == pytest.approx(90 - 39.872046, abs=0.01)  # airless
    assert float(sun_azimuth_deg(when, *GOLDEN)) == pytest.approx(194.340241, abs=0.01)


def test_sunset_belongs_to_the_day_of_the_place() -> None:
    """The algorithm's printed 17:20:19 for 17 October 2003 is the sunset of the 16th: days shorten by 87 s there."""
    (on_17th,) = sun_events(date(2003, 10, 17), MST, *GOLDEN, rising=False)
    (on_16th,) = sun_events(date(2003, 10, 16), MST, *GOLDEN, rising=False)
    assert abs(on_16th - datetime(2003, 10, 16, 17, 20, 19, tzinfo=MST)) < timedelta(seconds=3)
    assert on_17th < datetime(2003, 10, 17, 17, 19, 30, tzinfo=MST)
    (rise,) = sun_events(date(2003, 10, 17), MST, *GOLDEN)
    assert abs(rise - datetime(2003, 10, 17, 6, 12, 43, tzinfo=MST)) < timedelta(seconds=3)


@pytest.mark.parametrize(
    ("day", "rise", "sets"),
    [(date(1996, 7, 5), "07:08:15", "17:01:04"), (date(2004, 12, 4), "04:38:57", "19:02:03")],
)
def test_the_south_against_the_nrel_calculator(day: date, rise: str, sets: str) -> None:
    for rising, said in ((True, rise), (False, sets)):
        (found,) = sun_events(day, UTC, 0.0, -35.0, rising=rising)
        expected = datetime.fromisoformat(f"{day.isoformat()}T{said}+00:00")
        assert abs(found - expected) <= timedelta(seconds=2)


def test_the_lit_moon_of_meeus() -> None:
    """Example 48.a: 12 April 1992, 0h TD; dynamical time ran 59 s ahead of UTC."""
    assert float(moon_lit_fraction(datetime(1992, 4, 11, 23, 59, 1, tzinfo=UTC))) == pytest.approx(0.6786, abs=2e-3)


@pytest.mark.parametrize("new", [datetime(2026, 3, 19, 1, 23, tzinfo=UTC), datetime(1977, 2, 18, 3, 37, tzinfo=UTC)])
def test_new_moons_of_the_observatory_and_of_meeus(new: datetime) -> None:
    """USNO 19 March 2026 01:23 UT; example 49.a JDE 2443192.65118, that is 18 February 1977 03:37:42 TD."""
    hours = np.arange(-24, 24, 0.25)
    lit = moon_lit_fraction([new + timedelta(hours=float(h)) for h in hours])
    # the least lit moment differs from the new moon of the almanac (equal longitudes) by a little
    assert abs(hours[lit.argmin()]) < 4
    assert lit.min() < 0.003


LUX = {  # altitude -> lux, the published cubics evaluated apart from the program, rounded
    -18: 6.4e-4,
    -12: 0.00806,
    -10: 0.0421,
    -8: 0.348,
    -6: 3.41,
    -5: 10.4,
    -4: 29.9,
    -3: 79.1,
    -2: 189,
    -1: 405,
    0: 759,
    1: 1268,
    3: 2689,
    5: 4538,
    10: 11_120,
    20: 27_380,
    30: 46_300,
    60: 103_100,
    90: 128_800,
}


def test_sunlight_of_circular_171() -> None:
    assert sun_lux(list(LUX)) == pytest.approx(list(LUX.values()), rel=0.012)


def test_twilights_of_the_meteorological_glossary() -> None:
    assert 410 <= sun_lux(-50 / 60) <= 585
    assert 2 <= sun_lux(-6.0) <= 3.5
    assert sun_lux(-12.0) == pytest.approx(0.008, rel=0.05)
    assert sun_lux(-18.0) == pytest.approx(6e-4, rel=0.1)


def test_moonlight_of_circular_171() -> None:
    assert moon_lux([90, 45, 20, 10], 1.0) == pytest.approx([0.269, 0.164, 0.058, 0.024], rel=0.02)
    assert moon_lux(45, 0.5) / moon_lux(45, 1.0) == pytest.approx(0.119, abs=0.001)
    assert moon_lux(45, 0.25) / moon_lux(45, 1.0) == pytest.approx(0.032, abs=0.001)


def test_a_place_zone_gives_the_same_moment_as_a_fixed_offset() -> None:
    assert sun_events(date(2015, 1, 2), ZoneInfo("America/Denver"), *GOLDEN) == sun_events(
        date(2015, 1, 2), MST, *GOLDEN
    )
