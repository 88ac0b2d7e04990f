"""Whether this morning is worth getting up for: go, go but expect less, or stay in bed, and why.

Where to go is the plan's business; nothing here knows the ground.
"""

from dataclasses import dataclass, replace
from enum import Enum
from typing import Literal

import numpy as np

from hushwalk.hearing.availability import Display, Rain, Weather, weather_factor
from hushwalk.hearing.conditions import CALM, Conditions
from hushwalk.hearing.level_soundscape import LEAFLESS, LevelSoundscape
from hushwalk.science.detection import effective_radius_m

Word = Literal["go", "go, but", "stay in bed"]

FARTHEST_M = 2000.0
GO_SHARE = 0.6
"""From here on a morning counts as a good one (judgement: the share that is left at the wind that still is a go)."""
STAY_SHARE = 0.25
"""Below it is better to wait for another (judgement: four such mornings hear less than one calm one)."""
SCARCELY = 0.9
"""What leaves this much of a good morning is next to nothing (judgement)."""


class Hindrance(Enum):
    """What takes most of a morning."""

    WIND = "wind at the ear"
    SNOW = "deep snow that swallows sound"
    AIR = "the lie of the air"
    RAIN = "rain"
    STILL = "birds that keep still in the wind"
    SNOW_ON_LOGS = "snow on the logs"
    NEXT_TO_NOTHING = "something, but little"
    NONE = "nothing"


@dataclass(frozen=True)
class Verdict:
    """The morning in a word.

    Parameters
    ----------
    word : ``"go"``, ``"go, but"`` or ``"stay in bed"``.
    share_of_calm : males to be expected against a calm, dry morning without snow on the same date, 0..1 (a little above
        1 cannot be).
    hindrance : what takes most.
    conditions : the air it was said of.
    rain : ``"none"``, ``"light"`` or ``"steady"``.
    """

    word: Word
    share_of_calm: float
    hindrance: Hindrance
    conditions: Conditions
    rain: Rain


def heard_area_km2(level: LevelSoundscape) -> float:
    """Ground on which one display is heard, over level leafless hardwood.

    Parameters
    ----------
    level : source, air and ear.
    """
    far = np.arange(0.0, FARTHEST_M + 1, 5.0)
    return float(np.pi) * effective_radius_m(far, level.chance(far, LEAFLESS)) ** 2 / 1e6


def verdict(display: Display, weather: Weather, level: LevelSoundscape) -> Verdict:
    """Say whether a morning is worth it.

    Parameters
    ----------
    display : of the species.
    weather : what the birds feel.
    level : source, air and ear.

    Returns
    -------
    Verdict

    Notes
    -----
    The share is the area on which a display is heard over level leafless hardwood, times the males that display,
    both against a calm, dry, snowless dawn. Wind at the ear alone decides where it is above the species' limits.
    """
    air = level.air
    calm = heard_area_km2(replace(level, air=CALM))
    parts = {
        Hindrance.WIND: replace(CALM, wind_at_ear_ms=air.wind_at_ear_ms),
        Hindrance.SNOW: replace(CALM, snow=air.snow),
        Hindrance.AIR: replace(CALM, air=air.air),
    }
    left = {what: heard_area_km2(replace(level, air=part)) / calm for what, part in parts.items()}
    for what, alone in (
        (Hindrance.RAIN, Weather(rain=weather.rain)),
        (Hindrance.STILL, Weather(wind_ms=weather.wind_ms)),
        (Hindrance.SNOW_ON_LOGS, Weather(snow_cover_share=weather.snow_cover_share)),
    ):
        left[what] = weather_factor(display, alone)
    share = heard_area_km2(level) / calm * weather_factor(display, weather)
    worst, least = min(left.items(), key=lambda item: item[1])
    hindrance = worst if least < 1 - 1e-9 else Hindrance.NONE
    wind, limits = air.wind_at_ear_ms, display.weather
    if wind > limits["wind_stay_ms"] or share < STAY_SHARE:
        return Verdict("stay in bed", share, hindrance, air, weather.rain)
    if wind <= limits["wind_go_ms"] and share >= GO_SHARE:
        little = Hindrance.NEXT_TO_NOTHING if least >= SCARCELY else hindrance
        return Verdict("go", share, little, air, weather.rain)
    return Verdict("go, but", share, hindrance, air, weather.rain)
