"""Asks the open forecasts: the National Weather Service in the United States, MET Norway elsewhere.

What a morning makes of the hours is site/forecast.py's business.
"""

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from hushwalk.errors import ServiceError
from hushwalk.gather.services import Service, address, redirected, service
from hushwalk.gather.square import region_of, square_round
from hushwalk.gather.transport import Transport
from hushwalk.site.forecast import Forecast, ForecastHour

KEEP_DAYS = 1 / 24  # common practice: an hour
NEAR_M = 500.0  # judgement: ground by which the country is told
PERIOD = re.compile(r"P(?:(\d+)D)?(?:T(?:(\d+)H)?(?:\d+M)?)?$")  # definition: durations of ISO 8601
KMH = 1 / 3.6  # definition
DIGITS = 3  # judgement


def ask_forecast(lat_deg: float, lon_deg: float, altitude_m: float, transport: Transport) -> Forecast:
    """Ask for the forecast of a place.

    Parameters
    ----------
    lat_deg, lon_deg : the place.
    altitude_m : its height; a forecast is brought to it [m].
    transport : asks, and keeps the answers for an hour.

    Returns
    -------
    Forecast

    Raises
    ------
    ServiceError
        If the service cannot be reached, refuses, or answers something else.
    """
    in_us = region_of(square_round(lat_deg, lon_deg, NEAR_M)).startswith("us")
    one = service("nws" if in_us else "met_norway")
    names = {"lat": _short(lat_deg), "lon": _short(lon_deg), "altitude": f"{altitude_m:.0f}"}
    full = address(one.address, **names)
    answer = _answer(one, full, transport)
    try:
        if in_us:
            grid = _answer(one, redirected(answer["properties"]["forecastGridData"]), transport)
            return nws_forecast(grid, one, lat_deg, lon_deg)
        return met_forecast(answer, one, lat_deg, lon_deg)
    except (KeyError, TypeError, ValueError, AttributeError) as fault:
        raise ServiceError(f"{one.label} answers with something else than a forecast ({fault})") from None


def nws_forecast(grid: Mapping[str, Any], one: Service, lat_deg: float, lon_deg: float) -> Forecast:
    """Read the raw grid forecast of the National Weather Service.

    Parameters
    ----------
    grid : its answer.
    one : the service.
    lat_deg, lon_deg : the place.

    Returns
    -------
    Forecast
        Values that hold for several hours are repeated; rain is spread over them.
    """
    words = grid["properties"]
    series = {
        "wind_ms": _series(words, "windSpeed", KMH),
        "gust_ms": _series(words, "windGust", KMH),
        "wind_from_deg": _series(words, "windDirection", 1.0),
        "temperature_c": _series(words, "temperature", 1.0),
        "humidity_pct": _series(words, "relativeHumidity", 1.0),
        "cloud": _series(words, "skyCover", 0.01),
        "rain_mm": _series(words, "quantitativePrecipitation", 1.0, spread=True),
    }
    times = sorted(series["wind_ms"])
    hours = tuple(ForecastHour(t, **{name: values.get(t) for name, values in series.items()}) for t in times)
    return Forecast(one.label, one.credit, datetime.fromisoformat(words["updateTime"]), lat_deg, lon_deg, hours)


def met_forecast(answer: Mapping[str, Any], one: Service, lat_deg: float, lon_deg: float) -> Forecast:
    """Read the compact forecast of MET Norway; as :func:`nws_forecast`.

    Parameters
    ----------
    answer : of the service.
    one : the service.
    lat_deg, lon_deg : the place.

    Returns
    -------
    Forecast
    """
    words = answer["properties"]
    hours = tuple(_met_hour(row) for row in words["timeseries"])
    return Forecast(one.label, one.credit, datetime.fromisoformat(words["meta"]["updated_at"]), lat_deg, lon_deg, hours)


def _met_hour(row: Mapping[str, Any]) -> ForecastHour:
    now = row["data"]["instant"]["details"]
    hour, six = (row["data"].get(name, {}).get("details", {}) for name in ("next_1_hours", "next_6_hours"))
    rain = hour.get("precipitation_amount")
    if rain is None and "precipitation_amount" in six:
        rain = six["precipitation_amount"] / 6
    cloud = now.get("cloud_area_fraction")
    return ForecastHour(
        datetime.fromisoformat(row["time"]),
        now.get("wind_speed"),
        now.get("wind_speed_of_gust"),
        now.get("wind_from_direction"),
        now.get("air_temperature"),
        now.get("relative_humidity"),
        None if cloud is None else cloud / 100,
        rain,
    )


def _series(words: Mapping[str, Any], name: str, factor: float, *, spread: bool = False) -> dict[datetime, float]:
    """Values by the hour: equal hours are merged into one period by the service."""
    found: dict[datetime, float] = {}
    for row in (words.get(name) or {}).get("values") or []:
        start, _, period = row["validTime"].partition("/")
        match = PERIOD.match(period)
        if match is None or row["value"] is None:
            continue
        n = 24 * int(match[1] or 0) + int(match[2] or 0)
        for k in range(max(n, 1)):
            at = datetime.fromisoformat(start).astimezone(UTC) + timedelta(hours=k)
            found[at] = round(row["value"] * factor / (max(n, 1) if spread else 1), DIGITS)
    return found


def _answer(one: Service, full: str, transport: Transport) -> dict[str, Any]:
    content = transport.kept(f"{one.key} {full}", lambda: transport.get(full).content, KEEP_DAYS)
    try:
        answer = json.loads(content)
    except ValueError:
        raise ServiceError(f"{one.label} answers with something else than a forecast") from None
    if not isinstance(answer, dict):
        raise ServiceError(f"{one.label} answers with something else than a forecast")
    return answer


def _short(value: float) -> str:
    """Four decimals at most, without zeros at their end: both services send those away who ask for more."""
    return f"{value:.4f}".rstrip("0").rstrip(".")
