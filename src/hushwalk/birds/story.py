"""The story of `hushwalk fix` in reading order: notes, ground, birds, and where to stand next.

Each step is told in its own file of the hall.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from hushwalk.birds.detections import FoundBird
from hushwalk.birds.finding import found_birds
from hushwalk.birds.fixes import Fixed, fix_birds, morning_notes
from hushwalk.birds.next_stand import best_stands, here_of
from hushwalk.birds.stand import Stand
from hushwalk.notes.notebook import Notebook, open_ledger
from hushwalk.progress import Progress, Step, quiet
from hushwalk.site.detectability import detectability_of
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.norths import north_of
from hushwalk.site.site import Site, read_site
from hushwalk.site.walk_network import build_walk_network


@dataclass(frozen=True)
class FixAsk:
    """What is asked for.

    Parameters
    ----------
    day : the morning; None for the latest with a bearing.
    bird : only this one, or an empty text for all.
    as_noted : keep the names as noted.
    here : where one stands; None for the last stop noted.
    within_min : longest walk to a stand [min].
    next_bearing : whether a stand is looked for at all.
    """

    day: date | None = None
    bird: str = ""
    as_noted: bool = False
    here: str | None = None
    within_min: float = 30.0
    next_bearing: bool = True


@dataclass(frozen=True, eq=False)
class FixTold:
    """The fixes of a morning, ready to be told."""

    title: str
    fixed: Fixed
    birds: tuple[FoundBird, ...]
    here: str


def open_book(trip: Path, notes: Path | None, layers: Path | None) -> Notebook:
    """Open the notebook of a trip, with layer paths from another folder if one is given."""
    book = open_ledger(trip, notes=notes)
    if layers is None:
        return book
    return replace(book, settings=replace(book.settings, folder=layers.resolve()))


def fix_trip(
    trip: Path,
    ask: FixAsk,
    *,
    notes: Path | None = None,
    layers: Path | None = None,
    progress: Progress = quiet,
) -> FixTold:
    """Fix the birds of a morning of a trip.

    Parameters
    ----------
    trip : the trip file.
    ask : which morning, which bird, from where.
    notes : the ledger; None for the trip's own.
    layers : folder that layer paths start at; None for the trip file's own.
    progress : is told as each step begins.

    Raises
    ------
    HushwalkError
        One clear message for anything a person can mend.
    """
    book = open_book(trip, notes, layers)
    noted = morning_notes(book, ask.day)
    progress(Step("reading the layers"))
    site = read_site(book.settings)
    detectability = detectability_of(book.settings, site)
    progress(Step(f"sharing {len(noted.bearing_rows)} bearings out to birds, and fixing each"))
    fixed = fix_birds(book, site, detectability, noted, only=ask.bird, as_noted=ask.as_noted)
    here = here_of(book, site, fixed, ask.here)
    stands = _stands(book, site, fixed, ask, progress) if ask.next_bearing else {}
    clock = morning_clock(replace(book.settings.morning, date=noted.day), site.car.lon_deg, site.car.lat_deg)
    birds = found_birds(site, north_of(site, clock), fixed, stands)
    return FixTold(book.settings.place.name, fixed, birds, here.name)


def _stands(book: Notebook, site: Site, fixed: Fixed, ask: FixAsk, progress: Progress) -> Mapping[str, Stand | str]:
    progress(Step("looking for the next best bearings"))
    walker = book.settings.walker
    here = here_of(book, site, fixed, ask.here)
    clock = morning_clock(book.settings.morning, site.car.lon_deg, site.car.lat_deg)
    way = build_walk_network(book.settings, site, clock)
    return best_stands(way, fixed, here, ask.within_min, walker.stand_off_m, walker.bearing_error_deg)
