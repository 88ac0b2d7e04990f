from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from hushwalk.filming.expected_sky import ExpectedFrom, expected_on, forecast_of
from hushwalk.hearing.availability import Weather
from hushwalk.site.camera_settings import CameraSettings, DaySettings
from hushwalk.site.forecast import Forecast, ForecastHour
from hushwalk.site.place import Place

ZONE = ZoneInfo("America/Chicago")
DAY = date(2027, 4, 25)
START = datetime(2027, 4, 25, tzinfo=ZONE)
HOURS = tuple(
    ForecastHour(START + timedelta(hours=k), wind_ms=3.0, cloud=0.1 if k < 12 else 0.95, rain_mm=0.0 if k < 12 else 1.0)
    for k in range(24)
)
FORECAST = Forecast("made", "nobody", START, 47.6, -91.7, HOURS)


def test_a_clear_morning_and_a_wet_evening_of_one_day() -> None:
    morning = expected_on(CameraSettings(), DAY, FORECAST, ZONE, "morning")
    evening = expected_on(CameraSettings(), DAY, FORECAST, ZONE, "evening")
    assert (morning.known_from, morning.sky, morning.rain) == (ExpectedFrom.FORECAST, "clear", "none")
    assert (evening.sky, evening.rain) == ("overcast", "light")
    assert evening.weather(Weather()).rain == "light"


def test_what_was_typed_goes_before_the_forecast_and_the_trip_file_comes_last() -> None:
    typed = CameraSettings(day=(DaySettings(DAY, sky="broken"),))
    got = expected_on(typed, DAY, FORECAST, ZONE, "morning")
    assert (got.known_from, got.sky) == (ExpectedFrom.TYPED, "broken")
    beyond = expected_on(CameraSettings(), DAY + timedelta(days=5), FORECAST, ZONE, "morning")
    assert beyond.known_from is ExpectedFrom.TRIP
    assert beyond.weather(Weather(rain="steady")).rain == "steady"


def test_a_forecast_of_another_valley_is_none() -> None:
    near = Place("car", (0.0, 0.0), -91.72, 47.61, 400.0, "", "")
    far = Place("car", (0.0, 0.0), -91.2, 47.61, 400.0, "", "")
    assert forecast_of(FORECAST, near) is FORECAST
    assert forecast_of(FORECAST, far) is None
