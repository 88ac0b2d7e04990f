"""The settings of a walk before sunset, from those of a trip: its hours by the sun, its weather by the hour.

What a file says of evenings is evening_settings.py's; the clock is morning_clock.py's.
"""

from dataclasses import dataclass, fields, replace
from datetime import date, datetime, time, timedelta
from typing import ClassVar
from zoneinfo import ZoneInfo

from hushwalk.errors import SettingsError
from hushwalk.grid.points import parse_place
from hushwalk.science.sun import EveningLight, evening_light
from hushwalk.site.campaign_settings import WEATHER
from hushwalk.site.checked import checked
from hushwalk.site.forecast import on_morning, read_forecast
from hushwalk.site.settings import MorningSettings, TripSettings

DUSK = timedelta(hours=1)
"""judgement: where it stays light enough, an hour after sunset stands for dark; and a walk back in the dark takes no
more than an hour after it."""


@checked
@dataclass(frozen=True)
class EveningWalk(MorningSettings):
    """The hours of an evening instead of those of a morning; no file says them directly.

    Parameters
    ----------
    after_dark : whether one may be back in the dark.
    air_assumed : whether nobody said how the air lies.
    weather_of_morning : whether wind and warmth are those of the morning, for lack of others.
    """

    after_dark: bool = False
    air_assumed: bool = False
    weather_of_morning: bool = False

    evening: ClassVar[bool] = True


def in_the_evening(settings: TripSettings, day: date | None = None) -> TripSettings:
    """Give a trip with the hours before sunset in place of the morning.

    Parameters
    ----------
    settings : of the trip.
    day : which evening; that of the trip if not given.

    Returns
    -------
    TripSettings
        One leaves three hours before sunset and is back by the end of civil twilight, or an hour after it where one may
        be back in the dark, if the trip says nothing else. No time is kept for closing in: what is left of the light is
        too short for a search. The weather is that of ``[evening]``, else as forecast for these hours, else that of the
        morning with neutral air.

    Raises
    ------
    SettingsError
        If the sun does not set, or one would be back in the dark without having allowed it.
    """
    own, said = settings.evening, settings.morning
    day = day or said.date
    zone = ZoneInfo(said.time_zone)
    light = evening_light(day, zone, *parse_place(settings.place.car))
    hours = {one.name: getattr(said, one.name) for one in fields(MorningSettings)}
    hours |= {"date": day, "back_by": own.back_by or _back_by(light, zone, after_dark=own.after_dark)}
    hours |= {"leave_not_before": own.leave_not_before, "way": "listen and cross", "closing_in_minutes": None}
    walk = EveningWalk(**hours, after_dark=own.after_dark)
    _check_dark(walk, light, zone)
    return _with_weather(settings, walk)


def _back_by(light: EveningLight, zone: ZoneInfo, *, after_dark: bool) -> time:
    dark = _dark(light)
    return (dark + DUSK if after_dark else dark).astimezone(zone).time().replace(second=0)


def _dark(light: EveningLight) -> datetime:
    if light.sunset is None:
        raise SettingsError("the sun does not set that day; there is no evening to plan for, so choose another day")
    return light.civil_dusk or light.sunset + DUSK


def _check_dark(walk: EveningWalk, light: EveningLight, zone: ZoneInfo) -> None:
    dark = _dark(light).astimezone(zone).replace(tzinfo=None)
    if not walk.after_dark and walk.back_at > dark:
        raise SettingsError(
            f"evening.back_by {walk.back_by:%H:%M} lies after dark, which begins at {dark:%H:%M} on {walk.date}; give "
            "an earlier time, or say after_dark = true under [evening]"
        )


def _with_weather(settings: TripSettings, walk: EveningWalk) -> TripSettings:
    """Take the weather of an evening: what is said of it, else what is forecast, else that of the morning."""
    said = settings.evening.said(*WEATHER)
    before = replace(settings.weather, air="neutral")
    forecast = None if settings.forecast is None else read_forecast(settings.folder)
    evening = replace(settings, morning=walk, weather=before, forecast=None)
    if forecast is not None:
        evening = on_morning(evening, forecast, walk.date, said.keys())
    given = {*said, *(() if evening.forecast is None else evening.forecast.taken)}
    walk = replace(
        walk,
        air_assumed="air" not in given,
        weather_of_morning=not {"wind_at_ear_ms", "temperature_c"} <= given,
    )
    return replace(evening, morning=walk, weather=replace(evening.weather, **said))
