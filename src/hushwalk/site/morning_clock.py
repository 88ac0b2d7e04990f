"""The clock of the morning: when one may leave, when one must be back, and how light it is.

Wall-clock times become seconds since local midnight here, and nowhere else.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from datetime import time as wall_time
from zoneinfo import ZoneInfo

from hushwalk.errors import SettingsError
from hushwalk.science.sun import MorningLight, morning_light, sun_altitude_deg
from hushwalk.site.settings import MorningSettings
from hushwalk.site.time_zone import wrong_zone

HOUR_DEG = 15.0  # definition: the earth turns so far in an hour
EARLIEST_BEFORE_SUNRISE = timedelta(minutes=90)
"""judgement: an hour to walk in and to be listening by the published peak, half an hour to an hour before sunrise."""


@dataclass(frozen=True)
class Clock:
    """The window of one morning.

    Parameters
    ----------
    midnight : start of the local civil day, aware, in the trip's zone.
    light : dawn and sunrise of the day; sunrise is never None.
    earliest_s, latest_s : leave not before, be back by, seconds since ``midnight`` on a running clock [s].
    """

    midnight: datetime
    light: MorningLight
    earliest_s: float
    latest_s: float

    @property
    def window_s(self) -> float:
        """Length of the window [s]."""
        return self.latest_s - self.earliest_s

    @property
    def sunrise_s(self) -> float:
        """Sunrise [s]."""
        assert self.light.sunrise is not None  # noqa: S101 - morning_clock refuses such days
        return self.seconds(self.light.sunrise)

    @property
    def civil_dawn_s(self) -> float:
        """Civil dawn, or the start of the window where it is light all night [s]."""
        return self.seconds(self.light.civil_dawn) if self.light.civil_dawn else self.earliest_s

    def at(self, seconds: float) -> datetime:
        """Wall-clock time, right across a change of the clocks."""
        return (self.midnight.astimezone(UTC) + timedelta(seconds=seconds)).astimezone(self.midnight.tzinfo)

    def seconds(self, when: datetime) -> float:
        """Seconds since midnight on a running clock."""
        return (when - self.midnight.astimezone(UTC)).total_seconds()


def morning_clock(settings: MorningSettings, lon_deg: float, lat_deg: float) -> Clock:
    """Lay out the clock of a morning.

    Parameters
    ----------
    settings : of the morning.
    lon_deg : longitude [deg].
    lat_deg : latitude [deg].

    Returns
    -------
    Clock
        Times as seconds since local midnight.

    Raises
    ------
    SettingsError
        If the sun does not rise that day, a time falls into the hour that a change of clocks skips, or the window is
        empty.
    """
    zone = ZoneInfo(settings.time_zone)
    midnight = datetime.combine(settings.date, wall_time(), zone)
    light = morning_light(settings.date, zone, lon_deg, lat_deg)
    if light.sunrise is None:
        noon = datetime.combine(settings.date, wall_time(), UTC) + timedelta(hours=12 - lon_deg / HOUR_DEG)
        up = float(sun_altitude_deg(noon, lon_deg, lat_deg)) > 0
        raise SettingsError(
            f"the sun {'does not set' if up else 'does not rise'} on {settings.date} at latitude {lat_deg:.2f}; there "
            "is no dawn to plan for, so choose another morning.date"
        )
    latest = _wall("morning.back_by", settings, settings.back_by, zone)
    if settings.leave_not_before is None:
        earliest = max(light.sunrise - EARLIEST_BEFORE_SUNRISE, midnight.astimezone(UTC))
    else:
        earliest = _wall("morning.leave_not_before", settings, settings.leave_not_before, zone)
    bare = Clock(midnight, light, 0.0, 0.0)
    clock = Clock(midnight, light, bare.seconds(earliest), bare.seconds(latest))
    if clock.window_s <= 0:
        raise SettingsError(
            f"morning.back_by {settings.back_by:%H:%M} is before one would leave ({clock.at(clock.earliest_s):%H:%M}, "
            f"sunrise is {light.sunrise.astimezone(zone):%H:%M}); "
            + _mend_of_window(settings, wrong_zone(settings.date, settings.time_zone, lon_deg, lat_deg))
        )
    return clock


def _mend_of_window(settings: MorningSettings, wrong: tuple[float, str] | None) -> str:
    if wrong is not None:
        error_h, there = wrong
        side = "ahead of" if error_h > 0 else "behind"
        return (
            f"the clock of {settings.time_zone} runs {abs(error_h):g} hours {side} "
            f"that of {there}, where the car stands: look at morning.time_zone, and at place.car"
        )
    return "give a later back_by or an earlier leave_not_before"


def _wall(key: str, settings: MorningSettings, wall: wall_time, zone: ZoneInfo) -> datetime:
    when = datetime.combine(settings.date, wall, zone)
    if when.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != when.replace(tzinfo=None):
        raise SettingsError(
            f"{key} {wall:%H:%M} does not exist on {settings.date} in {settings.time_zone}: the clocks go "
            "forward then; give a time before or after the skipped hour"
        )
    return when
