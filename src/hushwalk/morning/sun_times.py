"""The light of a morning or an evening, and what is taken for granted of the hours before sunset.

The clock is site/morning_clock.py's; the sentences are wording/evening_words.py's.
"""

from dataclasses import dataclass
from datetime import datetime

from hushwalk.hearing.availability import Display
from hushwalk.site.evening import EveningWalk
from hushwalk.site.morning_clock import Clock
from hushwalk.site.settings import MorningSettings
from hushwalk.site.species import SpeciesCard


@dataclass(frozen=True)
class SunTimes:
    """The light of the day. None where the sun does not do it that day."""

    nautical_dawn: datetime | None
    civil_dawn: datetime | None
    sunrise: datetime | None
    moon: str = ""
    sunset: datetime | None = None
    civil_dusk: datetime | None = None


@dataclass(frozen=True)
class EveningHours:
    """What is taken for granted of an evening.

    Parameters
    ----------
    after_dark : whether one may be back in the dark; None where the walk is shared.
    air_assumed, weather_of_morning : whether nobody said how the air lies, and how windy and warm it is; None likewise.
    best_share : displays in the best hour of the evening against the best of the morning, 0..1.
    best_min : when that is, from sunset [min].
    source : where the curve of the evening is from, as the species card says.
    """

    after_dark: bool | None
    air_assumed: bool | None
    weather_of_morning: bool | None
    best_share: float
    best_min: float
    source: str


def sun_times(clock: Clock, moon: str) -> SunTimes:
    """Dawn, sunrise, sunset and dusk in the trip's zone."""
    light, dusk, zone = clock.light, clock.dusk, clock.midnight.tzinfo
    times = (light.nautical_dawn, light.civil_dawn, light.sunrise, dusk.sunset, dusk.civil_dusk)
    own = [t.astimezone(zone) if t else None for t in times]
    return SunTimes(own[0], own[1], own[2], moon, own[3], own[4])


def evening_hours(walk: MorningSettings, display: Display, card: SpeciesCard) -> EveningHours | None:
    """Give what is taken for granted of an evening; None for a morning.

    Parameters
    ----------
    walk : its hours.
    display : of the bird, known for evenings.
    card : of the bird.

    Returns
    -------
    EveningHours or None
    """
    if not isinstance(walk, EveningWalk):
        return None
    best = max(display.evening_factor)
    return EveningHours(
        walk.after_dark,
        walk.air_assumed,
        walk.weather_of_morning,
        best,
        display.minutes_from_sunset[display.evening_factor.index(best)],
        str(card.raw["display"]["evening"].get("source", "")),
    )
