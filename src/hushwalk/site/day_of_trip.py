"""One day of a trip by itself: which one is meant, and what the trip file says of it alone - hours, weather, car.

Which days are planned together is campaign/outings.py's; the hours of an evening are evening.py's.
"""

from dataclasses import fields, replace
from datetime import date, timedelta

from hushwalk.errors import SettingsError
from hushwalk.site.campaign_settings import HOURS, WEATHER, CampaignDay
from hushwalk.site.evening import in_the_evening
from hushwalk.site.forecast import on_morning, read_forecast
from hushwalk.site.settings import TripSettings, WeatherSettings
from hushwalk.site.time_zone import day_fault


def day_meant(settings: TripSettings, day: date | int) -> date:
    """Give the day that is meant by a date, or by its number among the days of the trip, 1 for the first.

    Days are counted in the order of the calendar: those of ``campaign.days``, else of ``campaign.evenings``, else from
    the day of the trip on. A date need be none of them.

    Raises
    ------
    SettingsError
        If the trip has no day of that number, or no walk can be planned on that date.
    """
    if isinstance(day, int):
        said = settings.campaign
        named = sorted(said.days or said.evenings)
        if named and day > len(named):
            key = "campaign.days" if said.days else "campaign.evenings"
            names = ", ".join(map(str, named))
            raise SettingsError(f"--day {day}: {key} names only {names}; give a number up to {len(named)}, or a date")
        day = named[day - 1] if named else settings.morning.date + timedelta(days=day - 1)
    if fault := day_fault(day, settings.morning.time_zone or "UTC"):
        raise SettingsError(f"--day {day} {fault}")
    return day


def cars_on(settings: TripSettings, day: date, *, evening: bool = False) -> tuple[str, ...]:
    """Places where the car may stand on a day: that of the day alone where it has one, else all of the trip.

    Parameters
    ----------
    settings : of the trip.
    day : on the calendar.
    evening : whether of the evening of that day.

    Returns
    -------
    tuple of str
        As they were typed.
    """
    own = _own(settings, day, evening=evening)
    if own.car_at is not None:
        return (own.car_at,)
    return tuple(dict.fromkeys((settings.place.car, *settings.campaign.cars)))


def on_day(settings: TripSettings, day: date, *, evening: bool = False, car: str | None = None) -> TripSettings:
    """Give the trip for one morning or evening, with what its ``[[campaign.exception]]`` and the forecast say of it.

    Parameters
    ----------
    settings : of the trip.
    day : on the calendar.
    evening : the hours before sunset instead of the morning.
    car : where it stands; None for the first place it may stand at on that day.

    Returns
    -------
    TripSettings
    """
    own = _own(settings, day, evening=evening)
    place = replace(settings.place, car=car or cars_on(settings, day, evening=evening)[0])
    if evening:
        said = replace(settings.evening, **own.said(*HOURS), **own.said(*WEATHER))
        return in_the_evening(replace(settings, place=place, evening=said), day)
    morning = replace(settings.morning, date=day, **own.said(*HOURS))
    there = _as_forecast(replace(settings, place=place, morning=morning))
    return replace(there, weather=replace(there.weather, **own.said(*WEATHER)))


def _as_forecast(settings: TripSettings) -> TripSettings:
    """Give the weather that is forecast for the day, where that of the trip is; else that of the trip."""
    forecast = None if settings.forecast is None else read_forecast(settings.folder)
    if settings.forecast is None or forecast is None:
        return settings
    said = {item.name for item in fields(WeatherSettings) if getattr(settings.weather, item.name) is not None}
    given = said - set(settings.forecast.taken)
    return on_morning(settings, forecast, settings.morning.date, given)


def _own(settings: TripSettings, day: date, *, evening: bool) -> CampaignDay:
    of_it = (one for one in settings.campaign.exception if (one.date, one.evening) == (day, evening))
    return next(of_it, CampaignDay(date=day))
