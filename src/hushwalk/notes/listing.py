"""The notes of a trip as a list: the newest state or every row, and the stops that were passed without a note.

The list in words is wording/note_words.py's.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime

from hushwalk.notes.amend import short_keys
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.note_report import ListedNote, ListedRaw, NoteList
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, Kind, VisitNote
from hushwalk.notes.raw_lines import read_raw

KINDS: tuple[Kind, ...] = ("visit", "bearing", "log", "session")


def list_notes(book: Notebook, *, day: date | None = None, every: bool = False) -> NoteList:
    """List the notes of a trip, in the order of the mornings.

    Parameters
    ----------
    book : of the trip.
    day : only this day; None for all.
    every : also rows that were mended or struck out since, with the reason.

    Returns
    -------
    NoteList
    """
    rows = [kept for kind in KINDS for kept in book.notes(kind, every=True)]
    raw = read_raw(book.path, every=every)
    short = short_keys([*(row.uid for row in rows), *(row.uid for row in read_raw(book.path, every=True))])
    newer = {row.corrects: row for row in rows if row.corrects}
    current = [row for row in rows if row.uid not in newer and not row.withdrawn]
    shown = [row for row in (rows if every else current) if day in {None, _day(row, book)}]
    shown.sort(key=lambda row: (row.note.at, KINDS.index(row.note.kind)))
    listed = [
        ListedNote(short[row.uid], row, after, short[after.uid] if after else "")
        for row, after in ((row, newer.get(row.uid)) for row in shown)
    ]
    hidden = 0 if every else len(rows) - len(current)
    lines = tuple(ListedRaw(short[row.uid], row) for row in raw if day is None or row.line.day == day.isoformat())
    return NoteList(book.path, book.zone, tuple(listed), day, hidden, _silent_stops(book, shown), lines, book.unread())


def _day(row: LedgerRow, book: Notebook) -> date:
    return row.note.at.astimezone(book.zone).date()


def _silent_stops(book: Notebook, shown: Sequence[LedgerRow]) -> tuple[str, ...]:
    """Stops of the plan that one has passed without a note, or all of them once the walk is over."""
    today = [row.note for row in shown if _day(row, book) == book.day]
    noted = {note.stop for note in today if isinstance(note, VisitNote | BearingNote)}
    names = [stop.name for stop in book.walk]
    passed = [k for k, name in enumerate(names) if name in noted]
    went_on = any(stop.name in noted for stop in book.further)
    over = went_on or (bool(book.walk) and datetime.now(UTC) > book.walk[-1].leave)
    return tuple(
        name for k, name in enumerate(names) if name not in noted and (passed or went_on) and (over or k < passed[-1])
    )
