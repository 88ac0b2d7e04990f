"""The person's own hearing, learnt from the ledger: males later found at their logs, heard or not from the stops.

hearing/listener.py holds the statistics; which note belongs to which male is sorted out in known_males.py.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import sqrt

import numpy as np

from hushwalk.birds.bearing_fit import FEWEST_BEARINGS, BearingFit, fit_bearings
from hushwalk.birds.known_males import KnownMale, LogsLeftOut, StopRecord, known_males
from hushwalk.errors import InputError
from hushwalk.hearing.listener import EVIDENCE, evidence_db, usual_weights
from hushwalk.hearing.listener_offset import HeardRecord, OffsetFit, level_chances, refit
from hushwalk.notes.bearing import BearingError, metres_of
from hushwalk.notes.figures import figure
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import LonLat
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.detectability import Detectability, availability_at, detectability_of
from hushwalk.site.morning_clock import Clock, morning_clock
from hushwalk.site.settings import TripSettings
from hushwalk.site.site import Site, read_site

FEWEST_MALES = 5
"""Judgement: fewer males and mornings are an anecdote, whatever their interval says."""
LEARNT_SHARE = 0.6
"""Judgement: an interval wider than three fifths of that without notes is not worth planning with."""
WILD_SD_DEG = 30.0
"""Judgement: a listener errs by 8 to 15 degrees; twice that is no ear but a mix-up."""


@dataclass(frozen=True)
class ListenerReport:
    """What the ledger says of its listener.

    Parameters
    ----------
    males : males and mornings that were sorted out.
    stops : stops in reach of them, and at how many of these he was heard.
    offset, offset_says_enough : the ear, and whether its interval is worth planning with.
    bearing : the bearing error, or None where too few bearings were taken.
    bearings : how many bearings lead to known logs.
    evidence : level of evidence that the offset counts from.
    evidence_weights : how probable each level is by the notes; None where the trip plans with one level alone.
    settings : the trip file as it is now.
    left_out : used logs that say nothing.
    males_unused : males that say nothing of the listener, off the ground or heard from too far.
    """

    males: int
    stops: tuple[int, int]
    offset: OffsetFit
    offset_says_enough: bool
    bearing: BearingFit | None
    bearings: int
    evidence: str
    evidence_weights: tuple[float, ...] | None
    settings: TripSettings
    left_out: LogsLeftOut
    males_unused: int


def fit_listener(book: Notebook, settings: TripSettings, progress: Progress = quiet) -> ListenerReport:
    """Learn the person's offset and bearing error from the ledger of a trip.

    Parameters
    ----------
    book : with the notes.
    settings : of the trip, with the folder that its layers start at.
    progress : gets each step as it starts.

    Returns
    -------
    ListenerReport
        Offset [dB] and bearing error [deg] with their intervals, and whether the offset is worth planning with.

    Raises
    ------
    InputError
        If no log in use carries the name of a bird that was heard.
    HushwalkError
        If a layer of the trip cannot be used.

    Notes
    -----
    Margins are those of an average ear at the trip's level of evidence in the trip's weather, over the real ground.
    Only males heard at one stop at least are known, so the offset is learnt given that (known by ear).
    """
    males, left_out = known_males(book)
    progress(Step("reading the layers"))
    site = read_site(settings)
    detectability = detectability_of(settings, site)
    average = replace(detectability.soundscape.listener, offset_db=0.0)
    detectability = replace(detectability, soundscape=replace(detectability.soundscape, listener=average))
    progress(Step(f"following the sound of {len(males)} males to the stops"))
    records = [record for male in males for record in _records(male, settings, site, detectability)]
    used = len({record.known_by_ear for record in records})
    sd_db, shared = detectability.soundscape.listener.sd_db, figure("earshot", "shared_loudness")
    offset = refit(records, sd_db=sd_db, shared=shared)
    taken = sum(len(male.bearings) for male in males)
    return ListenerReport(
        len(males),
        (len(records), sum(record.heard for record in records)),
        offset,
        used >= FEWEST_MALES and _width(offset) <= LEARNT_SHARE * _width(refit(())),
        _bearing_fit(males) if taken >= FEWEST_BEARINGS else None,
        taken,
        detectability.soundscape.listener.evidence,
        _weights(records, settings, sd_db, shared),
        settings,
        left_out,
        len(males) - used,
    )


def _weights(
    records: Sequence[HeardRecord], settings: TripSettings, sd_db: float, shared: float
) -> tuple[float, ...] | None:
    """How probable each level of evidence is by what was heard, from what one believes without notes."""
    if settings.walker.evidence != "focal":
        return None
    added_db = [evidence_db(evidence) for evidence in EVIDENCE]
    return level_chances(records, added_db, usual_weights(), sd_db=sd_db, shared=shared)


def _width(fit: OffsetFit) -> float:
    return fit.high_db - fit.low_db


def _records(
    male: KnownMale, settings: TripSettings, site: Site, detectability: Detectability
) -> tuple[HeardRecord, ...]:
    """One record a stop in reach, or none where the log lies off the ground or no stop in reach heard him."""
    bird = metres_of(male.log.place, site.grid.epsg)
    if not site.grid.contains(np.array([bird]))[0]:
        return ()
    clock = _clock_of(settings, male.day, male.log.place)
    found = []
    for stop in male.stops:
        listener_m = metres_of(stop.place, site.grid.epsg)
        away = sqrt((listener_m[0] - bird[0]) ** 2 + (listener_m[1] - bird[1]) ** 2)
        if (
            not (1.0 < away <= detectability.soundscape.params.reach_m)
            or not site.grid.contains(np.array([listener_m]))[0]
        ):
            continue
        try:
            margin = detectability.soundscape.path(bird, listener_m).margin_db
        except InputError:  # ground without heights on the way
            continue
        found.append(HeardRecord(margin, stop.heard, _display_chance(stop, site, detectability, clock), male.label))
    return tuple(found) if any(record.heard for record in found) else ()


def _display_chance(stop: StopRecord, site: Site, detectability: Detectability, clock: Clock) -> float:
    """Chance that a male who displays this morning does so once in the minutes of the stop."""
    dwell_s = 60 * (stop.minutes or figure("earshot", "minutes_unknown"))
    found = availability_at(detectability, site, clock, np.array([clock.seconds(stop.at)]), dwell_s)
    return float(np.clip((found.hour_factor * found.cue)[0], 1e-6, 1.0))


def _clock_of(settings: TripSettings, day: date, place: LonLat) -> Clock:
    return morning_clock(replace(settings.morning, date=day), place[0], place[1])


def _bearing_fit(males: Sequence[KnownMale]) -> BearingFit:
    """Learn from all bearings to logs; several of one stop to one male count as the part that is each one's own."""
    notes = [(male, note) for male in males for note in male.bearings]
    at_stop = Counter((male.label, note.stop or note.place) for male, note in notes)
    alike = [at_stop[male.label, note.stop or note.place] for male, note in notes]
    usual = BearingError()
    return fit_bearings(
        [male.error_deg(note) for male, note in notes],
        birds=[male.label for male, _ in notes],
        factors=[usual.factors[note.error_class] for _, note in notes],
        stray_factors=[usual.stray_factors[note.error_class] for _, note in notes],
        weights=[1 / (1 + (count - 1) * figure("bearing", "stop_share")) for count in alike],
    )
