"""The sky and the weather expected on a day: what the person typed for it, else the forecast beside the trip file.

Days that neither speaks of are as the trip file says of every day; what the light makes of it is in log_light.py.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo
from enum import StrEnum

import numpy as np

from hushwalk.filming.sessions import When, hours_table
from hushwalk.hearing.availability import Rain, Weather
from hushwalk.site.camera_settings import CameraSettings, Sky
from hushwalk.site.forecast import FAR_DEG, Forecast, ForecastHour, hours_between, weather_of_hours
from hushwalk.site.place import Place


class ExpectedFrom(StrEnum):
    """Where the weather of a day is taken from."""

    TYPED = "typed"
    FORECAST = "forecast"
    TRIP = "trip"


@dataclass(frozen=True)
class DayForecast:
    """What is expected of one day; None where it is as on every day."""

    known_from: ExpectedFrom = ExpectedFrom.TRIP
    sky: Sky | None = None
    rain: Rain | None = None
    wind_ms: float | None = None

    def weather(self, usual: Weather) -> Weather:
        """Give what the birds feel of it; what is not known is as usual."""
        return replace(
            usual,
            rain=usual.rain if self.rain is None else self.rain,
            wind_ms=usual.wind_ms if self.wind_ms is None else self.wind_ms,
        )


def forecast_of(forecast: Forecast | None, car: Place) -> Forecast | None:
    """Give a forecast if it is of this place."""
    if forecast is None or max(abs(car.lon_deg - forecast.lon_deg), abs(car.lat_deg - forecast.lat_deg)) > FAR_DEG:
        return None
    return forecast


def expected_on(camera: CameraSettings, day: date, forecast: Forecast | None, zone: tzinfo, when: When) -> DayForecast:
    """Give what is expected of a day.

    Parameters
    ----------
    camera : with what the person typed of single days.
    day : on the calendar of the place.
    forecast : of the place, or None.
    zone : its time zone.
    when : morning or evening.

    Returns
    -------
    DayForecast
        What was typed goes before the forecast, that before nothing.
    """
    row = next((one for one in camera.day if one.date == day), None)
    if row is not None:
        return DayForecast(ExpectedFrom.TYPED, row.sky, row.rain, row.wind_at_ear_ms)
    if forecast is None:
        return DayForecast()
    start, end = (float(hour) for hour in hours_table()["forecast"][when])
    midnight = datetime(day.year, day.month, day.day, tzinfo=zone)
    hours = hours_between(forecast, midnight + timedelta(hours=start), midnight + timedelta(hours=end))
    if not hours:
        return DayForecast()
    found = weather_of_hours(hours)
    return DayForecast(ExpectedFrom.FORECAST, _sky(hours), found.get("rain"), found.get("wind_at_ear_ms"))


def _sky(hours: tuple[ForecastHour, ...]) -> Sky | None:
    """Name the sky by the mean of the cloud."""
    cloud = [hour.cloud for hour in hours if hour.cloud is not None]
    if not cloud:
        return None
    clear_to, broken_to = hours_table()["forecast"]["clear_to"], hours_table()["forecast"]["broken_to"]
    mean = float(np.mean(cloud))
    return "clear" if mean <= clear_to else "broken" if mean < broken_to else "overcast"
