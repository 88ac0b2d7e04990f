"""`hushwalk note` in reading order: open the notebook, then write, mend, strike, take in, print a table, or list.

Each step has a file of its own in this room; the sentences are wording/note_words.py's.
"""

from dataclasses import dataclass, field
from pathlib import Path

from hushwalk.notes.blank_table import write_log_table, write_walk_table
from hushwalk.notes.intake import Naming, take_files
from hushwalk.notes.listing import list_notes
from hushwalk.notes.note_report import BlankReport, NoteReport
from hushwalk.notes.notebook import Notebook, open_ledger
from hushwalk.notes.typed_notes import TypedLine, mend_note, note_line, strike_note


@dataclass(frozen=True)
class Blank:
    """A table to fill in: where to, of the walk or of logs, and how many lines a stop."""

    path: Path
    logs: bool = False
    lines_a_stop: int = 3


@dataclass(frozen=True)
class NoteRequest:
    """What is wanted of the notebook; the first of these that is given is done, else the notes are listed.

    Parameters
    ----------
    blank : write this table.
    files, naming : take these files in, and how to understand them.
    strike, mend : key of a note to strike out, or to change by the words of the line.
    why : the reason for either.
    line : a note to write; its day is also the day to list.
    every : list mended and struck rows too.
    """

    line: TypedLine = field(default_factory=lambda: TypedLine(()))
    blank: Blank | None = None
    files: tuple[Path, ...] = ()
    naming: Naming | None = None
    strike: str | None = None
    mend: str | None = None
    why: str = ""
    every: bool = False


def note(trip: Path, request: NoteRequest, *, plan: Path | None = None, notes: Path | None = None) -> NoteReport:
    """Do what is wanted of the notebook of a trip.

    Parameters
    ----------
    trip : the trip file.
    request : what is wanted.
    plan : summary.json of the plan that was walked; None for the trip's own.
    notes : the ledger; None for the trip's own.

    Returns
    -------
    NoteReport
        What was done or found.

    Raises
    ------
    HushwalkError
        If the trip, the plan, a file or a word cannot be used, or the ledger cannot be written.
    """
    book = open_ledger(trip, plan=plan, notes=notes, person=request.line.by)
    if request.line.day is not None:
        book = book.on(request.line.day)
    if request.blank is not None:
        return _write_blank(book, request.blank)
    if request.files:
        return take_files(book, request.files, request.naming or Naming({}, request.line.day))
    if request.strike is not None:
        return strike_note(book, request.strike, request.why)
    if request.mend is not None:
        return mend_note(book, request.mend, request.line, request.why)
    if request.line.words:
        return note_line(book, request.line)
    return list_notes(book, day=request.line.day, every=request.every)


def _write_blank(book: Notebook, blank: Blank) -> BlankReport:
    if blank.logs:
        write_log_table(book, blank.path)
    else:
        write_walk_table(book, blank.path, blank.lines_a_stop)
    return BlankReport(blank.path)
