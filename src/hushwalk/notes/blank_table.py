"""Tables to fill in: of the walk with the stops in it, or of logs.

Taking a filled one back is intake.py's business.
"""

import re
import secrets
from pathlib import Path

from hushwalk.errors import InputError, OutputError
from hushwalk.files.notes_csv import write_table
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import LogNote
from hushwalk.notes.reading.walk_table import LOG_COLUMNS, WALK_COLUMNS, log_rows, walk_rows

LOG_LINES = 8  # judgement: more logs than one morning finds
_LOG_NUMBER = re.compile(r"LOG(\d+)")


def write_walk_table(book: Notebook, path: Path, lines_a_stop: int = 3) -> None:
    """Write a table of the planned walk, some lines a stop.

    Parameters
    ----------
    book : of the trip, with the stops of the saved plan.
    path : the CSV file to be made.
    lines_a_stop : one line is one bearing.

    Raises
    ------
    InputError
        If no plan is saved.
    OutputError
        If the file is there already, for it may hold notes, or cannot be written.
    """
    if not book.walk:
        raise InputError(
            f"{book.settings.place.name}: no plan is saved, so there are no stops to print; plan the morning first, "
            "or name its summary.json with --plan"
        )
    _spare(path)
    planned = {stop.name: book.stops[stop.name] for stop in book.walk}
    rows = walk_rows(planned, book.day, lines_a_stop=lines_a_stop, tag=_tag(), north=book.compass)
    write_table(path, WALK_COLUMNS, rows)


def write_log_table(book: Notebook, path: Path) -> None:
    """Write a table of logs, numbered on from those that are noted.

    Raises
    ------
    OutputError
        As for :func:`write_walk_table`.
    """
    _spare(path)
    names = [kept.note.name for kept in book.notes("log", every=True) if isinstance(kept.note, LogNote)]
    first = 1 + max((int(match[1]) for name in names if (match := _LOG_NUMBER.fullmatch(name))), default=0)
    write_table(path, LOG_COLUMNS, log_rows(book.day, lines=LOG_LINES, first=first, tag=_tag()))


def _spare(path: Path) -> None:
    if path.exists():
        raise OutputError(f"{path} is there already and may hold notes; choose another name")


def _tag() -> str:
    """Mark that tells this table's lines from those of any other: two people fill in one each."""
    return secrets.token_hex(2)
