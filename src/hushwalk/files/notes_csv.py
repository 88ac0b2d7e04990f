"""The fill-in table as a CSV file: written whole, read row by row with the bad rows named.

What the words mean is the business of notes/reading/.
"""

import csv
import io
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from hushwalk.errors import InputError, MissingFileError, OutputError

LINES_A_TEXT = 5  # judgement: a remark of more lines is an open quote
OPEN_QUOTE = "a quote is opened and never closed, or ends in the middle of a text; mend it, or take it away"
SIZE_MAX = 5_000_000  # judgement: a season of notes is a hundred times smaller


@dataclass(frozen=True)
class TextRow:
    """A row of the table: its number in the file, the header is row 1, and its words by column."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True)
class TableIn:
    """A table as read: its rows, and the rows that are no rows, as (row number, reason)."""

    columns: tuple[str, ...]
    rows: tuple[TextRow, ...]
    refused: tuple[tuple[int, str], ...]


def write_table(path: Path, columns: Sequence[str], rows: Sequence[Mapping[str, str]]) -> None:
    """Write a table, whole or not at all.

    Parameters
    ----------
    path : where to; an existing file is replaced.
    columns : in this order.
    rows : words by column.

    Raises
    ------
    OutputError
        If it cannot be written.
    """
    aside = path.with_name(path.name + ".part")
    try:
        with aside.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.DictWriter(file, columns, extrasaction="ignore", lineterminator="\r\n")
            writer.writeheader()
            writer.writerows(rows)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(path)
    except OSError as fault:
        aside.unlink(missing_ok=True)
        raise OutputError(
            f"{path} cannot be written ({fault.strerror}); choose another folder or free some space"
        ) from None


def read_table(path: Path, known: Sequence[str], needed: Sequence[str]) -> TableIn:
    """Read a table; rows that cannot be read are named and left out.

    Parameters
    ----------
    path : a CSV file in UTF-8 or UTF-16, divided by commas, semicolons or tabs.
    known : columns that may be there.
    needed : columns that must be there.

    Returns
    -------
    TableIn
        The rows that could be read, and the number and reason of each that could not.

    Raises
    ------
    MissingFileError
        If there is no such file.
    InputError
        If the file is too large, or its first row is not the header of such a table.
    """
    text = read_text(path)
    divider, columns = header_of(text)
    _check_header(path.name, columns, known, needed)
    rows: list[TextRow] = []
    refused: list[tuple[int, str]] = []
    for number, cells in _rows(text, divider, len(columns), refused):
        reason = _fault(cells, columns)
        if reason:
            refused.append((number, reason))
        elif any(c.strip() for c in cells):
            rows.append(TextRow(number, dict(zip(columns, (c.strip() for c in cells), strict=False))))
    return TableIn(columns, tuple(rows), tuple(sorted(refused)))


def header_of(text: str) -> tuple[str, tuple[str, ...]]:
    """Give what divides the cells of a table, and the names in its first row."""
    header = next((line for line in text.splitlines() if line.strip()), "")
    divider = max(",;\t", key=header.count)
    return divider, tuple(c.strip().strip('"').lower() for c in header.split(divider))


def read_text(path: Path) -> str:
    """Read a file of notes as text; a byte that is no text stays as a sign that none of our words holds.

    Raises
    ------
    MissingFileError
        If there is no such file.
    InputError
        If it is too large or cannot be read.
    """
    if not path.is_file():
        raise MissingFileError(f"{path} is not there; name the filled table")
    try:
        if path.stat().st_size > SIZE_MAX:
            raise InputError(f"{path} is larger than {SIZE_MAX // 1_000_000} MB; that is no table of notes")
        return decoded(path.read_bytes())
    except OSError as fault:
        raise InputError(f"{path} cannot be read ({fault.strerror})") from None


def decoded(raw: bytes) -> str:
    """Turn the bytes of a text into signs: UTF-8, or UTF-16 where its mark says so."""
    if raw[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        return raw.decode("utf-16", errors="replace").lstrip("\ufeff").replace("\ufffd", "\udcff")
    return raw.decode("utf-8", errors="surrogateescape").lstrip("\ufeff")


def _check_header(name: str, columns: tuple[str, ...], known: Sequence[str], needed: Sequence[str]) -> None:
    missing = [c for c in needed if c not in columns]
    if missing:
        raise InputError(
            f"{name} row 1 lacks the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}; "
            f"expected is the header of the printed table: {', '.join(known)}"
        )
    strange = [c for c in columns if c and c not in known]
    if strange:
        raise InputError(f"{name} row 1 has the unknown column {strange[0][:40]!r}; known are {', '.join(known)}")
    twice = [c for c in columns if c and columns.count(c) > 1]
    if twice:
        raise InputError(f"{name} row 1 has the column {twice[0]!r} twice; leave one out")


def _rows(text: str, divider: str, width: int, refused: list[tuple[int, str]]) -> list[tuple[int, list[str]]]:
    # Line by line, so that one broken row does not take the others with it.
    found: list[tuple[int, list[str]]] = []
    lines = list(io.StringIO(text, newline=""))
    at, header_seen = 0, False
    while at < len(lines):
        count = _lines_of_row(lines, at, divider, width)
        start, at = at + 1, at + max(count, 1)
        if not count:
            refused.append((start, OPEN_QUOTE))
            continue
        try:
            cells = next(csv.reader(lines[start - 1 : at], delimiter=divider), [])
        except csv.Error as fault:
            refused.append((start, f"it is no row of a table ({fault})"))
            continue
        if not header_seen:
            header_seen = any(c.strip() for c in cells)
            continue
        found.append((start, cells))
    return found


def _lines_of_row(lines: Sequence[str], at: int, divider: str, width: int) -> int:
    """Count the lines that a row takes: more than one where a quoted text has line ends; 0 where a quote is not closed.

    A line that is itself as wide as a row is the next row, not the rest of a text.
    """
    quoted = _quote_open(lines[at], divider, quoted=False)
    count = 1
    while quoted:
        after = at + count
        if after == len(lines) or count > LINES_A_TEXT or lines[after].count(divider) >= max(width // 2, 1):
            return 0
        quoted = _quote_open(lines[after], divider, quoted=True)
        count += 1
    return 0 if quoted is None else count


def _quote_open(line: str, divider: str, *, quoted: bool) -> bool | None:
    """Whether a quoted text goes on after a line; None where a quote ends and its cell does not.

    A quote opens at the beginning of a cell only, and two quotes in a quoted text are a sign of it.
    """
    begins = not quoted
    k = 0
    while k < len(line):
        if quoted and line[k] == '"':
            rest = line[k + 1 :]
            if rest.startswith('"'):
                k += 1
            elif rest.lstrip(" \r\n")[:1] not in {"", divider}:
                return None
            else:
                quoted = False
        elif begins and line[k] == '"':
            quoted = True
        begins = line[k] == divider and not quoted
        k += 1
    return quoted


def _fault(cells: Sequence[str], columns: Sequence[str]) -> str:
    joined = "".join(cells)
    if any("\udc80" <= sign <= "\udcff" for sign in joined):
        return "it holds bytes that are not UTF-8; save the table as CSV in UTF-8"
    if "\x00" in joined:
        return "it holds a zero byte"
    if len(cells) > len(columns) and any(c.strip() for c in cells[len(columns) :]):
        return f"it has {len(cells)} cells for {len(columns)} columns; put a text with the divider in quotes"
    return ""
