"""Which cautions a sheet carries, chosen from the settings of the trip.

Their words are caution_words.py's.
"""

from dataclasses import dataclass, replace
from enum import Enum

from hushwalk.site.settings import TripSettings
from hushwalk.site.species import SpeciesCard

COLD_C = 5.0
"""Judgement: where a still person feels the cold within minutes [degrees C]."""


class Caution(Enum):
    """What to bear in mind before one goes."""

    LEAVE_WORD = "tell someone where you go"
    DARK_WALK = "the walk is in the dark"
    OLD_MAP = "the map may be wrong"
    CLOSED_LAND = "land may be closed"
    HUNTING = "people hunt at dawn"
    STAND_OFF = "keep off a displaying male"
    NO_PLAYBACK = "no playback, no cutting"
    KEEP_QUIET = "keep logs to yourself"
    ICE = "ice is not to be trusted"
    OFF_TRAIL_IN_THE_DARK = "off-trail walking in the dark"
    DARK_EVENING = "it grows dark on the walk"
    OFF_TRAIL_AFTER_DUSK = "off-trail walking after dusk"
    COLD = "standing still chills"
    LOOK_BY_DAY = "look at a new place by day"


@dataclass(frozen=True)
class SiteCaution:
    """A caution, with the distance to keep [m] or the temperature [degrees C] where it speaks of one."""

    caution: Caution
    value: float | None = None


ALWAYS = (
    Caution.LEAVE_WORD,
    Caution.DARK_WALK,
    Caution.OLD_MAP,
    Caution.CLOSED_LAND,
    Caution.HUNTING,
    Caution.STAND_OFF,
    Caution.NO_PLAYBACK,
    Caution.KEEP_QUIET,
)
AFTER_SUNSET = {
    Caution.DARK_WALK: Caution.DARK_EVENING,
    Caution.OFF_TRAIL_IN_THE_DARK: Caution.OFF_TRAIL_AFTER_DUSK,
}
"""What an evening says in place of a morning's cautions."""
SCOUTING = (
    Caution.LOOK_BY_DAY,
    Caution.LEAVE_WORD,
    Caution.OLD_MAP,
    Caution.CLOSED_LAND,
    Caution.HUNTING,
    Caution.KEEP_QUIET,
)


def scouting_cautions() -> tuple[SiteCaution, ...]:
    """Give the cautions for picking new ground."""
    return tuple(SiteCaution(one) for one in SCOUTING)


def keeping_off(settings: TripSettings, card: SpeciesCard) -> TripSettings:
    """Keep at least as far off as the card of the bird says: its distance goes before a smaller one of the trip."""
    off_m = max(settings.walker.stand_off_m, card.stand_off_m)
    return replace(settings, walker=replace(settings.walker, stand_off_m=off_m))


def cautions(settings: TripSettings) -> tuple[SiteCaution, ...]:
    """Give the cautions for a trip."""
    off_m = {Caution.STAND_OFF: settings.walker.stand_off_m}
    dark = AFTER_SUNSET if settings.morning.evening else {one: one for one in AFTER_SUNSET}
    chosen = [SiteCaution(dark.get(one, one), off_m.get(one)) for one in ALWAYS]
    weather = settings.weather
    if weather.snow != "none" or weather.snow_cover_share > 0 or weather.temperature_c <= 0:
        chosen.append(SiteCaution(Caution.ICE))
    if settings.morning.off_trail_in_the_dark:
        chosen.append(SiteCaution(dark[Caution.OFF_TRAIL_IN_THE_DARK]))
    if weather.temperature_c <= COLD_C:
        chosen.append(SiteCaution(Caution.COLD, weather.temperature_c))
    return tuple(chosen)
