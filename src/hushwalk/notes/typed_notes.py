"""Notes as they are typed: one line is written, mended or struck out.

Notes that come in files are intake.py's business; what is repeated to the person is wording/note_words.py's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from hushwalk.errors import InputError
from hushwalk.notes.amend import amended, short_keys
from hushwalk.notes.entry import NoteContext, note_from_cells
from hushwalk.notes.ledger import Entry, correct_note, find_note, withdraw_note, write_notes
from hushwalk.notes.note_report import Fate, KeptNote, LineReport, MendReport, StrikeReport
from hushwalk.notes.note_warnings import NoteWarning, WarningKind
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, Kind, Note, content_key
from hushwalk.notes.plausibility import note_warnings
from hushwalk.notes.typed_line import read_line, sort_words

SOON = timedelta(minutes=2)  # judgement: clocks differ by that


@dataclass(frozen=True)
class TypedLine:
    """What was typed.

    Parameters
    ----------
    words : the short words, in any order.
    at : a place in any form that is understood, or an empty text.
    say : free words.
    day : which day the times are of; None for today.
    """

    words: tuple[str, ...]
    at: str = ""
    say: str = ""
    day: date | None = None


def note_line(book: Notebook, line: TypedLine, now: datetime | None = None) -> LineReport:
    """Write one typed line into the ledger.

    Parameters
    ----------
    book : of the trip.
    line : as typed.
    now : the moment of typing; None for the clock of the machine.

    Returns
    -------
    LineReport
        What the ledger kept, with warnings.

    Raises
    ------
    InputError
        If the words make no note, or a time without a day is still to come.
    OutputError
        If the ledger cannot be written.
    """
    now = _now(now)
    context = book.context(day=line.day or now.astimezone(book.zone).date(), now=now)
    notes: list[Note] = []
    sorted_words = read_line(line.words, tuple(book.stops))
    for k, said in enumerate(sorted_words):
        if line.day is not None and "start" not in said.cells:
            raise InputError(f"the day {line.day} needs a time with it, such as 06:12")
        cells = _with_options(book, said.kind, said.cells, line)
        if k < len(sorted_words) - 1:
            cells.pop("remark", None)  # a bearing keeps the free words, not the visit beside it
        notes.append(note_from_cells(said.kind, cells, context))
    warnings = [found for note in notes for found in (*_clock_warnings(note, line.day, now), *_norths(note, context))]
    warnings += note_warnings(notes, book)
    added = write_notes(book.path, [Entry(note) for note in notes]).added
    used = {kept.uid for note in notes for kept in book.notes(note.kind)}
    short = short_keys(_all_keys(book))
    kept = []
    for note in notes:
        uid = content_key(note)
        fate = Fate.NEW if uid in added else Fate.ALREADY if uid in used else Fate.CHANGED_SINCE
        kept.append(KeptNote(short[uid], note, fate))
    return LineReport(tuple(kept), book.zone, tuple(dict.fromkeys(warnings)))


def mend_note(book: Notebook, key: str, line: TypedLine, why: str, now: datetime | None = None) -> MendReport:
    """Put a mended note in the place of a kept one; the old row stays.

    Parameters
    ----------
    book : of the trip.
    key : of the note, or its first signs.
    line : the words that change.
    why : the reason.
    now : the moment of typing; None for the clock of the machine.

    Returns
    -------
    MendReport
        The mended note, with warnings.

    Raises
    ------
    InputError
        If there is no such note, nothing is changed, or the words cannot be used.
    """
    old = find_note(book.path, key)
    changes = sort_words(line.words, old.note.kind, tuple(book.stops))
    changes = _with_options(book, old.note.kind, changes, line)
    if line.day is not None:
        changes["date"] = line.day.isoformat()
    context = book.context()
    note = amended(old.note, changes, context)
    new = correct_note(book.path, old.uid, note, why)
    warnings = (
        *_clock_warnings(note, line.day, _now(now), mended=True),
        *_norths(note, context),
        *note_warnings([note], book),
    )
    short = short_keys(_all_keys(book))
    return MendReport(short[old.uid], short[new], note, book.zone, warnings)


def strike_note(book: Notebook, key: str, why: str) -> StrikeReport:
    """Strike a note out; its row stays in the ledger.

    Parameters
    ----------
    book : of the trip.
    key : of the note, or its first signs.
    why : the reason.

    Returns
    -------
    StrikeReport
        The note that was struck out.

    Raises
    ------
    InputError
        If there is no such note, it was struck out already, or no reason is given.
    """
    old = find_note(book.path, key)
    withdraw_note(book.path, old.uid, why)
    short = short_keys(_all_keys(book))
    return StrikeReport(short[old.uid], old.note, book.zone, book.path)


def _now(now: datetime | None) -> datetime:
    return now or datetime.now(UTC).replace(microsecond=0)


def _with_options(book: Notebook, kind: Kind, said: Mapping[str, str], line: TypedLine) -> dict[str, str]:
    """Words of the line with its place and its free words; a log or a session at a stop gets the place of the stop."""
    cells = dict(said)
    if line.at:
        cells["place"] = line.at
    if kind in {"log", "session"} and "stop" in cells:
        stop = cells.pop("stop")
        if stop not in book.stops:
            raise InputError(f"stop {stop!r} is not in the plan; known are {', '.join(book.stops) or 'none'}")
        lon, lat = book.stops[stop]
        cells.setdefault("place", f"{lat:.9f}, {lon:.9f}")
    if line.say:
        cells["what" if kind == "session" else "remark"] = line.say
    return cells


def _clock_warnings(note: Note, day: date | None, now: datetime, *, mended: bool = False) -> tuple[NoteWarning, ...]:
    if note.at <= now + SOON:
        return ()
    if day is None and not mended:
        raise InputError(
            f"{note.at:%H:%M} on {note.at:%d %B %Y} is still to come; say the day, such as --day "
            f"{note.at.date() - timedelta(days=1)}"
        )
    return (NoteWarning(WarningKind.STILL_TO_COME, at=note.at),)


def _norths(note: Note, context: NoteContext) -> Sequence[NoteWarning]:
    if not isinstance(note, BearingNote):
        return ()
    return context.north(note.place[0], note.place[1], note.at).warnings


def _all_keys(book: Notebook) -> list[str]:
    kinds: tuple[Kind, ...] = ("visit", "bearing", "log", "session")
    return [kept.uid for kind in kinds for kept in book.notes(kind, every=True)]
