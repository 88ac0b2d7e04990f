"""One morning's bearings, from the ledger to where each bird probably is.

association.py says whose bearing is whose, fix.py where one bird is, stands_on_foot.py where to stand next.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from zoneinfo import ZoneInfo

import numpy as np

from hushwalk.birds.association import AssociatedBird, Association, AssociationParams, associate, bearings_by_bird
from hushwalk.birds.averaged_place import averaged_place
from hushwalk.birds.fix import Fix, FixParams, find_bird
from hushwalk.birds.listening_visits import SAME_PLACE_M, listened_at, without_doubles
from hushwalk.birds.posterior import EarshotParams, centres_m, window
from hushwalk.errors import InputError, MissingFileError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.hearing.level_soundscape import LEAFLESS
from hushwalk.notes.bearing import Bearing, Listening, bearings_of, stations_m
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notebook import Notebook
from hushwalk.site.detectability import Detectability
from hushwalk.site.site import Site


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
    """

    notes: MorningNotes
    bearings: tuple[Bearing, ...] = field(repr=False)
    listening: tuple[Listening, ...] = field(repr=False)
    association: Association = field(repr=False)
    fixes: tuple[Fix, ...] = field(repr=False)
    earshot: EarshotParams = field(repr=False)
    zone: ZoneInfo
    unnamed: int = 0


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
    """Fix every bird of a morning.

    Parameters
    ----------
    book, site, detectability : of the trip.
    notes : of the morning.
    only : name of the one bird that is asked for; an empty text for all.
    as_noted : keep the names as they were noted, instead of sharing bearings out by likelihood.

    Returns
    -------
    MorningFixes
        A fix for each bird, and which bearings each was made of.

    Raises
    ------
    InputError
        If there is no bird of that name, or pinned names contradict each other.
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
    association = (
        _named(bearings) if as_noted else _shared_out(site, detectability, bearings, listening, audible, earshot)
    )
    by_bird = bearings_by_bird(bearings, association.bird_of)
    if only and only not in by_bird:
        raise InputError(f"no bird is called {only!r} that morning; there are {', '.join(by_bird)}")
    fixes = tuple(
        find_bird(
            group,
            listening,
            grid,
            habitat=site.density,
            audible=audible,
            closed=no_bird_on(site),
            chance=_chance(association, group, grid, earshot),
            params=FixParams(earshot=earshot),
        )
        for bird, group in by_bird.items()
        if only in {"", bird}
    )
    unnamed = len(bearings) - sum(len(group) for group in by_bird.values())
    return MorningFixes(notes, bearings, listening, association, fixes, earshot, book.zone, unnamed)


def _chance(association: Association, group: Sequence[Bearing], grid: Grid, earshot: EarshotParams) -> Layer | None:
    """Where the bird of these bearings may be, over all ways to share bearings out; None where names are as noted."""
    if association.sharing is None:
        return None
    groups = association.sharing.groups_of([b.uid for b in group])
    return averaged_place(association.sharing, groups, grid, earshot)


def audible_from(site: Site, detectability: Detectability, listening: Sequence[Listening]) -> dict[str, Layer]:
    """Chance that one display in a cell is heard at each stop, by name of the stop, over the real ground.

    Parameters
    ----------
    site, detectability : of the trip.
    listening : the stops of a morning.

    Returns
    -------
    dict
        Layers of chance, 0..1, on the grid of the trip, by name of the stop.

    Notes
    -----
    A stop without a name, one off the ground of the trip, and a name that stands for two places have no layer; there
    the chance falls off with distance alone.
    """
    places: dict[str, list[tuple[float, float]]] = {}
    for where in listening:
        if where.stop and site.grid.contains(np.atleast_2d(where.xy_m))[0]:
            places.setdefault(where.stop, []).append(where.xy_m)
    one = {name: found[0] for name, found in places.items() if np.ptp(np.array(found), axis=0).max() <= SAME_PLACE_M}
    return {name: detectability.soundscape.footprint(np.array(xy)) for name, xy in one.items()}


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
    near = site.density.at(centres_m(window(site.grid, stations_m(bearings), coarse)))
    params = replace(
        usual,
        males_per_km2=float(np.nanmean(near))
        if np.isfinite(near).any() and np.nanmax(near) > 0
        else usual.males_per_km2,
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


def _named(bearings: Sequence[Bearing]) -> Association:
    birds = bearings_by_bird(bearings, {})
    return Association(tuple(AssociatedBird(bird, tuple(b.uid for b in group), ()) for bird, group in birds.items()))
