"""A forecast in words: what of a plan is taken from it, how old it is, and which morning it favours.

Reading it is site/forecast.py's business.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

from hushwalk.morning.mornings_ahead import MorningAhead
from hushwalk.site.forecast_use import ForecastUse
from hushwalk.site.settings import TripSettings
from hushwalk.wording.measures import height, speed, temperature

HOUR = timedelta(hours=1)  # definition
OLD_H = 24.0  # judgement: a day before, the wind of a morning is a fair guess; earlier it is hardly one


def forecast_sentences(settings: TripSettings) -> tuple[str, ...]:
    """Say what of the weather of a plan is forecast, and how long before the walk that was."""
    use = settings.forecast
    if use is None:
        return ()
    if use.day != settings.morning.date:
        return (f"the weather is taken as that forecast for {use.day:%d %B %Y}",)
    late = "; ask again before you go" if use.lead_h > OLD_H else ""
    made = f"made {use.made_at:%d %B %Y %H:%M} UTC, {use.lead_h:.0f} h before the walk{late}"
    said = f"weather ({_named(use.taken)}) as forecast by {use.label}, {made}: {_wind(use)}"
    return (f"{said}; wind under trees is taken as 0.3 of it. {use.credit}",)


def age_words(use: ForecastUse, now: datetime) -> str:
    """Say how old a forecast is now."""
    age_h = (now - use.made_at) / HOUR
    mend = "; ask again: hushwalk forecast TRIP" if age_h > OLD_H else ""
    return f"the forecast of {use.label} is {age_h:.0f} h old{mend}"


def mornings_words(mornings: Sequence[MorningAhead]) -> str:
    """Rank mornings in a table, the best first."""
    if not mornings:
        return "the forecast reaches no whole morning of the next week"
    lines = [
        "mornings of the next week, the best first, by males that display times the share the weather lets be heard:"
    ]
    for one in mornings:
        left = f"{one.displaying:.1f} display, {one.verdict.share_of_calm:.0%} of a calm morning ({one.verdict.word})"
        weather = one.weather
        warmth = temperature(weather.temperature_c)
        air = f"{speed(weather.wind_at_ear_ms)} at the ear, {warmth}, rain {weather.rain}"
        made = f"made {one.forecast.lead_h:.0f} h before"
        lines.append(f"  {one.day:%a %d %b}  {one.worth:5.1f}  {left}; {_wind(one.forecast)}, {air}, {made}")
    return "\n".join(lines)


def _named(keys: Sequence[str]) -> str:
    return ", ".join(key.removesuffix("_ms").removesuffix("_c").removesuffix("_pct").replace("_", " ") for key in keys)


def _wind(use: ForecastUse) -> str:
    gust = "" if use.gust_ms is None else f", gusts to {speed(use.gust_ms)}"
    return f"wind {speed(use.wind_ms)} at {height(10.0)}{gust}"
