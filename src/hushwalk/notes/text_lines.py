"""A text file of notes: typed lines under the day that they are of, with comments.

What a line says is typed_line.py's business; files are chosen and kept by intake.py.
"""

import re
import sys
from dataclasses import dataclass
from datetime import UTC, date, datetime

from hushwalk.errors import InputError
from hushwalk.files.notes_csv import decoded
from hushwalk.notes.ledger import Entry
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import Note
from hushwalk.notes.raw_lines import RawLine
from hushwalk.notes.reading.entry import TEXT_MAX
from hushwalk.notes.reading.vocabulary import day_of
from hushwalk.notes.reading.walk_table import Refused, TakenIn
from hushwalk.notes.reading.word_forms import WordError, split_words
from hushwalk.notes.typed_notes import TypedLine, notes_of

LINES_MAX = 5000  # judgement: a season of notes is a tenth of it
STRANGE_LINES = 50  # judgement: where so many lines and not one of them make sense, it is another kind of file
_DATED = re.compile(r"(?<!\S)(date=\S|\d{4}-\d\d-\d\d)\S*")
_DAY_LINE = re.compile(r"day[\s:=]+(.*)", re.IGNORECASE)


@dataclass(frozen=True)
class Lines:
    """The lines of a text, and when each was typed where that is known."""

    name: str
    lines: tuple[str, ...]
    typed_at: tuple[datetime, ...] = ()


def lines_of(name: str, text: str) -> Lines:
    """Give the lines of a text.

    Raises
    ------
    InputError
        If it is no text, or longer than any file of notes.
    """
    if "\x00" in text:
        raise InputError(f"{name} is no text; name a table (CSV), a GPX file or a text file of typed lines")
    lines = tuple(text.splitlines())
    if len(lines) > LINES_MAX:
        raise InputError(f"{name} has more than {LINES_MAX} lines; that is no file of notes")
    return Lines(name, lines)


def piped_lines() -> Lines:
    """Read lines from the pipe, or as they are typed at a terminal until the end of input."""
    if not sys.stdin.isatty():
        return lines_of("typed", decoded(sys.stdin.buffer.read()))
    lines, moments = [], []
    for line in sys.stdin:
        lines.append(line)
        moments.append(datetime.now(UTC).replace(microsecond=0))
    return Lines("typed", tuple(lines), tuple(moments))


def take_lines(book: Notebook, text: Lines, day: date | None) -> TakenIn:
    """Turn typed lines into notes; those that are not understood are kept as they were written.

    Parameters
    ----------
    book : of the trip.
    text : the lines.
    day : of lines above the first line that gives a day; None where none was given.

    Returns
    -------
    TakenIn
        Lines of a text that gives no day at all are of the day of the saved plan, unless that is still to come.

    Raises
    ------
    InputError
        If it is long and not one of its lines is a note.
    """
    assumed = _planned_day(book) if day is None and _gives_no_day(text) else None
    day = day or assumed
    entries: list[Entry] = []
    refused: list[Refused] = []
    raw: list[RawLine] = []
    dated: list[tuple[str, str]] = []
    blank = 0
    for number, line in enumerate(text.lines, start=1):
        written, where = line.strip(), f"{text.name} line {number}"
        if not written or written.startswith("#"):
            blank += 1
            continue
        try:
            if match := _DAY_LINE.fullmatch(written):
                day = None  # where the new day is not understood, the old one is not that of the lines below
                day = day_of(match[1], book.day)
                continue
            now = text.typed_at[number - 1] if text.typed_at else None
            entries += [Entry(note, where) for note in _notes(book, written, day, now)]
            dated.append((where, written[:TEXT_MAX]))
        except InputError as fault:
            refused.append(Refused(where, str(fault)))
            word = fault.word if isinstance(fault, WordError) else ""
            dated += [(where, written[:TEXT_MAX])] if day else []
            raw.append(RawLine(written[:TEXT_MAX], where, day.isoformat() if day else "", word, str(fault)))
    if len(refused) > STRANGE_LINES and not entries:
        raise InputError(
            f"{text.name}: not one of its {len(refused)} lines is a note; the first says {refused[0].reason}"
        )
    assumed = assumed if entries or refused else None
    return TakenIn(tuple(entries), tuple(refused), blank, tuple(raw), assumed, tuple(dated))


def _gives_no_day(text: Lines) -> bool:
    """Whether neither a line nor the moment of typing says a day."""
    lines = [line.strip() for line in text.lines]
    return not text.typed_at and not any(_DAY_LINE.fullmatch(line) or _DATED.search(line) for line in lines)


def _planned_day(book: Notebook) -> date | None:
    """Day of the saved plan, if there is one and it has begun."""
    return book.day if book.walk and book.day <= datetime.now(book.zone).date() else None


def _notes(book: Notebook, written: str, day: date | None, now: datetime | None) -> list[Note]:
    words = split_words(written)
    if day is None and now is None and not any(_DATED.fullmatch(word) for word in words):
        late = book.walk and book.day > datetime.now(book.zone).date()
        planned = f", and the day of the plan, {book.day}, is still to come" if late else ""
        raise InputError(f"it has no day{planned}; write a line such as day 2027-04-24 above it, or give --day")
    context = book.context(day=day or (now.astimezone(book.zone).date() if now else None), now=now)
    return notes_of(book, TypedLine(words), context)
