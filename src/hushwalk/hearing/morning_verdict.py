"""Whether this morning is worth getting up for: go, go but expect less, or stay in bed, and why.

Where to go is the plan's business; nothing here knows the ground.
"""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from hushwalk.hearing.availability import Display, Weather, weather_factor
from hushwalk.hearing.conditions import CALM
from hushwalk.hearing.level_soundscape import LEAFLESS, LevelSoundscape
from hushwalk.science.detection import effective_radius_m

Word = Literal["go", "go, but", "stay in bed"]

FARTHEST_M = 2000.0
GO_SHARE = 0.6
"""From here on a morning counts as a good one (judgement: the share that is left at the wind that still is a go)."""
STAY_SHARE = 0.25
"""Below it is better to wait for another (judgement: four such mornings hear less than one calm one)."""


@dataclass(frozen=True)
class Verdict:
    """The morning in a word.

    Parameters
    ----------
    word : ``"go"``, ``"go, but"`` or ``"stay in bed"``.
    share_of_calm : males to be expected against a calm, dry morning without snow on the same date, 0..1 (a little above
        1 cannot be).
    reason : what takes most, in words.
    """

    word: Word
    share_of_calm: float
    reason: str

    @property
    def sentence(self) -> str:
        """The verdict in words."""
        if self.word == "go":
            return f"Go: {self.reason}, {100 * self.share_of_calm:.0f} % of a calm morning."
        if self.word == "go, but":
            return f"Go, but expect {100 * self.share_of_calm:.0f} % of a calm morning: {self.reason}."
        return f"Stay in bed: {self.reason} leaves {100 * self.share_of_calm:.0f} % of a calm morning."


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
        f"wind of {air.wind_at_ear_ms:.1f} m/s at the ear": replace(CALM, wind_at_ear_ms=air.wind_at_ear_ms),
        f"deep {air.snow} snow": replace(CALM, snow=air.snow),
        f"{air.air} air": replace(CALM, air=air.air),
    }
    left = {word: heard_area_km2(replace(level, air=part)) / calm for word, part in parts.items()}
    for word, alone in (
        (f"{weather.rain} rain", Weather(rain=weather.rain)),
        ("birds that keep still in the wind", Weather(wind_ms=weather.wind_ms)),
        ("snow on the logs", Weather(snow_cover_share=weather.snow_cover_share)),
    ):
        left[word] = weather_factor(display, alone)
    share = heard_area_km2(level) / calm * weather_factor(display, weather)
    worst, least = min(left.items(), key=lambda item: item[1])
    reason = worst if least < 1 - 1e-9 else "calm, dry and no deep snow"
    wind, limits = air.wind_at_ear_ms, display.weather
    if wind > limits["wind_stay_ms"] or share < STAY_SHARE:
        return Verdict("stay in bed", share, reason)
    if wind <= limits["wind_go_ms"] and share >= GO_SHARE:
        return Verdict("go", share, reason if least < 0.9 else "next to nothing in the way")  # noqa: PLR2004
    return Verdict("go, but", share, reason)
