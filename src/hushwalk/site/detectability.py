"""What decides whether a male is detected on a morning: the soundscape, the bird's display and the weather it feels.

The physics is the hearing room's; here the trip's settings and the species card meet it.
"""

from dataclasses import dataclass, replace

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.grid.points import to_metres
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.availability import Availability, Display, Weather, availability, display_from_card
from hushwalk.hearing.call import call_from_card
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.coverage import Coverage
from hushwalk.hearing.level_soundscape import LEAFLESS, LevelSoundscape
from hushwalk.hearing.listener import EVIDENCE, Evidence, Listener, evidence_db, usual_weights
from hushwalk.hearing.morning_verdict import Verdict, verdict
from hushwalk.hearing.sound_budget import SoundBudget
from hushwalk.hearing.soundscape import Soundscape
from hushwalk.site.morning_clock import Clock
from hushwalk.site.settings import TripSettings, WalkerSettings, WeatherSettings
from hushwalk.site.site import Site
from hushwalk.site.species import SpeciesCard
from hushwalk.types import FloatArray

LOWER_FLOOR = 0.01  # judgement: at lower levels of evidence smaller chances add less than a hundredth
KNOT_S = 600.0  # judgement: availability changes little within ten minutes


@dataclass(frozen=True, eq=False)
class Detectability:
    """What a display sounds like at any stop, and whether there is one to hear.

    Parameters
    ----------
    soundscape : ground, air, call and listener with the evidence level that is planned with.
    display : of the species.
    weather : what the birds feel of the morning.
    weights : of the levels of evidence that are planned with, in the order of EVIDENCE; they sum to 1.
    """

    soundscape: Soundscape
    display: Display
    weather: Weather
    weights: tuple[float, ...] = (1.0, 0.0, 0.0)

    @property
    def level(self) -> LevelSoundscape:
        """The same air, call and listener over level ground."""
        return self.soundscape.level

    def at_evidence(self, evidence: Evidence) -> "Detectability":
        """Return the same at another level of evidence."""
        return replace(self, soundscape=self.soundscape.at_evidence(evidence))

    def earshot_of(self, evidence: Evidence) -> float:
        """Distance at which half are heard over level leafless hardwood at a level of evidence [m]."""
        return self.at_evidence(evidence).level.earshot_m(LEAFLESS)

    @property
    def mean_earshot_m(self) -> float:
        """Mean of those distances over the levels that are planned with [m]."""
        pairs = zip(EVIDENCE, self.weights, strict=True)
        return sum(weight * self.earshot_of(evidence) for evidence, weight in pairs if weight > 0)

    def at_levels(self, heard: Coverage) -> tuple[tuple[float, Coverage], ...]:
        """What posts hear at each level that is planned with, and its weight; ``heard`` is that of the soundscape."""
        own = self.soundscape.listener
        return tuple(
            (weight, self.lowered(heard, evidence_db(evidence) - evidence_db(own.evidence)))
            for evidence, weight in zip(EVIDENCE, self.weights, strict=True)
            if weight > 0
        )

    @property
    def level_weights(self) -> FloatArray:
        """Weights of those levels, without those of none; they sum to 1."""
        return np.array([weight for weight in self.weights if weight > 0])

    def lowered(self, heard: Coverage, added_db: float) -> Coverage:
        """Give a coverage of the soundscape at a lower level [dB]."""
        return heard if added_db == 0 else heard.at_gain(added_db, self.soundscape.listener.sd_db, LOWER_FLOOR)

    def verdict(self) -> Verdict:
        """Go, go but, or stay in bed."""
        return verdict(self.display, self.weather, self.level)


def detectability_of(settings: TripSettings, site: Site) -> Detectability:
    """Gather what decides detection on the ground of a trip.

    Raises
    ------
    SettingsError
        If the card lacks a call or a display, or a value cannot be.
    """
    level = level_soundscape_of(site.card, settings.weather, settings.walker)
    ground = AcousticGround(
        site.ground.elevation, site.ground.foliage, site.ground.stream_noise, site.ground.traffic_noise
    )
    return Detectability(
        soundscape=Soundscape(ground, level.air, level.call, level.listener),
        display=display_from_card(site.card.raw),
        weather=weather_of(settings.weather),
        weights=evidence_weights(settings.walker),
    )


def evidence_weights(walker: WalkerSettings) -> tuple[float, ...]:
    """Weights of the levels of evidence that a plan is made with, in the order of EVIDENCE; they sum to 1.

    Raises
    ------
    SettingsError
        If the weights are all 0, or given beside another evidence than the focal one.

    Notes
    -----
    Another evidence than the focal one is planned with alone, as the trip file says.
    """
    given = walker.evidence_weights
    if walker.evidence != "focal":
        if given is not None:
            raise SettingsError(
                f'walker.evidence_weights stands beside evidence = "{walker.evidence}"; leave one of the two out'
            )
        return tuple(float(evidence == walker.evidence) for evidence in EVIDENCE)
    weights = usual_weights() if given is None else given
    if sum(weights) <= 0:
        raise SettingsError(
            f"walker.evidence_weights is {list(weights)}; expected the weights of {', '.join(EVIDENCE)}, one above 0"
        )
    return tuple(weight / sum(weights) for weight in weights)


def level_soundscape_of(card: SpeciesCard, weather: WeatherSettings, walker: WalkerSettings) -> LevelSoundscape:
    """Gather what is heard over level ground.

    Parameters
    ----------
    card : of the species, with its call.
    weather : of the morning.
    walker : who listens.

    Returns
    -------
    LevelSoundscape

    Raises
    ------
    SettingsError
        If the card lacks a call, or a value cannot be.
    """
    air = Conditions(
        temperature_c=weather.temperature_c,
        humidity_pct=weather.humidity_pct,
        wind_at_ear_ms=weather.wind_at_ear_ms,
        snow=weather.snow,
        air=weather.air,
    )
    listener = Listener(offset_db=walker.hearing_offset_db, evidence=walker.evidence)
    return LevelSoundscape(air, call_from_card(card.raw), listener)


def weather_of(weather: WeatherSettings) -> Weather:
    """Weather as the birds feel it."""
    return Weather(rain=weather.rain, wind_ms=weather.wind_at_ear_ms, snow_cover_share=weather.snow_cover_share)


def sound_budget_between(
    settings: TripSettings, site: Site, bird: tuple[float, float], ear: tuple[float, float]
) -> SoundBudget:
    """Follow one display between two places of a trip.

    Parameters
    ----------
    settings, site : of the trip.
    bird, ear : longitude and latitude of both places [deg].

    Returns
    -------
    SoundBudget

    Raises
    ------
    PlaceError
        If a place lies off the ground of the trip.
    """
    bird_m, ear_m = (_on_ground(site, lonlat, words) for lonlat, words in ((bird, "the bird"), (ear, "the ear")))
    return detectability_of(settings, site).soundscape.path(bird_m, ear_m)


def _on_ground(site: Site, lonlat: tuple[float, float], words: str) -> tuple[float, float]:
    east, north = to_metres(site.grid.epsg, np.array(lonlat)).tolist()
    site.grid.cell_at((east, north), words)
    return east, north


def availability_at(
    detectability: Detectability, site: Site, clock: Clock, begin_s: FloatArray, dwell_s: float
) -> Availability:
    """Availability of a stop by when it begins, taken at the middle of the stop.

    Parameters
    ----------
    detectability : for display and weather.
    site : for latitude and height, those of the car.
    clock : for date and sunrise.
    begin_s : any shape, on the clock [s].
    dwell_s : length of the stop [s].

    Returns
    -------
    Availability
    """
    minutes = (begin_s + dwell_s / 2 - clock.sunrise_s) / 60
    return availability(
        detectability.display,
        minutes,
        dwell_s,
        day_of_year=clock.midnight.timetuple().tm_yday,
        latitude_deg=site.car.lat_deg,
        elevation_m=site.car.elevation_m,
        weather=detectability.weather,
        day_min=clock.day_min,
    )


def availability_table(
    detectability: Detectability, site: Site, clock: Clock, dwell_s: tuple[float, ...]
) -> tuple[FloatArray, FloatArray, float]:
    """Availability by dwell and clock, and the participation that is common to all stops.

    Parameters
    ----------
    detectability, site, clock : as in :func:`availability_at`.
    dwell_s : lengths of a stop [s].

    Returns
    -------
    tuple
        Clock knots, shape (k,) [s]; hour factor times cue, shape (len(dwell_s), k); participation 0..1.
    """
    knots = np.append(np.arange(clock.earliest_s, clock.latest_s, KNOT_S), clock.latest_s)
    by_dwell = [availability_at(detectability, site, clock, knots, dwell) for dwell in dwell_s]
    return knots, np.array([a.hour_factor * a.cue for a in by_dwell]), by_dwell[0].participation
