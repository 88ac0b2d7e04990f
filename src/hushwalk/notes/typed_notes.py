"""Notes as they are typed: one line is written, mended or struck out.

Notes that come in files are intake.py's business; what is repeated to the person is wording/note_words.py's.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from hushwalk.errors import InputError
from hushwalk.notes.amend import amended, short_keys
from hushwalk.notes.ledger import Entry, correct_note, find_note, withdraw_note, write_notes
from hushwalk.notes.note_report import Fate, KeptNote, LineReport, MendReport, RawStrikeReport, StrikeReport
from hushwalk.notes.note_warnings import NoteWarning, WarningKind
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, Kind, Note, content_key
from hushwalk.notes.plausibility import note_warnings
from hushwalk.notes.raw_lines import RawRow, find_raw, read_raw
from hushwalk.notes.reading.entry import NoteContext, note_from_cells
from hushwalk.notes.reading.typed_line import read_line, sort_words
from hushwalk.notes.reading.word_forms import split_words

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
    by : one of two people, who noted it; empty where one is alone.
    """

    words: tuple[str, ...]
    at: str = ""
    say: str = ""
    day: date | None = None
    by: str = ""


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
    notes = notes_of(book, line, context)
    warnings = (*_line_warnings(notes, context, _given_day(line), now), *note_warnings(notes, book))
    added = write_notes(book.path, [Entry(note) for note in notes]).added
    return _line_report(book, notes, added, warnings)


def _given_day(line: TypedLine) -> str:
    """The day that a line gives, as it was written; an empty text where it is of today."""
    words = [word for word in line.words if re.fullmatch(r"date=.+|start=.{16,}|\d{4}-\d\d-\d\d.*", word)]
    return str(line.day) if line.day else (words[0] if words else "")


def _line_warnings(notes: Sequence[Note], context: NoteContext, day: str, now: datetime) -> list[NoteWarning]:
    return [found for note in notes for found in (*_clock_warnings(note, day, now), *_norths(note, context))]


def _line_report(
    book: Notebook, notes: Sequence[Note], added: Sequence[str], warnings: Sequence[NoteWarning]
) -> LineReport:
    used = {kept.uid for note in notes for kept in book.notes(note.kind)}
    short = short_keys(all_keys(book))
    kept = []
    for note in notes:
        uid = content_key(note)
        fate = Fate.NEW if uid in added else Fate.ALREADY if uid in used else Fate.CHANGED_SINCE
        kept.append(KeptNote(short[uid], note, fate))
    return LineReport(tuple(kept), book.zone, tuple(dict.fromkeys(warnings)))


def notes_of(book: Notebook, line: TypedLine, context: NoteContext) -> list[Note]:
    """Turn the words of a line into notes.

    Parameters
    ----------
    book : of the trip.
    line : as typed.
    context : what is known anyway.

    Returns
    -------
    list of Note
        One, or the visit and the bearing of a bearing with a span of time.

    Raises
    ------
    InputError
        If the words make no note.
    """
    notes: list[Note] = []
    sorted_words = read_line(line.words, book.stop_names)
    for k, said in enumerate(sorted_words):
        if line.day is not None and "start" not in said.cells:
            raise InputError(f"the day {line.day} needs a time with it, such as 06:12")
        cells = _with_options(context, said.kind, said.cells, line)
        if k < len(sorted_words) - 1:
            cells.pop("remark", None)  # a bearing keeps the free words, not the visit with it
        notes.append(note_from_cells(said.kind, cells, context))
    return notes


def mend_note(
    book: Notebook, key: str, line: TypedLine, why: str, now: datetime | None = None
) -> MendReport | LineReport:
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
    MendReport, or LineReport
        The mended note, or what a line that was not understood gave; with warnings.

    Raises
    ------
    InputError
        If there is no such note, nothing is changed, or the words cannot be used.
    """
    raw = find_raw(book.path, key)
    if raw is not None:
        return _mend_raw(book, raw, line, why, _now(now))
    old = find_note(book.path, key)
    changes = sort_words(line.words, old.note.kind, book.stop_names)
    context = book.at(old.note.at).context()
    changes = _with_options(context, old.note.kind, changes, line)
    if line.day is not None:
        changes["date"] = line.day.isoformat()
    note = amended(old.note, changes, context)
    new = correct_note(book.path, old.uid, note, why)
    warnings = (
        *_clock_warnings(note, _given_day(line), _now(now), mended=True),
        *_norths(note, context),
        *note_warnings([note], book),
    )
    short = short_keys(all_keys(book))
    return MendReport(short[old.uid], short[new], note, book.zone, warnings)


def _mend_raw(book: Notebook, raw: RawRow, line: TypedLine, why: str, now: datetime) -> LineReport:
    """Turn a kept line into notes: the words take the place of the one not understood, or are added, or are all."""
    day = line.day or (date.fromisoformat(raw.line.day) if raw.line.day else None)
    context = book.context(day=day)
    tries = [words for words in (_put_right(raw, line.words), line.words) if words]
    faults: list[InputError] = []
    for words in tries:
        try:
            notes = notes_of(book, TypedLine(words, line.at, line.say), context)
            break
        except InputError as fault:
            faults.append(fault)
    else:
        raise faults[0]
    solved = {raw.uid: why or "understood"}
    added = write_notes(book.path, [Entry(note, raw.line.origin) for note in notes], solved=solved).added
    return _line_report(
        book,
        notes,
        added,
        (*_line_warnings(notes, context, _given_day(line) or raw.line.day, now), *note_warnings(notes, book)),
    )


def _put_right(raw: RawRow, words: tuple[str, ...]) -> tuple[str, ...]:
    """Put words into a line that was not understood; a named word takes the place of the one of that name."""
    try:
        old = split_words(raw.line.text)
    except InputError:
        return ()
    names = {word.partition("=")[0] for word in words if "=" in word}
    old = tuple(word for word in old if "=" not in word or word.partition("=")[0] not in names)
    at = next((k for k, word in enumerate(old) if word.casefold() == raw.line.word.casefold()), len(old))
    return (*old[:at], *words, *old[at + 1 :])


def strike_note(book: Notebook, key: str, why: str) -> StrikeReport | RawStrikeReport:
    """Strike a note out; its row stays in the ledger.

    Parameters
    ----------
    book : of the trip.
    key : of the note, or its first signs.
    why : the reason.

    Returns
    -------
    StrikeReport, or RawStrikeReport
        The note, or the line that was not understood, that was struck out.

    Raises
    ------
    InputError
        If there is no such note, it was struck out already, or no reason is given.
    """
    raw = find_raw(book.path, key)
    if raw is not None:
        if not why.strip():
            raise InputError("say why the line is struck out; it is kept with the reason")
        write_notes(book.path, [], solved={raw.uid: why})
        return RawStrikeReport(raw.line, book.path)
    old = find_note(book.path, key)
    withdraw_note(book.path, old.uid, why)
    short = short_keys(all_keys(book))
    return StrikeReport(short[old.uid], old.note, book.zone, book.path)


def _now(now: datetime | None) -> datetime:
    return now or datetime.now(UTC).replace(microsecond=0)


def _with_options(context: NoteContext, kind: Kind, said: Mapping[str, str], line: TypedLine) -> dict[str, str]:
    """Words of the line with its place and its free words; a log or a session at a stop gets the place of the stop."""
    cells = dict(said)
    if line.at:
        cells["place"] = line.at
    if kind in {"log", "session"} and "stop" in cells:
        stop, stops = cells.pop("stop"), context.stops_on(cells)
        if stop not in stops:
            raise InputError(f"stop {stop!r} is not in the plan; known are {', '.join(stops) or 'none'}")
        lon, lat = stops[stop]
        cells.setdefault("place", f"{lat:.9f}, {lon:.9f}")
    if line.say:
        cells["what" if kind == "session" else "remark"] = line.say
    if line.by:
        cells["remark"] = "; ".join(filter(None, [cells.get("remark", ""), f"by {line.by}"]))
        if cells.get("bird"):
            cells["bird"] = f"{cells['bird']}-{line.by}"
    return cells


def _clock_warnings(note: Note, day: str, now: datetime, *, mended: bool = False) -> tuple[NoteWarning, ...]:
    if note.at <= now + SOON:
        return ()
    if not day and not mended:
        raise InputError(
            f"{note.at:%H:%M} on {note.at:%d %B %Y} is still to come; say the day, such as --day "
            f"{note.at.date() - timedelta(days=1)}"
        )
    return (NoteWarning(WarningKind.STILL_TO_COME, at=note.at),)


def _norths(note: Note, context: NoteContext) -> Sequence[NoteWarning]:
    if not isinstance(note, BearingNote):
        return ()
    return context.north(note.place[0], note.place[1], note.at, note.north).warnings


def all_keys(book: Notebook) -> list[str]:
    """Keys of all rows of the ledger and of the lines that were not understood."""
    kinds: tuple[Kind, ...] = ("visit", "bearing", "log", "session")
    noted = [kept.uid for kind in kinds for kept in book.notes(kind, every=True)]
    return [*noted, *(row.uid for row in read_raw(book.path, every=True))]
