"""Lines that were not understood: kept in the ledger as they were written, until they are mended or struck out.

What is understood is typed_line.py's business; like notes, a raw line keeps its row for good.
"""

import hashlib
import sqlite3
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from hushwalk.notes import ledger_tables as tables
from hushwalk.notes.ledger_file import reading


@dataclass(frozen=True)
class RawLine:
    """A line as it was written.

    Parameters
    ----------
    text : its words.
    origin : where it stands, such as ``"lines.txt line 4"``.
    day : the day that was given for it, as ``"2027-04-24"``, or an empty text.
    word : the word that was not understood, or an empty text.
    reason : why it could not be taken, and what may be meant.
    """

    text: str
    origin: str
    day: str = ""
    word: str = ""
    reason: str = ""

    @property
    def uid(self) -> str:
        """Key of what it says and where; the same line read again has the same key."""
        words = f"raw\x00{self.text}\x00{self.origin}\x00{self.day}"
        return hashlib.sha256(words.encode("utf-8", "surrogatepass")).hexdigest()[:20]


@dataclass(frozen=True)
class RawRow:
    """A raw line as kept, when it was kept, and what became of it: an empty text while it is open."""

    uid: str
    line: RawLine
    noted_at: datetime
    fate: str = ""


def keep_raw(db: sqlite3.Connection, line: RawLine) -> None:
    """Keep a line; the caller holds the transaction. One that is kept already stays as it is."""
    row = (line.uid, None, 0, tables.to_sql(datetime.now(UTC)), line.origin, "", *_said(line))
    db.execute(f"INSERT OR IGNORE INTO {tables.RAW_TABLE} ({', '.join(tables.RAW_COLUMNS)}) VALUES ({_MARKS})", row)  # noqa: S608


def close_raw(db: sqlite3.Connection, uid: str, why: str) -> None:
    """Settle a line with a row after it that says how; the caller holds the transaction.

    Parameters
    ----------
    db : the open ledger.
    uid : key of the line.
    why : how it was settled.
    """
    row = (f"{uid}-end", uid, 1, tables.to_sql(datetime.now(UTC)), "", why, "", "", "", "")
    db.execute(f"INSERT OR IGNORE INTO {tables.RAW_TABLE} ({', '.join(tables.RAW_COLUMNS)}) VALUES ({_MARKS})", row)  # noqa: S608


_MARKS = ", ".join("?" * len(tables.RAW_COLUMNS))


def _said(line: RawLine) -> tuple[str, ...]:
    return line.text, line.day, line.word, line.reason


def read_raw(path: Path, *, every: bool = False) -> tuple[RawRow, ...]:
    """Read the lines that were not understood, in the order they were kept.

    Parameters
    ----------
    path : the ledger; one that is not there, or older, holds none.
    every : also those that were settled since.
    """
    if not path.is_file():
        return ()
    with reading(path) as db:
        if db.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (tables.RAW_TABLE,)).fetchone() is None:
            return ()
        found = db.execute(f"SELECT * FROM {tables.RAW_TABLE} ORDER BY fid").fetchall()  # noqa: S608
    ends = {row["corrects"]: row["why"] for row in found if row["withdrawn"]}
    rows = [_row(row, ends.get(row["uid"], "")) for row in found if not row["withdrawn"]]
    return tuple(row for row in rows if every or not row.fate)


def find_raw(path: Path, key: str) -> RawRow | None:
    """Find an open line by its key or the first signs of it; None where not exactly one begins so."""
    found = [row for row in read_raw(path) if key and row.uid.startswith(key)]
    return found[0] if len(found) == 1 else None


def _row(row: sqlite3.Row, fate: str) -> RawRow:
    line = RawLine(*(str(row[name]) for name in ("text", "origin", "day", "word", "reason")))
    try:
        noted_at = tables.read_time(row["noted_at"])
    except (ValueError, TypeError):  # a raw line is worth reading even where its time was spoilt
        noted_at = datetime.fromtimestamp(0, UTC)
    return RawRow(row["uid"], line, noted_at, fate)
