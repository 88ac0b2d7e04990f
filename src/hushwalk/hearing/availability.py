"""Whether there is anything to hear: the morning, the hour and the minutes at the stop.

How far it carries lives in the other files of this room.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from hushwalk.errors import SettingsError
from hushwalk.hearing.call import card_table, card_value
from hushwalk.science.bouts import Bouts
from hushwalk.types import FloatArray

Rain = Literal["none", "light", "steady"]

DAYS_OF_YEAR = 366
LATITUDE_MAX_DEG = 90.0


@dataclass(frozen=True)
class Display:
    """When and how often a male displays.

    Parameters
    ----------
    rate_per_min : displays of a male in a bout [1/min].
    peak_day : day of the year of the peak at ``peak_latitude_deg`` and ``peak_elevation_m``.
    days_per_degree, days_per_m : later with latitude and height.
    season_sd_days, rise_sd_days : width of the season after its peak, and before it.
    minutes_from_sunrise, hour_factor : curve of the morning, straight between its points, flat beyond.
    minutes_from_sunset, evening_factor : the same of the evening; empty where the card tells nothing of it.
    participation : chance that a male displays at all in a morning of the peak; low and high are its range.
    weather : factors by name, as in the species card.
    bout_min, bout_share : mean length of a bout [min], and share of the time spent in bouts; 1 for no pauses.

    Raises
    ------
    SettingsError
        If a number cannot be.
    """

    rate_per_min: float
    peak_day: float
    peak_latitude_deg: float
    days_per_degree: float
    peak_elevation_m: float
    days_per_m: float
    season_sd_days: float
    rise_sd_days: float
    minutes_from_sunrise: tuple[float, ...]
    hour_factor: tuple[float, ...]
    participation: float
    participation_low: float
    participation_high: float
    weather: Mapping[str, float]
    bout_min: float = 60.0  # definition: without pauses its length does not matter
    bout_share: float = 1.0
    minutes_from_sunset: tuple[float, ...] = ()
    evening_factor: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not (self.rate_per_min > 0 and min(self.season_sd_days, self.rise_sd_days) > 0):
            raise SettingsError(
                "display needs rate_per_min, sd_days and rise_sd_days above 0, "
                f"got {self.rate_per_min}, {self.season_sd_days} and {self.rise_sd_days}"
            )
        if not (self.bout_min > 0 and 0 < self.bout_share <= 1):
            raise SettingsError(
                "display.bouts needs mean_min above 0 and a share above 0 and at most 1, "
                f"got {self.bout_min} and {self.bout_share}"
            )
        if not self.minutes_from_sunrise:
            raise SettingsError("display.hours: minutes_from_sunrise must rise, with one factor for each")
        _check_hours("hours: minutes_from_sunrise", self.minutes_from_sunrise, self.hour_factor)
        _check_hours("evening: minutes_from_sunset", self.minutes_from_sunset, self.evening_factor)
        if not 0 < self.participation_low <= self.participation <= self.participation_high <= 1:
            raise SettingsError("display.morning: needs 0 < low <= participation <= high <= 1")

    @property
    def bouts(self) -> Bouts:
        """Displays in bouts with pauses between."""
        return Bouts(self.rate_per_min, self.bout_min, self.bout_share)


def _check_hours(what: str, minutes: tuple[float, ...], factors: tuple[float, ...]) -> None:
    if len(minutes) != len(factors) or list(minutes) != sorted(set(minutes)):
        raise SettingsError(f"display.{what} must rise, with one factor for each")
    if not all(0 <= x <= 1 for x in factors):
        raise SettingsError(f"display.{what.partition(':')[0]}: a factor lies outside 0..1")


@dataclass(frozen=True)
class Weather:
    """What the birds feel of the morning.

    Parameters
    ----------
    rain : ``"none"``, ``"light"`` or ``"steady"``; wet snow counts as rain.
    wind_ms : where the birds sit, as at the ear [m/s].
    snow_cover_share : share of the ground under snow, 0..1.
    warming_c : forecast rise of temperature over the walk; None if not known [degrees C].

    Raises
    ------
    SettingsError
        If a value cannot be.
    """

    rain: Rain = "none"
    wind_ms: float = 0.0
    snow_cover_share: float = 0.0
    warming_c: float | None = None

    def __post_init__(self) -> None:
        if self.rain not in get_args(Rain):
            raise SettingsError(f"rain is {self.rain!r}, expected one of: {', '.join(get_args(Rain))}")
        if not (self.wind_ms >= 0 and 0 <= self.snow_cover_share <= 1):
            raise SettingsError(
                f"wind_ms is {self.wind_ms} and snow_cover_share {self.snow_cover_share}; "
                "expected at least 0, and 0 to 1"
            )


@dataclass(frozen=True, eq=False)
class Availability:
    """The chance to have something to hear, in its three parts.

    Parameters
    ----------
    participation : that a male displays at all this morning; common to all stops.
    hour_factor : how active the hour of each stop is against the best hour.
    cue : that a displaying male displays at least once in the minutes of each stop.
    """

    participation: float
    hour_factor: FloatArray
    cue: FloatArray

    @property
    def chance(self) -> FloatArray:
        """All three together, 0..1."""
        whole: FloatArray = np.asarray(self.participation * self.hour_factor * self.cue)
        return whole


def display_from_card(card: Mapping[str, Any]) -> Display:
    """Read the display of a species card.

    Parameters
    ----------
    card : the card with ``[display]`` and its tables season, hours, morning and weather.

    Raises
    ------
    SettingsError
        If a key is missing or cannot be.
    """

    def number(*path: str) -> float:
        return float(card_value(card, "display", *path))

    anchor = card_value(card, "display", "anchor")
    if anchor != "sunrise":
        raise SettingsError(f"display.anchor is {anchor!r}; mornings are anchored on 'sunrise'")
    evening = card_table(card, "display", "evening") if "evening" in card.get("display", {}) else {}
    weather = {k: float(v) for k, v in card_table(card, "display", "weather").items() if not k.endswith("source")}
    return Display(
        rate_per_min=number("rate_per_min"),
        peak_day=number("season", "peak_day"),
        peak_latitude_deg=number("season", "latitude_deg"),
        days_per_degree=number("season", "days_per_degree"),
        peak_elevation_m=number("season", "elevation_m"),
        days_per_m=number("season", "days_per_m"),
        season_sd_days=number("season", "sd_days"),
        rise_sd_days=number("season", "rise_sd_days"),
        minutes_from_sunrise=tuple(float(m) for m in card_value(card, "display", "hours", "minutes_from_sunrise")),
        hour_factor=tuple(float(x) for x in card_value(card, "display", "hours", "factor")),
        participation=number("morning", "participation"),
        participation_low=number("morning", "low"),
        participation_high=number("morning", "high"),
        weather=weather,
        bout_min=number("bouts", "mean_min"),
        bout_share=number("bouts", "share"),
        minutes_from_sunset=_numbers(evening, "minutes_from_sunset"),
        evening_factor=_numbers(evening, "factor"),
    )


def _numbers(table: Mapping[str, Any], key: str) -> tuple[float, ...]:
    try:
        return tuple(float(value) for value in table.get(key, ()))
    except (TypeError, ValueError):
        raise SettingsError(f"display.evening.{key} must be a list of numbers, got {table[key]!r}") from None


def peak_day(display: Display, latitude_deg: float, elevation_m: float) -> float:
    """Day of the year of the peak of the season at a place.

    Parameters
    ----------
    display : of the species.
    latitude_deg, elevation_m : of the place.

    Returns
    -------
    float
        1 January is 1; later with latitude and height.
    """
    later = display.days_per_degree * (latitude_deg - display.peak_latitude_deg)
    return display.peak_day + later + display.days_per_m * (elevation_m - display.peak_elevation_m)


def season_factor(display: Display, day_of_year: float, latitude_deg: float, elevation_m: float) -> float:
    """How many males display on a date against the peak, 0..1.

    Parameters
    ----------
    display : of the species.
    day_of_year : 1 January is 1.
    latitude_deg, elevation_m : of the place.

    Returns
    -------
    float
        ``exp(-(days off the peak / sd)^2 / 2)`` with ``rise_sd_days`` before the peak and ``season_sd_days`` after it.
    """
    off = day_of_year - peak_day(display, latitude_deg, elevation_m)
    width = display.rise_sd_days if off < 0 else display.season_sd_days
    return float(np.exp(-((off / width) ** 2) / 2))


def weather_factor(display: Display, weather: Weather) -> float:
    """How many males display in a weather against a fair, calm morning.

    Parameters
    ----------
    display : of the species.
    weather : rain, wind and snow; warming is an odds ratio and is left to :func:`availability`.
    """
    effect = display.weather
    factor = {"none": 1.0, "light": effect["light_rain"], "steady": effect["steady_rain"]}[weather.rain]
    if weather.wind_ms > effect["windy_from_ms"]:
        factor *= effect["windy"]
    if weather.snow_cover_share > effect["snow_from_share"]:
        factor *= effect["snow"]
    return factor


def hour_factor(display: Display, minutes_from_sunrise: ArrayLike, day_min: float | None = None) -> FloatArray:
    """How active a male is at an hour against his best one, 0..1.

    Parameters
    ----------
    display : of the species.
    minutes_from_sunrise : any shape [min].
    day_min : from sunrise to sunset; None where that is not known, and the morning's curve goes on [min].

    Returns
    -------
    ndarray
        The curve of the morning, and after the middle of the day the larger of both curves.
    """
    minutes = np.asarray(minutes_from_sunrise, dtype=float)
    morning = np.asarray(np.interp(minutes, display.minutes_from_sunrise, display.hour_factor))
    if day_min is None or not display.minutes_from_sunset:
        return morning
    evening = np.interp(minutes - day_min, display.minutes_from_sunset, display.evening_factor)
    return np.where(minutes > day_min / 2, np.maximum(morning, evening), morning)


def _warmed(chance: float, display: Display, warming_c: float | None) -> float:
    """Move a chance by the odds that go with a rise of temperature other than the usual."""
    if warming_c is None:
        return chance
    effect = display.weather
    odds = float(effect["warming_odds_per_c"] ** (warming_c - effect["usual_warming_c"]))
    odds = min(max(odds, 1 / effect["warming_odds_max"]), effect["warming_odds_max"]) * chance / (1 - chance)
    return odds / (1 + odds)


def availability(
    display: Display,
    minutes_from_sunrise: ArrayLike,
    dwell_s: ArrayLike,
    *,
    day_of_year: float,
    latitude_deg: float,
    elevation_m: float,
    weather: Weather | None = None,
    day_min: float | None = None,
) -> Availability:
    """Chance that a male makes at least one display while one listens.

    Parameters
    ----------
    display : of the species.
    minutes_from_sunrise : middle of the time at each stop, any shape [min].
    dwell_s : time at each stop, a shape that broadcasts [s].
    day_of_year, latitude_deg, elevation_m : date and place.
    weather : a fair, calm morning if not given.
    day_min : from sunrise to sunset, as in :func:`hour_factor` [min].

    Returns
    -------
    Availability

    Raises
    ------
    SettingsError
        If the date or the place cannot be, or a time is negative.

    Notes
    -----
    ``psi * H(t) * B(dwell)``, B the chance of a display in a stand by :class:`~hushwalk.science.bouts.Bouts`, which is
    ``1 - exp(-phi t)`` without pauses. Season and weather move the participation psi only, so that no male is
    discounted twice. Displays of a bout come at random times; a male that drums by the clock is heard more surely, so
    this is the careful side.

    References
    ----------
    farnsworth_2002, zimmerman_gutierrez_2007, fischer_meierhellstern_1993
    """
    if not (1 <= day_of_year <= DAYS_OF_YEAR and abs(latitude_deg) <= LATITUDE_MAX_DEG):
        raise SettingsError(f"day_of_year is {day_of_year} and latitude_deg {latitude_deg}; expected 1..366, -90..90")
    dwell = np.asarray(dwell_s, dtype=float)
    if np.any(dwell < 0):
        raise SettingsError(f"dwell_s must not be negative, got {float(dwell.min())}")
    there = weather or Weather()
    psi = _warmed(display.participation, display, there.warming_c)
    psi *= season_factor(display, day_of_year, latitude_deg, elevation_m) * weather_factor(display, there)
    minutes, dwell = np.broadcast_arrays(np.asarray(minutes_from_sunrise, dtype=float), dwell)
    return Availability(psi, hour_factor(display, minutes, day_min), display.bouts.heard_chance(dwell / 60))
