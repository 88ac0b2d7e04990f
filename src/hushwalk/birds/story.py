"""`hushwalk fix` in reading order: notes, ground, birds, and where to stand next.

Each step has a file of its own in this room.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, time
from pathlib import Path

from hushwalk.birds.bird_report import LocatedBird, OneOrTwo
from hushwalk.birds.located_birds import located_birds, located_pairs
from hushwalk.birds.morning_fixes import MorningFixes, fix_birds, morning_notes
from hushwalk.birds.next_bearing import Stand, StandParams
from hushwalk.birds.stands_on_foot import NoStand, best_stands, deciding_stands, start_place
from hushwalk.errors import SettingsError
from hushwalk.notes.ledger import UnreadRow
from hushwalk.notes.notebook import Notebook, open_ledger
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.detectability import detectability_of
from hushwalk.site.morning_clock import Clock, morning_clock
from hushwalk.site.norths import north_of
from hushwalk.site.site import Site, read_site
from hushwalk.site.walk_network import build_walk_network

PAIRS_MAX = 3  # judgement: more walks than these nobody makes in a morning


@dataclass(frozen=True)
class FixRequest:
    """Which fix is wanted.

    Parameters
    ----------
    day : the morning; None for the latest with a bearing.
    bird : only this one, or an empty text for all.
    as_noted : keep the names as noted.
    here : where one stands; None for the last stop noted.
    within_min : longest walk to a stand [min].
    next_bearing : whether a stand is looked for at all.

    Raises
    ------
    SettingsError
        If the walk to a stand would last less than nothing.
    """

    day: date | None = None
    bird: str = ""
    as_noted: bool = False
    here: str | None = None
    within_min: float = 30.0
    next_bearing: bool = True

    def __post_init__(self) -> None:
        if not 0 <= self.within_min < float("inf"):
            raise SettingsError(f"within_min are finite minutes of 0 or more, got {self.within_min}")


@dataclass(frozen=True, eq=False)
class FixReport:
    """The fixes of a morning, where one stands, birds of the list that may be one, and rows that were not read."""

    title: str
    fixed: MorningFixes
    birds: tuple[LocatedBird, ...]
    here: str
    pairs: tuple[OneOrTwo, ...] = ()
    unread: tuple[UnreadRow, ...] = ()


def open_book(trip: Path, notes: Path | None, layers: Path | None) -> Notebook:
    """Open the notebook of a trip, with layer paths from another folder if one is given.

    Parameters
    ----------
    trip : the trip file.
    notes : the ledger; None for the trip's own.
    layers : folder that layer paths start at; None for the trip file's own.

    Returns
    -------
    Notebook
        Of the trip, with that folder in its settings.
    """
    book = open_ledger(trip, notes=notes)
    if layers is None:
        return book
    return replace(book, settings=replace(book.settings, folder=layers.resolve()))


def fix_trip(
    trip: Path,
    request: FixRequest,
    *,
    notes: Path | None = None,
    layers: Path | None = None,
    progress: Progress = quiet,
) -> FixReport:
    """Fix the birds of a morning of a trip.

    Parameters
    ----------
    trip : the trip file.
    request : which morning, which bird, from where.
    notes : the ledger; None for the trip's own.
    layers : folder that layer paths start at; None for the trip file's own.
    progress : gets each step as it starts.

    Returns
    -------
    FixReport
        The fixes, where each bird is in degrees and metres, and the next best bearing of each.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    return fix_notes(open_book(trip, notes, layers), request, progress)


def fix_notes(book: Notebook, request: FixRequest, progress: Progress = quiet, site: Site | None = None) -> FixReport:
    """Fix the birds of a morning of a notebook.

    Parameters
    ----------
    book : of the trip.
    request : which morning, which bird, from where.
    progress : gets each step as it starts.
    site : the ground, where it was read before; None to read it.

    Returns
    -------
    FixReport
        As :func:`fix_trip` gives it.
    """
    noted = morning_notes(book, request.day)
    progress(Step("reading the layers"))
    site = site or read_site(book.settings)
    detectability = detectability_of(book.settings, site)
    progress(Step(f"sharing {len(noted.bearing_rows)} bearings out to birds, and fixing each"))
    fixed = fix_birds(book, site, detectability, noted, only=request.bird, as_noted=request.as_noted)
    here = start_place(book, site, fixed, request.here)
    clock = clock_of_day(book, site, noted.day)
    stands, pairs = _stands(book, site, fixed, request, clock, progress)
    birds = located_birds(site, north_of(site, clock), fixed, stands)
    return FixReport(book.settings.place.name, fixed, birds, here.name, pairs, book.unread())


def clock_of_day(book: Notebook, site: Site, day: date) -> Clock:
    """Lay out the clock of a day of notes; the hours that the trip file gives its own morning do not bind it.

    Parameters
    ----------
    book, site : of the trip.
    day : of the notes, or of a search.

    Returns
    -------
    Clock
        From an hour and a half before sunrise to the end of the day.
    """
    hours = replace(book.settings.morning, date=day, leave_not_before=None, back_by=time(23, 59))
    return morning_clock(hours, site.car.lon_deg, site.car.lat_deg)


def _stands(
    book: Notebook, site: Site, fixed: MorningFixes, request: FixRequest, clock: Clock, progress: Progress
) -> tuple[Mapping[str, Stand | NoStand], tuple[OneOrTwo, ...]]:
    """Find the next best bearing of every bird, and of every two that may be one; none if none is asked for."""
    names = {fix.bird for fix in fixed.fixes}
    pairs = tuple(pair for pair in fixed.association.maybe_one if names & set(pair.names))[:PAIRS_MAX]
    if not request.next_bearing:
        return {}, located_pairs(site, pairs, None)
    progress(Step("looking for the next best bearings"))
    walker = book.settings.walker
    here = start_place(book, site, fixed, request.here)
    way = build_walk_network(book.settings, site, clock)
    params = StandParams(stand_off_m=walker.stand_off_m, sd_deg=walker.bearing_error_deg, earshot=fixed.earshot)
    stands = best_stands(way, fixed, here, request.within_min, params)
    decide = deciding_stands(way, fixed, here, pairs, request.within_min, params)
    return stands, located_pairs(site, pairs, decide)
