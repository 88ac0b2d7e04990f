"""What can be heard on this morning: the bird's call, the air, the ear, and how both change with the hour.

The physics is the hearing room's; here the trip's settings and the species card meet it.
"""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from hushwalk.grid.points import parse_place, to_metres
from hushwalk.hearing.availability import Availability, Display, Weather, availability, display_from_card
from hushwalk.hearing.call import Call, call_from_card
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.coverage import Coverage, coverage
from hushwalk.hearing.footprint import FootprintParams, footprint
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.morning_verdict import Verdict, verdict
from hushwalk.hearing.open_ground import open_chance
from hushwalk.hearing.path import Ledger, sound_path
from hushwalk.site.morning_clock import Clock
from hushwalk.site.settings import Evidence, TripSettings, WalkerSettings, WeatherSettings
from hushwalk.site.site import Site
from hushwalk.site.species import SpeciesCard
from hushwalk.types import FloatArray

LEAFLESS = 0.25  # judgement: foliage factor of leafless hardwood, the usual cover of the bird
EVEN = 0.5  # definition: as likely heard as not
KNOT_S = 600.0  # judgement: availability changes little within ten minutes
DISTANCES_M = np.arange(5.0, 1500.0, 5.0)


@dataclass(frozen=True)
class Ears:
    """Who listens to what, in which air.

    Parameters
    ----------
    call, display : of the species.
    conditions, weather : of the morning.
    listener : with the evidence level that is planned with.
    params : reach and grid of footprints.
    """

    call: Call
    display: Display
    conditions: Conditions
    weather: Weather
    listener: Listener
    params: FootprintParams = field(default_factory=FootprintParams)

    def at_evidence(self, evidence: Evidence) -> "Ears":
        """Return the same ears at another level of evidence."""
        return replace(self, listener=replace(self.listener, evidence=evidence))

    def earshot_m(self, foliage_factor: float, stream_dba: float = float("nan")) -> float:
        """Distance on level ground at which one display is heard with an even chance [m].

        Parameters
        ----------
        foliage_factor : of the cover, the same everywhere.
        stream_dba : level of running water at the ear; NaN for none [dB(A)].
        """
        chance = open_chance(self.call, self.conditions, self.listener, DISTANCES_M, foliage_factor, stream_dba)
        return float(np.interp(-EVEN, -chance, DISTANCES_M))

    def verdict(self) -> Verdict:
        """Go, go but, or stay in bed."""
        return verdict(self.display, self.call, self.conditions, self.weather, self.listener)


def ears_of(settings: TripSettings, site: Site) -> Ears:
    """Gather the ears from settings and species card.

    Raises
    ------
    SettingsError
        If the card lacks a call or a display, or a value cannot be.
    """
    return ears_from(site.card, settings.weather, settings.walker)


def ears_from(card: SpeciesCard, sky: WeatherSettings, walker: WalkerSettings) -> Ears:
    """Gather the ears from a species card, the weather and the walker.

    Raises
    ------
    SettingsError
        As for :func:`ears_of`.
    """
    return Ears(
        call=call_from_card(card.raw),
        display=display_from_card(card.raw),
        conditions=Conditions(
            temperature_c=sky.temperature_c,
            humidity_pct=sky.humidity_pct,
            wind_at_ear_ms=sky.wind_at_ear_ms,
            snow=sky.snow,
            air=sky.air,
        ),
        weather=Weather(rain=sky.rain, wind_ms=sky.wind_at_ear_ms, snow_cover_share=sky.snow_cover_share),
        listener=Listener(offset_db=walker.hearing_offset_db, evidence=walker.evidence),
    )


def heard_from(ears: Ears, site: Site, posts_xy: FloatArray) -> Coverage:
    """Chance to hear one display on each target cell from each post, shape (n_posts, n_targets)."""
    ground = site.ground
    return coverage(
        posts_xy,
        ground.elevation,
        ground.foliage,
        ground.stream_noise,
        ears.call,
        ears.conditions,
        ears.listener,
        ears.params,
    )


def heard_round(ears: Ears, site: Site, stop_xy: FloatArray) -> "NDArray[np.float64]":
    """Chance to hear one display on each cell of the trip's grid from one stop, shape grid.shape."""
    ground = site.ground
    layer = footprint(
        stop_xy,
        ground.elevation,
        ground.foliage,
        ground.stream_noise,
        ears.call,
        ears.conditions,
        ears.listener,
        ears.params,
    )
    return layer.values


def ledger_between(settings: TripSettings, site: Site, bird: str, ear: str) -> str:
    """Every term of one sound path in words and numbers.

    Parameters
    ----------
    bird, ear : places as text, in any form that is understood.

    Raises
    ------
    PlaceError
        If a place cannot be read or lies off the ground of the trip.
    """
    bird_m, ear_m = (_on_ground(site, text, words) for text, words in ((bird, "the bird"), (ear, "the ear")))
    return path_between(ears_of(settings, site), site, bird_m, ear_m).table()


def path_between(ears: Ears, site: Site, bird_m: tuple[float, float], ear_m: tuple[float, float]) -> Ledger:
    """Follow one display from a bird to an ear over the ground of the trip."""
    ground = site.ground
    return sound_path(
        bird_m,
        ear_m,
        ground.elevation,
        ground.foliage,
        ground.stream_noise,
        ears.call,
        ears.conditions,
        ears.listener,
        ears.params.ground_factor,
    )


def _on_ground(site: Site, text: str, words: str) -> tuple[float, float]:
    east, north = to_metres(site.grid.epsg, np.array(parse_place(text))).tolist()
    site.grid.cell_at((east, north), words)
    return east, north


def availability_at(ears: Ears, site: Site, clock: Clock, begin_s: FloatArray, dwell_s: float) -> Availability:
    """Availability of a stop by when it begins, taken at the middle of the stop."""
    minutes = (begin_s + dwell_s / 2 - clock.sunrise_s) / 60
    return availability(
        ears.display,
        minutes,
        dwell_s,
        day_of_year=clock.midnight.timetuple().tm_yday,
        latitude_deg=site.car.lat_deg,
        elevation_m=site.car.elevation_m,
        weather=ears.weather,
    )


def availability_table(
    ears: Ears, site: Site, clock: Clock, dwell_s: tuple[float, ...]
) -> tuple[FloatArray, FloatArray, float]:
    """Availability by dwell and clock, and the participation that is common to all stops.

    Returns
    -------
    tuple
        Clock knots, shape (k,) [s]; hour factor times cue, shape (len(dwell_s), k); participation 0..1.
    """
    knots = np.append(np.arange(clock.earliest_s, clock.latest_s, KNOT_S), clock.latest_s)
    told = [availability_at(ears, site, clock, knots, dwell) for dwell in dwell_s]
    return knots, np.array([a.hour_factor * a.cue for a in told]), told[0].participation
