"""Forecasts as the two services publish them: stored answers after their schemas, made weather of a morning."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from werkzeug import Request, Response

from hushwalk.errors import InputError, ServiceError, SettingsError
from hushwalk.gather.transport import AskParams, Transport, kept_folder
from hushwalk.gather.trip_files import write_trip
from hushwalk.gather.weather import ask_forecast
from hushwalk.hearing.forecast_wind import wind_at_ear_ms
from hushwalk.morning.mornings_ahead import mornings_ahead
from hushwalk.site.forecast import Forecast, write_forecast
from hushwalk.site.settings import WeatherSettings
from hushwalk.site.site import car_height_m, read_site
from hushwalk.site.starter import write_starter
from hushwalk.site.trip_file import parse_trip, read_trip
from hushwalk.wording.forecast_words import age_words, forecast_sentences, mornings_words

Start = Callable[..., Any]
HURRY = AskParams(contact="tests@example.org", tries=2, backoff_s=0.01, busy_s=0.0)
# after weather-gov.github.io/api/gridpoints: an instant and a duration of ISO 8601; equal hours are merged
GRID = {
    "properties": {
        "updateTime": "2027-04-24T18:00:00+00:00",
        "windSpeed": {
            "uom": "wmoUnit:km_h-1",
            "values": [{"validTime": "2027-04-25T08:00:00+00:00/PT8H", "value": 18.0}],
        },
        "windGust": {"values": [{"validTime": "2027-04-25T08:00:00+00:00/PT8H", "value": 36.0}]},
        "windDirection": {"values": [{"validTime": "2027-04-25T08:00:00+00:00/P1DT2H", "value": 270}]},
        "temperature": {
            "uom": "wmoUnit:degC",
            "values": [
                {"validTime": "2027-04-25T08:00:00+00:00/PT4H", "value": -1.0},
                {"validTime": "2027-04-25T12:00:00+00:00/PT4H", "value": 5.0},
            ],
        },
        "relativeHumidity": {"values": [{"validTime": "2027-04-25T08:00:00+00:00/PT8H", "value": 70}]},
        "skyCover": {"values": [{"validTime": "2027-04-25T08:00:00+00:00/PT8H", "value": 90}]},
        "quantitativePrecipitation": {"values": [{"validTime": "2027-04-25T06:00:00+00:00/PT6H", "value": 6.0}]},
    }
}
# after api.met.no/doc/ForecastJSON: an instant, and what falls in the next hour
COMPACT = {
    "properties": {
        "meta": {"updated_at": "2027-04-24T18:30:00Z"},
        "timeseries": [
            {
                "time": f"2027-04-25T{hour:02d}:00:00Z",
                "data": {
                    "instant": {
                        "details": {
                            "wind_speed": 2.0,
                            "wind_from_direction": 200.0,
                            "air_temperature": float(hour - 2),
                            "relative_humidity": 85.0,
                            "cloud_area_fraction": 10.0,
                            "air_pressure_at_sea_level": 1015.0,
                        }
                    },
                    "next_1_hours": {"details": {"precipitation_amount": 0.0}},
                },
            }
            for hour in range(12)
        ],
    }
}


def answers(request: Request) -> Response | None:
    if not request.headers.get("User-Agent", "").startswith("hushwalk/"):
        return Response("Forbidden", status=403)
    if "/points/" in request.path:
        grid = "https://api.weather.gov/gridpoints/DLH/100,60"
        return Response(json.dumps({"properties": {"forecastGridData": grid}}))
    if "/gridpoints/" in request.path:
        return Response(json.dumps(GRID))
    return Response(json.dumps(COMPACT)) if "locationforecast" in request.path else None


def asked(services_at: Start, place: str) -> tuple[Any, Forecast]:
    server = services_at(place)
    server.fault("", answers)
    return server, ask_forecast(*server.place, 412.4, Transport(kept_folder(), HURRY))


def trip(folder: Path, car: str, more: str = "") -> Path:
    path = write_starter(folder)
    text = path.read_text(encoding="utf-8").replace('car = "47.6200, -91.7000"', f'car = "{car}"')
    path.write_text(text.replace("\n[weather]\n", f"\n[weather]\n{more}"), encoding="utf-8")
    return path


def test_the_service_of_the_united_states_is_asked_twice_through_the_host_map(services_at: Start) -> None:
    server, forecast = asked(services_at, "us")
    # at most four decimals, without zeros at their end, else the service sends one elsewhere
    assert [request.path.partition("api.weather.gov")[2] for request in server.asked] == [
        "/points/47.62,-91.7",
        "/gridpoints/DLH/100,60",
    ]
    assert len(forecast.hours) == 8
    first = forecast.hours[0]
    assert first.start == datetime(2027, 4, 25, 8, tzinfo=UTC)
    assert (first.wind_ms, first.gust_ms, first.wind_from_deg) == (5.0, 10.0, 270)  # 18 and 36 km/h
    assert (first.temperature_c, first.humidity_pct, first.cloud, first.rain_mm) == (-1.0, 70, 0.9, 1.0)
    assert forecast.hours[-1].rain_mm is None


def test_the_service_of_the_world_is_asked_with_the_height(services_at: Start) -> None:
    server, forecast = asked(services_at, "se")
    assert server.asked[0].full_path.endswith("/weatherapi/locationforecast/2.0/compact?lat=60.5&lon=15.5&altitude=412")
    assert forecast.credit == "Data from MET Norway"
    assert (forecast.hours[3].wind_ms, forecast.hours[3].temperature_c, forecast.hours[3].cloud) == (2.0, 1.0, 0.1)


def test_a_trip_takes_the_weather_of_its_morning(services_at: Start, tmp_path: Path) -> None:
    _, forecast = asked(services_at, "us")
    path = trip(tmp_path / "new", "47.62, -91.70")
    write_forecast(path.parent, forecast)
    settings = read_trip(path)
    # 04:30 to 09:30 in Chicago is 09:30 to 14:30 in UTC: 5 m/s at 10 m, 0.3 of it under trees
    assert settings.weather.wind_at_ear_ms == 1.5
    assert settings.weather.temperature_c == pytest.approx((3 * -1.0 + 3 * 5.0) / 6)
    assert (settings.weather.rain, settings.weather.air, settings.weather.humidity_pct) == ("light", "neutral", 70)
    assert settings.forecast is not None
    assert settings.forecast.lead_h == pytest.approx(15.5, abs=0.1)
    said = forecast_sentences(settings)[0]
    assert "16 h before the walk" in said or "15 h before the walk" in said
    assert "wind 5.0 m/s at 10 m, gusts to 10" in said
    assert (
        age_words(settings.forecast, datetime(2027, 4, 25, 0, tzinfo=UTC))
        == "the forecast of National Weather Service (US) is 6 h old"
    )


def test_calm_clear_air_is_a_calm_dawn(services_at: Start, tmp_path: Path) -> None:
    _, forecast = asked(services_at, "se")
    path = trip(tmp_path / "new", "60.5, 15.5")
    write_forecast(path.parent, forecast)
    weather = read_trip(path).weather
    assert (weather.air, weather.rain, weather.wind_at_ear_ms) == ("calm dawn", "none", 0.6)


def test_what_a_person_writes_goes_before_the_forecast(services_at: Start, tmp_path: Path) -> None:
    _, forecast = asked(services_at, "us")
    path = trip(tmp_path / "new", "47.62, -91.70", "wind_at_ear_ms = 0.2\ntemperature_c = 7.0\n")
    write_forecast(path.parent, forecast)
    settings = read_trip(path)
    assert (settings.weather.wind_at_ear_ms, settings.weather.temperature_c, settings.weather.rain) == (
        0.2,
        7.0,
        "light",
    )


def test_a_forecast_of_another_day_or_place_is_not_taken(services_at: Start, tmp_path: Path) -> None:
    _, forecast = asked(services_at, "us")
    other_day = trip(tmp_path / "day", "47.62, -91.70")
    other_day.write_text(other_day.read_text(encoding="utf-8").replace("2027-04-25", "2027-04-28"), encoding="utf-8")
    other_place = trip(tmp_path / "place", "47.92, -91.70")
    for path in (other_day, other_place):
        write_forecast(path.parent, forecast)
        assert read_trip(path).forecast is None
        assert read_trip(path).weather == WeatherSettings()


def test_a_damaged_forecast_is_one_message(tmp_path: Path) -> None:
    path = trip(tmp_path / "new", "47.62, -91.70")
    for text in ("{", "[]", '{"schema": "other"}', '{"schema": "hushwalk forecast 1"}'):
        (path.parent / "forecast.json").write_text(text, encoding="utf-8")
        with pytest.raises(InputError, match=r"forecast\.json cannot be read .*hushwalk forecast"):
            read_trip(path)


def test_an_answer_that_is_no_forecast_is_said(services_at: Start) -> None:
    server = services_at("se")
    server.fault("locationforecast", lambda _: Response("<html>moved</html>"))
    with pytest.raises(ServiceError, match="MET Norway answers with something else than a forecast"):
        ask_forecast(60.5, 15.5, 300.0, Transport(kept_folder(), HURRY))


@pytest.mark.parametrize(
    ("line", "metres_per_second"),
    # definitions: 3.6 km/h, 0.44704 m/s a mile an hour, 1852 m a nautical mile
    [
        ("forecast_wind_kmh = 14.4", 4.0),
        ("forecast_wind_ms = 4.0", 4.0),
        ("forecast_wind_mph = 10.0", 4.4704),
        ("forecast_wind_kn = 10.0", 5.144),
    ],
)
def test_a_forecast_that_was_read_anywhere_becomes_wind_at_the_ear(
    tmp_path: Path, line: str, metres_per_second: float
) -> None:
    weather = read_trip(trip(tmp_path / "new", "47.62, -91.70", f"{line}\n")).weather
    assert weather.wind_at_ear_ms == pytest.approx(wind_at_ear_ms(metres_per_second), abs=0.005)


def test_two_winds_are_refused_with_the_line() -> None:
    place = '[place]\nname = "x"\ncar = "47.62, -91.70"\n[morning]\ndate = 2027-04-25\nback_by = 09:30:00\n'
    text = place + '[[layer]]\nkind = "elevation"\npath = "e.tif"\n'
    with pytest.raises(SettingsError, match="line 10: weather: forecast_wind stands in 2 units; keep one of kmh, mph"):
        parse_trip(text + "[weather]\nforecast_wind_kmh = 5.0\nforecast_wind_mph = 5.0\n")
    with pytest.raises(SettingsError, match="both say how windy it is; keep one"):
        parse_trip(text + "[weather]\nforecast_wind_kmh = 5.0\nwind_at_ear_ms = 3.0\n")
    assert date(2027, 4, 25) == parse_trip(text).morning.date


def test_mornings_are_ranked_by_what_displays_and_what_the_weather_leaves(
    services_at: Start, gathered_at: Callable[..., Any]
) -> None:
    server = services_at("se")
    server.fault("locationforecast", answers)
    gathered = gathered_at(server, "elevation", "cover", half_m=1900.0)
    path, _ = write_trip(gathered, "Made place", (15.5, 60.5), 300.0, date(2027, 4, 25))
    settings = read_trip(path)
    site = read_site(settings)
    calm = ask_forecast(60.5, 15.5, car_height_m(settings, site)[2], Transport(kept_folder(), HURRY))
    hours = calm.hours
    windy = tuple(replace(hour, start=hour.start + timedelta(days=1), wind_ms=12.0) for hour in hours)
    two_days = replace(calm, hours=(*hours, *windy))
    ranked = mornings_ahead(settings, site, two_days, date(2027, 4, 24))
    assert [one.day for one in ranked] == [date(2027, 4, 25), date(2027, 4, 26)]
    assert ranked[0].verdict.share_of_calm > ranked[1].verdict.share_of_calm
    assert ranked[0].displaying == pytest.approx(ranked[1].displaying, rel=0.05)  # a day apart in one season
    words = mornings_words(ranked).splitlines()
    assert "Sun 25 Apr" in words[1]
    assert "3.6 m/s at the ear" in words[2]  # 0.3 of 12 m/s
