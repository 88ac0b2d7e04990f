"""The clock of a morning or an evening: when one may leave, when one must be back, and how light it is.

Wall-clock times become seconds since local midnight here, and nowhere else.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from datetime import time as wall_time
from zoneinfo import ZoneInfo

from hushwalk.errors import SettingsError
from hushwalk.science.sun import HOUR_DEG, EveningLight, MorningLight, evening_light, morning_light, sun_altitude_deg
from hushwalk.site.settings import MorningSettings
from hushwalk.site.time_zone import wrong_zone

EARLIEST_BEFORE_SUNRISE = timedelta(minutes=90)
"""judgement: an hour to walk in and to be listening by the published peak, half an hour to an hour before sunrise."""

EARLIEST_BEFORE_SUNSET = timedelta(hours=3)
"""judgement: an hour to walk out and to be listening from two hours before sunset on, when displays become more."""


NO_DUSK = EveningLight(None, None, None)


@dataclass(frozen=True)
class Clock:
    """The window of one morning, or of one evening.

    Parameters
    ----------
    midnight : start of the local civil day, aware, in the trip's zone.
    light : dawn and sunrise of the day; sunrise is never None.
    earliest_s, latest_s : leave not before, be back by, seconds since ``midnight`` on a running clock [s].
    dusk : sunset and dusk of the day.
    evening : whether the window is that of an evening; then sunset is never None.
    """

    midnight: datetime
    light: MorningLight
    earliest_s: float
    latest_s: float
    dusk: EveningLight = NO_DUSK
    evening: bool = False

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

    @property
    def civil_dusk_s(self) -> float:
        """Civil dusk, or the end of the window where it is light all night [s]."""
        return self.seconds(self.dusk.civil_dusk) if self.dusk.civil_dusk else self.latest_s

    @property
    def day_min(self) -> float | None:
        """From sunrise to sunset; None where the sun does not do both [min]."""
        if self.dusk.sunset is None or self.light.sunrise is None:
            return None
        return (self.dusk.sunset - self.light.sunrise).total_seconds() / 60

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
        If the sun does not rise that day, or not set in the evening, a time falls into the hour that a change of
        clocks skips, or the window is empty.
    """
    zone = ZoneInfo(settings.time_zone)
    midnight = datetime.combine(settings.date, wall_time(), zone)
    light = morning_light(settings.date, zone, lon_deg, lat_deg)
    dusk = evening_light(settings.date, zone, lon_deg, lat_deg)
    first = dusk.sunset if settings.evening else light.sunrise
    if light.sunrise is None or first is None:
        noon = datetime.combine(settings.date, wall_time(), UTC) + timedelta(hours=12 - lon_deg / HOUR_DEG)
        up = float(sun_altitude_deg(noon, lon_deg, lat_deg)) > 0
        raise SettingsError(
            f"the sun {'does not set' if up else 'does not rise'} on {settings.date} at latitude {lat_deg:.2f}; there "
            f"is no {'dusk' if settings.evening else 'dawn'} to plan for, so choose another morning.date"
        )
    latest = _wall(settings.key("back_by"), settings.back_at, settings, zone)
    if settings.leave_not_before is None:
        before = EARLIEST_BEFORE_SUNSET if settings.evening else EARLIEST_BEFORE_SUNRISE
        earliest = max(first - before, midnight.astimezone(UTC))
    else:
        leave = datetime.combine(settings.date, settings.leave_not_before)
        earliest = _wall(settings.key("leave_not_before"), leave, settings, zone)
    bare = Clock(midnight, light, 0.0, 0.0)
    clock = Clock(midnight, light, bare.seconds(earliest), bare.seconds(latest), dusk, settings.evening)
    if clock.window_s <= 0:
        raise SettingsError(
            f"{settings.key('back_by')} {settings.back_by:%H:%M} is before one would leave "
            f"({clock.at(clock.earliest_s):%H:%M}, {'sunset' if settings.evening else 'sunrise'} is "
            f"{first.astimezone(zone):%H:%M}); "
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


def _wall(key: str, wall: datetime, settings: MorningSettings, zone: ZoneInfo) -> datetime:
    when = wall.replace(tzinfo=zone)
    if when.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != wall:
        raise SettingsError(
            f"{key} {wall:%H:%M} does not exist on {wall:%Y-%m-%d} in {settings.time_zone}: the clocks go "
            "forward then; give a time before or after the skipped hour"
        )
    return when
