"""All that a ledger says of a season: males, logs, and where one listened on which morning; worked out once.

Drawing it is located_birds.py's business, planning with it the morning room's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from hushwalk.birds.listening_visits import listened_at
from hushwalk.birds.morning_fixes import (
    MorningFixes,
    fix_birds,
    heard_days,
    join_mornings,
    morning_notes,
    notes_of_day,
    share_morning,
)
from hushwalk.birds.season_birds import SeasonBird
from hushwalk.notes.bearing import Listening
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notebook import Notebook
from hushwalk.site.detectability import Detectability
from hushwalk.site.site import Site


@dataclass(frozen=True, eq=False)
class NotedSeason:
    """What was noted, as far as a plan needs it.

    Parameters
    ----------
    book : that it stands in.
    fixed : the latest morning with a bearing; None without any.
    males : heard or known by a log, by number.
    listened : stops of each morning.
    logs, bearing_rows : rows of the ledger in use.
    """

    book: Notebook = field(repr=False)
    fixed: MorningFixes | None
    males: tuple[SeasonBird, ...]
    listened: Mapping[date, tuple[Listening, ...]] = field(repr=False)
    logs: tuple[LedgerRow, ...] = field(repr=False)
    bearing_rows: tuple[LedgerRow, ...] = field(repr=False)


def noted_season(book: Notebook, site: Site, detectability: Detectability) -> NotedSeason | None:
    """Read a ledger, fix the birds of its latest morning and join all mornings.

    Parameters
    ----------
    book, site, detectability : of the trip.

    Returns
    -------
    NotedSeason or None
        None where neither listening nor a log was noted.

    Raises
    ------
    InputError
        If the ledger cannot be used.
    """
    days, logs, bearing_rows = heard_days(book), book.notes("log"), book.notes("bearing")
    if not days and not logs:
        return None
    fixed = fix_birds(book, site, detectability, morning_notes(book)) if bearing_rows else None
    season = None if fixed is None else fixed.season
    if fixed is None and logs:
        mornings = (share_morning(book, site, detectability, notes_of_day(book, day)) for day in days)
        season = join_mornings(book, site, detectability, mornings)
    noted = {day: notes_of_day(book, day) for day in days}
    listened = {day: listened_at(own.visits, own.bearing_rows, site.grid.epsg) for day, own in noted.items()}
    return NotedSeason(book, fixed, () if season is None else season.birds, listened, logs, bearing_rows)
