"""What is noted, as a list to read, and what a file gave.

The list goes day by day: the newest state, or every row with what became of it. notes/ writes the notes.
"""

from collections.abc import Sequence
from datetime import UTC, date, datetime

from hushwalk.grid.points import usng_text
from hushwalk.notes.amend import note_words, short_keys
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, Kind, LonLat, VisitNote
from hushwalk.notes.vocabulary import counted
from hushwalk.notes.walk_table import TakenIn

KINDS: tuple[Kind, ...] = ("visit", "bearing", "log", "session")
USNG_DIGITS = 8  # definition: squares of ten metres, as good as a receiver under trees


def notes_words(book: Notebook, *, day: date | None = None, every: bool = False) -> str:
    """List the notes of a trip.

    Parameters
    ----------
    book : of the trip.
    day : only this day; None for all.
    every : also rows that were mended or struck out since, with the reason.

    Returns
    -------
    str
        One line a note, in the order of the morning.
    """
    rows = [kept for kind in KINDS for kept in book.notes(kind, every=True)]
    short = short_keys([row.uid for row in rows])
    newer = {row.corrects: row for row in rows if row.corrects}
    shown = [row for row in rows if every or (row.uid not in newer and not row.withdrawn)]
    if day is not None:
        shown = [row for row in shown if row.note.at.astimezone(book.zone).date() == day]
    if not shown:
        return f"nothing is noted in {book.path}" + (f" for {day}" if day else "")
    shown.sort(key=lambda row: (row.note.at, KINDS.index(row.note.kind)))
    lines: list[str] = []
    for row in shown:
        at = row.note.at.astimezone(book.zone)
        head = f"{at:%A} {at.day} {at:%B %Y}"
        if head not in lines:
            lines.append(head)
        lines.append(_line(row, book, short, newer.get(row.uid)))
    struck = len(rows) - len([row for row in rows if row.uid not in newer and not row.withdrawn])
    hidden = f"; {struck} older rows kept beside them (--all shows them)" if struck and not every else ""
    return "\n".join([*lines, _count(shown) + hidden, *_silent_stops(book, shown)])


def _silent_stops(book: Notebook, shown: Sequence[LedgerRow]) -> tuple[str, ...]:
    """Remind of stops of the plan that one has passed without a note, or of all of them once the walk is over."""
    today = [row.note for row in shown if row.note.at.astimezone(book.zone).date() == book.day]
    noted = {note.stop for note in today if isinstance(note, VisitNote | BearingNote)}
    names = list(book.stops)
    passed = [k for k, name in enumerate(names) if name in noted]
    over = bool(book.walk) and datetime.now(UTC) > book.walk[-1].leave
    left = [name for k, name in enumerate(names) if name not in noted and passed and (over or k < passed[-1])]
    if not left:
        return ()
    return (
        f"nothing is noted of {', '.join(left)}: if it was silent there, that is worth a line, such as {left[0]} nil",
    )


def _line(row: LedgerRow, book: Notebook, short: dict[str, str], after: LedgerRow | None) -> str:
    at = row.note.at.astimezone(book.zone)
    end = getattr(row.note, "end", None)
    span = f"{at:%H:%M}" + (f"-{end.astimezone(book.zone):%H:%M}" if end else "")
    mark = "x" if after or row.withdrawn else " "
    place = "" if getattr(row.note, "stop", "") else _place(row.note.place)
    fate = ""
    if row.withdrawn:
        fate = f"  [struck out: {row.why}]"
    elif after is not None:
        fate = f"  [{'struck out' if after.withdrawn else 'mended'} by {short[after.uid]}: {after.why}]"
    return f"{mark} {short[row.uid]:<6} {span:<11} {note_words(row.note)}{place}{fate}"


def _place(place: LonLat | None) -> str:
    return "" if place is None else f"  at {usng_text(place, USNG_DIGITS)}"


def _count(rows: Sequence[LedgerRow]) -> str:
    kinds = [row.note.kind for row in rows]
    return ", ".join(counted(kinds.count(kind), kind) for kind in KINDS if kind in kinds)


def taken_words(taken: TakenIn) -> str:
    """Say in one sentence what a file gave."""
    kinds = [e.note.kind for e in taken.entries]
    words = ", ".join(counted(kinds.count(kind), kind) for kind in dict.fromkeys(kinds))
    return f"{words or 'no note'}; {len(taken.refused)} refused, {taken.blank} left blank"
