"""The fill-in table: printed with the stops in it, taken back line by line.

Writing and reading the file is the files room's business; what words mean is entry.py's.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from hushwalk.errors import InputError
from hushwalk.notes.ledger import Entry
from hushwalk.notes.notes import LonLat
from hushwalk.notes.raw_lines import RawLine
from hushwalk.notes.reading.entry import COLUMNS, NoteContext, note_from_cells
from hushwalk.notes.reading.vocabulary import day_of

WALK_COLUMNS = (
    "line",
    "stop",
    "place",
    "date",
    "start",
    "end",
    "heard",
    "wind",
    "sky",
    "bird",
    "times",
    "reading_deg",
    "north",
    "error",
    "distance",
    "remark",
)
LOG_COLUMNS = ("line", *COLUMNS["log"])
PRINTED = frozenset({"line", "stop", "place", "date", "north", "error"})
"""What is printed beforehand: a line that holds nothing else was left blank."""
_STOP_WORDS = ("place", "date", "start", "end", "wind", "sky")


class TableRow(Protocol):
    """A row as read from a table: its number in the file and its words by column."""

    @property
    def number(self) -> int:
        """Row in the file, the header is row 1."""

    @property
    def cells(self) -> Mapping[str, str]:
        """Words by column."""


@dataclass(frozen=True)
class Refused:
    """A row or waypoint that could not be taken, and why. ``where`` is such as ``"walk.csv row 5"``."""

    where: str
    reason: str

    def __str__(self) -> str:
        return f"{self.where}: {self.reason}"


@dataclass(frozen=True)
class TakenIn:
    """What came out of a file: notes to keep, rows refused with the reason, how many lines were left blank.

    ``raw`` holds refused lines that the ledger keeps as they were written; those of a table stay in the table.
    ``assumed_day`` is the day of the plan where the lines give none, and None where they do. ``dated`` are typed
    lines of which the day is known: where each stands, and its words.
    """

    entries: tuple[Entry, ...]
    refused: tuple[Refused, ...]
    blank: int = 0
    raw: tuple[RawLine, ...] = ()
    assumed_day: date | None = None
    dated: tuple[tuple[str, str], ...] = ()


def walk_rows(
    stops: Mapping[str, LonLat], day: date, *, lines_a_stop: int = 3, tag: str = "", north: str = "M"
) -> list[dict[str, str]]:
    """Lay out the table of a walk: some lines for every stop, the rest left open.

    Parameters
    ----------
    stops : longitude and latitude by name, in walking order [deg].
    day : the day of the walk.
    lines_a_stop : one line is one bearing.
    north : what the person's compass counts from, as in notes.NORTHS.
    tag : ends the name of every line, so that the lines of two people's tables never correct each other.

    Returns
    -------
    list of dict
        Words by column, a row a line of the table.

    Examples
    --------
    >>> walk_rows({"P01": (-92.1, 46.8)}, date(2027, 4, 25), lines_a_stop=1)[0]["line"]
    'P01-1'
    """
    return [
        {
            **dict.fromkeys(WALK_COLUMNS, ""),
            "line": f"{name}-{n} {tag}".rstrip(),
            "stop": name,
            "place": f"{lat:.6f}, {lon:.6f}",
            "date": day.isoformat(),
            "north": north,
            "error": "usual",
        }
        for name, (lon, lat) in stops.items()
        for n in range(1, lines_a_stop + 1)
    ]


def log_rows(day: date, *, lines: int = 6, first: int = 1, tag: str = "") -> list[dict[str, str]]:
    """Lay out an empty table for logs found, numbered from ``first``; ``tag`` as for a walk.

    Parameters
    ----------
    day : the day of the search.
    lines : how many.
    first : number of the first.
    tag : ends the name of every line, as for a walk.

    Returns
    -------
    list of dict
        Words by column, a row a line of the table.
    """
    blank = {**dict.fromkeys(LOG_COLUMNS, ""), "date": day.isoformat()}
    return [{**blank, "line": f"LOG{n:02d} {tag}".rstrip(), "name": f"LOG{n:02d}"} for n in range(first, first + lines)]


def take_rows(rows: Sequence[TableRow], file: str, context: NoteContext) -> TakenIn:
    """Take a filled table back: good rows become notes, bad ones are listed by row and reason.

    Parameters
    ----------
    rows : as read from the file, of a walk table or a log table.
    file : its name, given with every row.
    context : what is known anyway.

    Returns
    -------
    TakenIn
        Notes that were made, and rows that were refused, with the reason.

    Notes
    -----
    All lines of one stop and start are one visit: words written on its first line hold for the others, and it heard
    something if any of its lines did. A line with a bearing was heard.
    """
    rows = [_with_iso_date(row, context) for row in rows]
    if rows and "droppings" in rows[0].cells:
        return _take_logs(rows, file, context)
    filled = [row for row in rows if _filled(row, PRINTED)]
    entries: list[Entry] = []
    refused: list[Refused] = []
    visits: dict[str, list[tuple[TableRow, dict[str, str]]]] = {}
    for row, line in _lines(filled, file, refused):
        cells = _with_stop_words(row, visits.get(_stop_of(row), []))
        visits.setdefault(_stop_key(cells, visits, row), []).append((row, cells))
        try:
            entries.extend(_bearing(cells, f"{file} row {row.number}", line, context))
        except InputError as fault:
            refused.append(Refused(f"{file} row {row.number}", str(fault)))
    bad = {r.where for r in refused}
    for lines in visits.values():
        good = [(row, cells) for row, cells in lines if f"{file} row {row.number}" not in bad]
        if good:
            _take_visit(good, file, context, entries, refused)
    return TakenIn(tuple(entries), tuple(refused), len(rows) - len(filled))


@dataclass(frozen=True)
class _Row:
    """A row whose date is written the one way that names its line."""

    number: int
    cells: Mapping[str, str]


def _with_iso_date(row: TableRow, context: NoteContext) -> TableRow:
    # A program for tables may write dates anew when it saves; the name of a line must not change with it.
    try:
        day = day_of(row.cells.get("date", "").strip(), context.likely)
    except InputError:
        return row
    return _Row(row.number, {**row.cells, "date": day.isoformat()})


def _bearing(cells: Mapping[str, str], where: str, line: str, context: NoteContext) -> tuple[Entry, ...]:
    if cells.get("reading_deg"):
        said = {k: v for k, v in cells.items() if k in COLUMNS["bearing"]}
        return (Entry(note_from_cells("bearing", said, context), where, line),)
    if cells.get("bird") and cells.get("heard", "").lower() not in {"no", "n", "0"}:
        raise InputError("a bird is named without a reading; write the bearing, or take the bird away")
    return ()


def _take_visit(
    lines: list[tuple[TableRow, dict[str, str]]],
    file: str,
    context: NoteContext,
    entries: list[Entry],
    refused: list[Refused],
) -> None:
    row, first = lines[0]
    if not first.get("stop") and any(cells.get("reading_deg") for _, cells in lines):
        return  # a bearing from a place that is no stop is a note of its own
    heard = [cells.get("heard", "") or ("yes" if cells.get("reading_deg") else "") for _, cells in lines]
    words = next((w for w in heard if w.lower() in {"yes", "y", "1", "true", "x"}), next((w for w in heard if w), ""))
    said = {k: v for k, v in first.items() if k in COLUMNS["visit"] and k != "remark"} | {"heard": words}
    if not first.get("reading_deg"):
        said["remark"] = first.get("remark", "")
    where = f"{file} row {row.number}"
    try:
        visit = note_from_cells("visit", said, context)
    except InputError as fault:
        refused.append(Refused(where, str(fault)))
        return
    entries.append(Entry(visit, where, _line_name(row.cells.get("line", ""), first, "visit")))


def _take_logs(rows: Sequence[TableRow], file: str, context: NoteContext) -> TakenIn:
    filled = [row for row in rows if _filled(row, frozenset({"line", "name", "date"}))]
    entries: list[Entry] = []
    refused: list[Refused] = []
    for row, line in _lines(filled, file, refused):
        try:
            note = note_from_cells("log", {k: v for k, v in row.cells.items() if k != "line"}, context)
        except InputError as fault:
            refused.append(Refused(f"{file} row {row.number}", str(fault)))
        else:
            entries.append(Entry(note, f"{file} row {row.number}", line))
    return TakenIn(tuple(entries), tuple(refused), len(rows) - len(filled))


def _lines(rows: Sequence[TableRow], file: str, refused: list[Refused]) -> Iterable[tuple[TableRow, str]]:
    seen: dict[str, int] = {}
    for row in rows:
        line = row.cells.get("line", "").strip()
        if line and line in seen:
            reason = f"line {line!r} stands in row {seen[line]} already; give it another name"
            refused.append(Refused(f"{file} row {row.number}", reason))
            continue
        seen[line] = row.number
        yield row, _line_name(line, row.cells, "")


def _line_name(line: str, cells: Mapping[str, str], what: str) -> str:
    return f"{cells.get('date', '')}/{line}/{what}".rstrip("/") if line else ""


def _filled(row: TableRow, printed: frozenset[str]) -> bool:
    return any(v.strip() for k, v in row.cells.items() if k not in printed) or (
        not row.cells.get("line", "").strip() and any(v.strip() for v in row.cells.values())
    )


def _stop_of(row: TableRow) -> str:
    return re.sub(r"\s+", "", row.cells.get("stop", "")).upper() or f"row {row.number}"


def _stop_key(cells: Mapping[str, str], visits: Mapping[str, object], row: TableRow) -> str:
    # A second start at the same stop is another visit; it goes by the stop and that start.
    stop = _stop_of(row)
    known = visits.get(stop)
    first = known[0][1] if isinstance(known, list) else None
    return stop if first is None or first.get("start") == cells.get("start") else f"{stop} {cells.get('start')}"


def _with_stop_words(row: TableRow, known: Sequence[tuple[TableRow, dict[str, str]]]) -> dict[str, str]:
    cells = {k: v.strip() for k, v in row.cells.items()}
    first = known[0][1] if known else {}
    for word in _STOP_WORDS:
        if not cells.get(word) and word in first:
            cells[word] = first[word]
    return cells
