"""The forecast beside a trip file, and the weather of a morning that follows from it.

Asking for it is the business of the room gather; what a person writes under [weather] goes before it.
"""

import json
import os
from collections.abc import Set as AbstractSet
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from hushwalk.errors import InputError, OutputError
from hushwalk.grid.points import parse_place
from hushwalk.hearing.forecast_wind import wind_at_ear_ms
from hushwalk.site.forecast_use import ForecastUse
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.settings import TripSettings, WeatherSettings

FORECAST = "forecast.json"
SCHEMA = "hushwalk forecast 1"
HOUR = timedelta(hours=1)  # definition
LONGEST = timedelta(hours=6)  # judgement: an hour of the forecast holds until the next, at most so long
LIGHT_RAIN_MM, LASTING_RAIN_MM = 0.1, 2.5
"""Common practice: a tenth of a millimetre is the least that gauges tell, and light rain ends at 2.5 mm in an hour."""
CALM_BELOW_MS, CLEAR_BELOW = 3.0, 0.5
"""judgement: weak wind under a half clear sky lets the ground cool, so that sound bends down."""
FAR_DEG = 0.1  # judgement: some 10 km; farther off it is the weather of another valley


@dataclass(frozen=True)
class ForecastHour:
    """One hour of a forecast; None where it says nothing.

    Parameters
    ----------
    start : of the hour, aware.
    wind_ms, gust_ms, wind_from_deg : at 10 m over open ground.
    temperature_c, humidity_pct : of the air.
    cloud : share of the sky, 0..1.
    rain_mm : in an hour.
    """

    start: datetime
    wind_ms: float | None = None
    gust_ms: float | None = None
    wind_from_deg: float | None = None
    temperature_c: float | None = None
    humidity_pct: float | None = None
    cloud: float | None = None
    rain_mm: float | None = None


@dataclass(frozen=True)
class Forecast:
    """A forecast for a place: who made it when, its credit, and its hours in order."""

    label: str
    credit: str
    made_at: datetime
    lat_deg: float
    lon_deg: float
    hours: tuple[ForecastHour, ...]


def write_forecast(folder: Path, forecast: Forecast) -> Path:
    """Write forecast.json beside a trip file, whole or not at all.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    words = {"schema": SCHEMA, **asdict(forecast)}
    path = folder / FORECAST
    part = path.with_name(f"{FORECAST}.part")
    try:
        part.write_text(json.dumps(words, indent=1, default=datetime.isoformat) + "\n", encoding="utf-8")
        os.replace(part, path)  # noqa: PTH105 - over a file that is there, on every system
    except OSError as fault:
        raise OutputError(f"{path} cannot be written: {fault.strerror}") from None
    return path


def read_forecast(folder: Path) -> Forecast | None:
    """Read the forecast of a folder; None where there is none.

    Raises
    ------
    InputError
        If there is one that cannot be read.
    """
    path = folder / FORECAST
    try:
        words = json.loads(path.read_text(encoding="utf-8"))
        _check(words.pop("schema"))
        hours = tuple(ForecastHour(**{**row, "start": datetime.fromisoformat(row["start"])}) for row in words["hours"])
        return Forecast(**{**words, "made_at": datetime.fromisoformat(words["made_at"]), "hours": hours})
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as fault:
        raise InputError(
            f"{path} cannot be read ({fault}); ask again with `hushwalk forecast`, or take it away"
        ) from None


def _check(schema: object) -> None:
    if schema != SCHEMA:
        raise ValueError("of another form")


def with_forecast(settings: TripSettings, given: AbstractSet[str]) -> TripSettings:
    """Take the weather of a trip from the forecast beside its file, where the file does not say it.

    Parameters
    ----------
    settings : of the trip.
    given : keys that stand under [weather] in its file; they go before the forecast.

    Returns
    -------
    TripSettings
        As it was where there is no forecast, or none of that morning and place.
    """
    forecast = read_forecast(settings.folder)
    return settings if forecast is None else on_morning(settings, forecast, settings.morning.date, given)


def on_morning(
    settings: TripSettings, forecast: Forecast, day: date, given: AbstractSet[str] = frozenset()
) -> TripSettings:
    """Give a trip on a day with the weather that is forecast for it.

    Parameters
    ----------
    settings : of the trip.
    forecast : of its place.
    day : the morning.
    given : keys of [weather] that go before the forecast.

    Returns
    -------
    TripSettings
        With ``forecast`` set; without where the forecast does not reach the whole morning, or is of another place.
    """
    settings = replace(settings, morning=replace(settings.morning, date=day))
    lon, lat = parse_place(settings.place.car)
    clock = morning_clock(settings.morning, lon, lat)
    begin, end = clock.at(clock.earliest_s), clock.at(clock.latest_s)
    hours = hours_between(forecast, begin, end)
    if not hours or max(abs(lon - forecast.lon_deg), abs(lat - forecast.lat_deg)) > FAR_DEG:
        return settings
    found = weather_of_hours(hours)
    taken = {key: value for key, value in found.items() if key not in given}
    if any(key.startswith("forecast_wind") for key in given):
        taken.pop("wind_at_ear_ms", None)
    winds = [hour.wind_ms for hour in hours if hour.wind_ms is not None]
    gusts = [hour.gust_ms for hour in hours if hour.gust_ms is not None]
    lead_h = (begin - forecast.made_at) / HOUR
    use = ForecastUse(
        forecast.label,
        forecast.credit,
        forecast.made_at,
        lead_h,
        sum(winds) / max(len(winds), 1),
        max(gusts, default=None),
        tuple(taken),
        day,
    )
    weather: WeatherSettings = replace(settings.weather, **taken)
    return replace(settings, weather=weather, forecast=use if taken else None)


def hours_between(forecast: Forecast, begin: datetime, end: datetime) -> tuple[ForecastHour, ...]:
    """Give the hours of a forecast that a morning falls into; none where it does not reach all of it.

    Parameters
    ----------
    forecast : with its hours in order.
    begin, end : of the morning, aware.

    Returns
    -------
    tuple of ForecastHour
    """
    starts = [hour.start for hour in forecast.hours]
    last = starts[-1:]
    ends = [
        min(after, start + LONGEST)
        for start, after in zip(starts, [*starts[1:], *(t + HOUR for t in last)], strict=True)
    ]
    within = tuple(hour for hour, stop in zip(forecast.hours, ends, strict=True) if hour.start < end and stop > begin)
    whole = bool(within) and within[0].start <= begin and ends[forecast.hours.index(within[-1])] >= end
    return within if whole else ()


def weather_of_hours(hours: tuple[ForecastHour, ...]) -> dict[str, Any]:
    """Give the keys of [weather] that hours of a forecast tell: means, and the rain of the wettest hour."""
    wind, cloud = _mean(hours, "wind_ms"), _mean(hours, "cloud")
    found: dict[str, Any] = {
        "temperature_c": _mean(hours, "temperature_c"),
        "humidity_pct": _mean(hours, "humidity_pct"),
    }
    if wind is not None:
        found["wind_at_ear_ms"] = wind_at_ear_ms(wind)
    if wind is not None and cloud is not None:
        found["air"] = "calm dawn" if wind < CALM_BELOW_MS and cloud < CLEAR_BELOW else "neutral"
    rain = max((hour.rain_mm for hour in hours if hour.rain_mm is not None), default=None)
    if rain is not None:
        found["rain"] = "steady" if rain >= LASTING_RAIN_MM else "light" if rain >= LIGHT_RAIN_MM else "none"
    return {key: value for key, value in found.items() if value is not None}


def _mean(hours: tuple[ForecastHour, ...], name: str) -> float | None:
    values = [value for hour in hours if (value := getattr(hour, name)) is not None]
    return round(sum(values) / len(values), 1) if values else None
