"""The hours worth sitting: activity of the bird times quality of the light times weather, minute by minute.

The light comes from log_light.py, the side from logs/sides.py; walking times arrive as numbers.
"""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.filming.log_light import LogLight, Shot
from hushwalk.filming.sky_day import SUN, SkyDay
from hushwalk.logs.criteria import apart_deg, light_score
from hushwalk.science.exposure import iso_needed
from hushwalk.types import FloatArray, IntArray

When = Literal["morning", "evening"]


@cache
def hours_table() -> dict[str, Any]:
    """Read which hours are worth sitting."""
    text = (files("hushwalk") / "data" / "tables" / "filming_hours.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@dataclass(frozen=True)
class Activity:
    """How active the bird is by the hour, straight between the points, flat beyond.

    Parameters
    ----------
    minutes : from sunrise (morning) or sunset (evening), rising [min].
    factor : against the best hour, 0..1.

    Raises
    ------
    SettingsError
        If the two do not fit together.
    """

    minutes: tuple[float, ...]
    factor: tuple[float, ...]

    def __post_init__(self) -> None:
        rising = list(self.minutes) == sorted(set(self.minutes)) and len(self.minutes) > 0
        if not rising or len(self.minutes) != len(self.factor) or not all(0 <= f <= 1 for f in self.factor):
            raise SettingsError("activity by the hour needs minutes that rise, with one factor 0..1 for each")

    def at(self, minutes: FloatArray) -> FloatArray:
        """Activity at minutes from the anchor, shape (n,)."""
        return np.interp(minutes, self.minutes, self.factor)


@dataclass(frozen=True)
class SessionParams:
    """What the person wants, and what the season and the weather allow.

    Parameters
    ----------
    shot : the picture that decides how good the light is.
    iso_max : the highest ISO that the person puts up with.
    season : males displaying against the season's best, 0..1.
    weather : the same against a fair, calm morning, 0..1.
    hide_deg : azimuth of the hide from the log, or None where no side is chosen [deg].
    walk_s, back_s : from the car to the hide, and back at the end [s].
    back_by_min : when the person must be back at the car, since midnight; None where no time was set [min].
    """

    shot: Shot
    iso_max: float = 6400.0
    season: float = 1.0
    weather: float = 1.0
    hide_deg: float | None = None
    walk_s: float = 0.0
    back_s: float = 0.0
    back_by_min: float | None = None

    def __post_init__(self) -> None:
        if not (self.iso_max > 0 and 0 <= self.season <= 1 and 0 <= self.weather <= 1 and self.walk_s >= 0):
            raise SettingsError(
                "a session needs iso_max above 0, season and weather in 0..1 and walk_s of 0 or more, "
                f"got {self.iso_max:g}, {self.season:g}, {self.weather:g}, {self.walk_s:g}"
            )


@dataclass(frozen=True, eq=False)
class Session:
    """One morning or evening at one log.

    Parameters
    ----------
    when : ``"morning"`` or ``"evening"``.
    anchor : sunrise or sunset.
    leave_car_by, in_hide_by : times to keep.
    until : when the hide is left, or when the hours that are worth it end.
    back_at : at the car again, if the hide is left then.
    cut_short : whether the time to be back ends the session before its hours do.
    minutes : since local midnight, shape (n,) [min].
    activity, light : 0..1 by minute, shape (n,).
    worth : activity times light times season times weather, shape (n,).
    odds : season times weather.
    score : sum of the worth in hours.
    best : start and end of the best hour.
    """

    when: When
    anchor: datetime
    leave_car_by: datetime
    in_hide_by: datetime
    until: datetime
    back_at: datetime
    cut_short: bool
    minutes: IntArray = field(repr=False)
    activity: FloatArray = field(repr=False)
    light: FloatArray = field(repr=False)
    worth: FloatArray = field(repr=False)
    odds: float
    score: float
    best: tuple[datetime, datetime]


def light_quality(lux: FloatArray, shot: Shot, iso_max: float) -> FloatArray:
    """How good the light is for a shot, 0..1.

    Parameters
    ----------
    lux : illuminance at the log, shape (n,).
    shot : aperture and shutter.
    iso_max : the highest ISO that the person puts up with.

    Returns
    -------
    ndarray, shape (n,)

    Notes
    -----
    1 where the ISO needed is three stops or more below the limit, 0 from one stop above it, straight in stops between.
    """
    stops = hours_table()["session"]["iso_good_stops"]
    with np.errstate(divide="ignore"):
        over = np.log2(iso_needed(lux, shot.f_number, shot.shutter_s) / iso_max)
    return np.asarray(np.clip((1 - over) / (1 + stops), 0.0, 1.0))


def session_of(
    sky: SkyDay, light: LogLight, states: IntArray, activity: Activity, params: SessionParams, when: When = "morning"
) -> Session | None:
    """Work out one session.

    Parameters
    ----------
    sky, light, states : of the day at the log.
    activity : of the bird; from sunrise for a morning, from sunset for an evening.
    params : wishes, season, weather, side, walk.
    when : ``"morning"`` or ``"evening"``.

    Returns
    -------
    Session or None
        None on a day without a sunrise (or sunset).
    """
    anchors = sky.sunrises[:1] if when == "morning" else sky.sunsets[-1:]
    if not anchors:
        return None
    table, anchor = hours_table()["session"], anchors[0]
    first = max(0, round(anchor + table[f"{when}_from_min"]))
    ends = last = min(sky.n_minutes, round(anchor + table[f"{when}_to_min"]))
    if params.back_by_min is not None:
        last = max(first + 1, min(ends, int(params.back_by_min - params.back_s / 60)))
    minutes = np.arange(first, last)
    active = activity.at(minutes - anchor)
    quality = light_quality(light.middle_lux[minutes], params.shot, params.iso_max)
    if params.hide_deg is not None:
        quality = quality * light_score(
            apart_deg(sky.sun_azimuth_deg[minutes], params.hide_deg), states[minutes] == SUN
        )
    worth = active * quality * params.season * params.weather
    hide_min = anchor - _lead_min(when, params.season)
    return Session(
        when=when,
        anchor=sky.at(anchor),
        leave_car_by=sky.at(hide_min - table["set_up_min"] - params.walk_s / 60),
        in_hide_by=sky.at(hide_min),
        until=sky.at(last),
        back_at=sky.at(last + params.back_s / 60),
        cut_short=last < ends,
        minutes=minutes,
        activity=active,
        light=quality,
        worth=worth,
        odds=params.season * params.weather,
        score=float(worth.sum()) / 60,
        best=_best_hour(sky, minutes, worth),
    )


def _lead_min(when: When, season: float) -> float:
    table = hours_table()["session"]
    if when == "evening":
        return float(-table["evening_from_min"] + table["evening_lead_min"])
    return float(table["peak_lead_min"] if season >= table["peak_share"] else table["other_lead_min"])


def _best_hour(sky: SkyDay, minutes: IntArray, worth: FloatArray) -> tuple[datetime, datetime]:
    span = min(60, len(worth))
    sums = np.convolve(worth, np.ones(span), mode="valid")
    start = int(minutes[int(np.argmax(sums))])
    return sky.at(start), sky.at(start + span)


def rank(sessions: Sequence[Session]) -> tuple[Session, ...]:
    """Order sessions, those most worth sitting first; the earlier of two equal ones first."""
    return tuple(sorted(sessions, key=lambda session: (-session.score, session.anchor)))


def rest_rule() -> tuple[int, int]:
    """Mornings in a row at one log, and days of rest after them."""
    table = hours_table()["session"]
    return int(table["mornings_in_a_row"]), int(table["rest_days"])
