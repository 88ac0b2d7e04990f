"""One morning's bearings, from the ledger to where each bird probably is.

association.py says whose bearing is whose, fix.py where one bird is, stands_on_foot.py where to stand next.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import chain
from zoneinfo import ZoneInfo

import numpy as np

from hushwalk.birds.association import (
    AssociatedBird,
    Association,
    AssociationParams,
    associate,
    bearings_by_bird,
    named_bird,
)
from hushwalk.birds.audible_stops import audible_from
from hushwalk.birds.averaged_place import averaged_place, coarse_place
from hushwalk.birds.distinct_logs import distinct_logs
from hushwalk.birds.fix import Fix, FixParams, find_bird
from hushwalk.birds.group_likelihood import log_males
from hushwalk.birds.listening_visits import listened_at, without_doubles
from hushwalk.birds.posterior import EarshotParams, centres_m, window
from hushwalk.birds.season_birds import (
    MorningBird,
    SeasonBird,
    SeasonBirds,
    SeasonGround,
    UsedLog,
    log_quiet,
    season_birds,
)
from hushwalk.errors import InputError, MissingFileError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.notes.bearing import Bearing, Listening, bearings_of, metres_of, stations_m
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import Kind, LogNote
from hushwalk.site.detectability import Detectability
from hushwalk.site.site import Site
from hushwalk.types import FloatArray, IntArray

KINDS: tuple[Kind, ...] = ("bearing", "visit")


@dataclass(frozen=True, eq=False)
class MorningNotes:
    """The notes of one morning: its day, visits to stops, bearings, and how many more were the same kept twice."""

    day: date
    visits: tuple[LedgerRow, ...] = field(repr=False)
    bearing_rows: tuple[LedgerRow, ...] = field(repr=False)
    doubles: int = 0


@dataclass(frozen=True, eq=False)
class MorningFixes:
    """What one morning's bearings gave.

    Parameters
    ----------
    notes : what was noted.
    bearings, listening : the same, ready to be crossed.
    proposal : which bearing belongs to which bird.
    fixes : one a bird, in the order of their names.
    earshot : how hearing and silence were weighed.
    zone : whose clock counts.
    unnamed : bearings left out, because only the names that were noted count and they have none.
    season : males of the season, or None where the morning stands alone.
    audible : chance that one display in a cell is heard at a stop, by its name.
    """

    notes: MorningNotes
    bearings: tuple[Bearing, ...] = field(repr=False)
    listening: tuple[Listening, ...] = field(repr=False)
    association: Association = field(repr=False)
    fixes: tuple[Fix, ...] = field(repr=False)
    earshot: EarshotParams = field(repr=False)
    zone: ZoneInfo
    unnamed: int = 0
    season: SeasonBirds | None = field(default=None, repr=False)
    audible: Mapping[str, Layer] = field(default_factory=dict, repr=False)

    def male_of(self, bird: str) -> SeasonBird | None:
        """Give the male of the season that a bird of this morning is, with its number and its logs."""
        return None if self.season is None else self.season.of(self.notes.day, bird)


@dataclass(frozen=True, eq=False)
class SharedMorning:
    """One morning with its bearings shared out: what was noted and heard, from where, and whose bearing is whose."""

    notes: MorningNotes
    bearings: tuple[Bearing, ...] = field(repr=False)
    listening: tuple[Listening, ...] = field(repr=False)
    audible: Mapping[str, Layer] = field(repr=False)
    association: Association = field(repr=False)
    earshot: EarshotParams = field(repr=False)


def morning_notes(book: Notebook, day: date | None = None) -> MorningNotes:
    """Gather the notes of one morning.

    Parameters
    ----------
    book : of the trip.
    day : the morning; None for the latest one with a bearing.

    Raises
    ------
    MissingFileError
        If nothing was noted yet.
    InputError
        If no bearing was noted, or none on that day.
    """
    if not book.path.is_file():
        raise MissingFileError(
            f"there are no field notes {book.path}; note bearings first with `hushwalk note`, or name the file with "
            "--notes"
        )
    bearing_rows = book.notes("bearing")
    days = sorted({_day(row, book) for row in bearing_rows})
    if not days:
        raise InputError(f"{book.path} holds no bearing yet; a bird is fixed from bearings")
    wanted = day or days[-1]
    if wanted not in days:
        known = ", ".join(f"{d:%Y-%m-%d}" for d in days[-5:])
        raise InputError(f"{book.path} holds no bearing of {wanted:%Y-%m-%d}; there are bearings of {known}")
    return notes_of_day(book, wanted)


def notes_of_day(book: Notebook, day: date) -> MorningNotes:
    """Gather the notes of a morning that may be without a bearing; a bearing that was kept twice counts once."""
    taken = tuple(row for row in book.notes("bearing") if _day(row, book) == day)
    once = without_doubles(taken)
    visits = tuple(row for row in book.notes("visit") if _day(row, book) == day)
    return MorningNotes(day, visits, once, len(taken) - len(once))


def _day(row: LedgerRow, book: Notebook) -> date:
    return row.note.at.astimezone(book.zone).date()


def fix_birds(
    book: Notebook,
    site: Site,
    detectability: Detectability,
    notes: MorningNotes,
    *,
    only: str = "",
    as_noted: bool = False,
) -> MorningFixes:
    """Fix every bird of a morning, with what all other mornings and the logs found say of it.

    Parameters
    ----------
    book, site, detectability : of the trip.
    notes : of the morning.
    only : name of the one bird that is asked for; an empty text for all.
    as_noted : keep the names as they were noted, instead of sharing bearings out by likelihood; the morning then
        stands alone.

    Returns
    -------
    MorningFixes
        A fix for each bird, which bearings each was made of, and the males of the season.

    Raises
    ------
    InputError
        If there is no bird of that name.
    """
    shared = share_morning(book, site, detectability, notes, as_noted=as_noted)
    by_bird = bearings_by_bird(shared.bearings, shared.association.bird_of)
    only = named_bird(only, by_bird) if only else ""
    season = None
    if not as_noted:
        others = [day for day in heard_days(book) if day != notes.day]
        mornings = (share_morning(book, site, detectability, notes_of_day(book, day)) for day in others)
        season = join_mornings(book, site, detectability, chain([shared], mornings))
    fixes = tuple(
        find_bird(
            group,
            shared.listening,
            site.grid,
            habitat=site.density,
            audible=shared.audible,
            closed=no_bird_on(site),
            chance=_chance(shared, season, bird, group, site.grid),
            params=FixParams(earshot=shared.earshot),
        )
        for bird, group in by_bird.items()
        if only in {"", bird}
    )
    unnamed = len(shared.bearings) - sum(len(group) for group in by_bird.values())
    return MorningFixes(
        notes,
        shared.bearings,
        shared.listening,
        shared.association,
        fixes,
        shared.earshot,
        book.zone,
        unnamed,
        season,
        shared.audible,
    )


def _chance(
    shared: SharedMorning, season: SeasonBirds | None, bird: str, group: Sequence[Bearing], grid: Grid
) -> Layer | None:
    """Where a bird may be, over all ways to share out and to join mornings; None where names are as noted."""
    sharing = shared.association.sharing
    if sharing is None:
        return None
    place = averaged_place(sharing, sharing.groups_of([b.uid for b in group]), grid, shared.earshot)
    return place if season is None else season.place_of(shared.notes.day, bird, place)


def heard_days(book: Notebook) -> list[date]:
    """Mornings with a bearing or a visit, in order."""
    return sorted({_day(row, book) for kind in KINDS for row in book.notes(kind)})


def share_morning(
    book: Notebook, site: Site, detectability: Detectability, notes: MorningNotes, *, as_noted: bool = False
) -> SharedMorning:
    """Share the bearings of one morning out to birds.

    Parameters
    ----------
    book, site, detectability : of the trip.
    notes : of the morning, perhaps without a bearing.
    as_noted : keep the names as they were noted.

    Returns
    -------
    SharedMorning
        The bearings, where one listened, and which bearings are of one bird.
    """
    grid = site.grid
    bearings = bearings_of(notes.bearing_rows, grid.epsg, book.bearing_error)
    listening = listened_at(notes.visits, notes.bearing_rows, grid.epsg)
    audible = audible_from(site, detectability, listening)
    earshot = EarshotParams(
        half_m=detectability.level.earshot_m(LEAFLESS),
        rate_per_min=detectability.display.rate_per_min,
        stray_share=book.bearing_error.stray_share,
        shared_sd_deg=book.bearing_error.shared_sd_deg,
    )
    association = Association(())
    if bearings:
        association = (
            _named(bearings) if as_noted else _shared_out(site, detectability, bearings, listening, audible, earshot)
        )
    return SharedMorning(notes, bearings, listening, audible, association, earshot)


def join_mornings(
    book: Notebook, site: Site, detectability: Detectability, mornings: Iterable[SharedMorning]
) -> SeasonBirds:
    """Join the birds of several mornings and the logs found to males of the season.

    Parameters
    ----------
    book, site, detectability : of the trip.
    mornings : each as its bearings were shared out; taken one at a time, as each holds much.

    Returns
    -------
    SeasonBirds
        All males that were heard or have a log with droppings.
    """
    logs = [
        UsedLog(name, metres_of(row.note.place, site.grid.epsg), _day(row, book), row.note.bird.strip().upper())
        for name, row in distinct_logs(book.notes("log")).items()
        if isinstance(row.note, LogNote) and row.note.droppings.endswith("pile")
    ]
    stations = [
        metres_of(row.note.place, site.grid.epsg) for kind in KINDS for row in book.notes(kind) if row.note.place
    ]
    return join_shared(site, detectability.display.participation, mornings, logs, stations)


def join_shared(
    site: Site,
    displaying_share: float,
    mornings: Iterable[SharedMorning],
    logs: Sequence[UsedLog],
    stations: Sequence[tuple[float, float]],
) -> SeasonBirds:
    """Join the birds of several mornings and logs to males of the season.

    Parameters
    ----------
    site : of the trip.
    displaying_share : of the males, on one morning.
    mornings : each as its bearings were shared out.
    logs : with droppings.
    stations : all places that were listened from, on all mornings [m].

    Returns
    -------
    SeasonBirds
        All males that were heard or have a log with droppings.
    """
    earshot = AssociationParams().earshot
    grid = window(site.grid, np.array([*stations, *(log.xy_m for log in logs)]), earshot)
    places = centres_m(grid)
    males = males_per_km2(site, places) * grid.cell_area_km2
    birds: list[MorningBird] = []
    quiet, more = {}, {}
    for morning in mornings:
        day = morning.notes.day
        quiet[day] = log_quiet(morning.listening, places, morning.audible, displaying_share, morning.earshot)
        more[day] = _more(morning)
        birds += _tracks(morning, places)
    ground = SeasonGround(grid, log_males(site.density, no_bird_on(site), places, males, earshot), quiet)
    return season_birds([*sorted(birds, key=lambda b: b.day), *logs], ground, more=more)


def _more(morning: SharedMorning) -> IntArray:
    """How many birds more than the list has, for each way drawn to share the bearings of a morning out."""
    sharing = morning.association.sharing
    if sharing is None:
        return np.zeros(1, dtype=np.int64)
    counts = [len(set(row.tolist())) for row in sharing.partitions.labels]
    return np.array(counts, dtype=np.int64) - len(morning.association.birds)


def _tracks(morning: SharedMorning, places: FloatArray) -> list[MorningBird]:
    sharing = morning.association.sharing
    if sharing is None:
        return []
    found = []
    for bird in morning.association.birds:
        place = np.nan_to_num(coarse_place(sharing, sharing.groups_of(bird.uids)).at(places))
        members = frozenset(k for k, b in enumerate(sharing.evidence.bearings) if b.uid in set(bird.uids))
        found.append(MorningBird(morning.notes.day, bird.name, place / place.sum(), sharing.evidence(members)))
    return found


def no_bird_on(site: Site) -> Layer:
    """Ground that no bird is looked for on: open water, and closed ground, which nobody searches; above 0 there."""
    shut = site.ground.water | site.ground.closed
    return Layer("no bird here", "1", site.grid, shut.astype(float))


def _shared_out(
    site: Site,
    detectability: Detectability,
    bearings: Sequence[Bearing],
    listening: Sequence[Listening],
    audible: dict[str, Layer],
    earshot: EarshotParams,
) -> Association:
    usual = AssociationParams()
    coarse = replace(earshot, cell_m=usual.earshot.cell_m)
    params = replace(
        usual,
        males_per_km2=males_per_km2(site, centres_m(window(site.grid, stations_m(bearings), coarse))),
        displaying_share=detectability.display.participation,
        earshot=coarse,
    )
    return associate(
        bearings,
        listening,
        site.grid,
        habitat=site.density,
        audible=audible,
        closed=no_bird_on(site),
        params=params,
    )


def males_per_km2(site: Site, places: FloatArray) -> float:
    """Mean density of the model at places, or the usual one where it says nothing."""
    near = site.density.at(places)
    known = np.isfinite(near).any() and np.nanmax(near) > 0
    return float(np.nanmean(near)) if known else AssociationParams().males_per_km2


def _named(bearings: Sequence[Bearing]) -> Association:
    birds = bearings_by_bird(bearings, {})
    return Association(tuple(AssociatedBird(bird, tuple(b.uid for b in group), ()) for bird, group in birds.items()))
