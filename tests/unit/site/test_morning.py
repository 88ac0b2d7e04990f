"""The clock of the morning, across changes of the clocks and where the sun does not rise."""

from datetime import UTC, date, datetime, time

import pytest

from hushwalk.errors import SettingsError
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.settings import MorningSettings

CHICAGO = "America/Chicago"


def morning(day: date, back_by: time, zone: str = CHICAGO, leave: time | None = None) -> MorningSettings:
    return MorningSettings(date=day, time_zone=zone, back_by=back_by, leave_not_before=leave)


def test_the_window_opens_90_minutes_before_sunrise() -> None:
    # Duluth, 25 April 2026: sunrise 06:03:00 (skyfield with DE421, from the reference table of dawn times)
    clock = morning_clock(morning(date(2026, 4, 25), time(9, 30)), -92.10, 46.79)
    assert abs(clock.sunrise_s - (6 * 3600 + 180)) <= 2
    assert clock.sunrise_s - clock.earliest_s == pytest.approx(90 * 60)
    assert clock.latest_s == 9.5 * 3600
    assert clock.at(clock.latest_s).strftime("%H:%M %Z") == "09:30 CDT"


def test_seconds_run_on_through_the_hour_that_is_skipped() -> None:
    # 14 March 2027 02:00 CST is followed by 03:00 CDT
    clock = morning_clock(morning(date(2027, 3, 14), time(9), leave=time(1)), -92.1, 46.8)
    assert clock.window_s == 7 * 3600
    assert clock.at(clock.latest_s).astimezone(UTC) == datetime(2027, 3, 14, 14, tzinfo=UTC)


def test_a_time_in_the_skipped_hour_is_refused() -> None:
    with pytest.raises(SettingsError, match=r"leave_not_before 02:30 does not exist on 2027-03-14"):
        morning_clock(morning(date(2027, 3, 14), time(9), leave=time(2, 30)), -92.1, 46.8)


def test_no_sunrise_no_plan() -> None:
    with pytest.raises(SettingsError, match="the sun does not rise"):
        morning_clock(morning(date(2026, 12, 21), time(9), "Europe/Oslo"), 18.9, 69.6)


def test_back_before_leaving_is_told_with_the_sunrise() -> None:
    with pytest.raises(SettingsError, match=r"back_by 03:00 is before .* sunrise is 06:0"):
        morning_clock(morning(date(2026, 4, 25), time(3)), -92.1, 46.8)


def test_the_southern_hemisphere_has_a_dawn_too() -> None:
    clock = morning_clock(morning(date(2026, 10, 1), time(9), "Australia/Hobart"), 147.3, -42.9)
    assert clock.at(clock.sunrise_s).hour == 5
