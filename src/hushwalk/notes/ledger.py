"""The ledger of field notes: one GeoPackage a trip that only grows.

What a note may say is notes.py's business; the tables are laid out in ledger_tables.py.
"""

import sqlite3
import struct
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from hushwalk.errors import InputError, MissingFileError
from hushwalk.notes import ledger_tables as tables
from hushwalk.notes.ledger_file import fault_text, reading, writing
from hushwalk.notes.notes import Kind, Note, content_key
from hushwalk.notes.raw_lines import RawLine, close_raw, keep_raw


@dataclass(frozen=True)
class Entry:
    """One note to be kept.

    Parameters
    ----------
    note : what it says.
    origin : how it came in, such as ``"typed"`` or ``"walk.csv row 5"``.
    line : name of the line of a fill-in table that it stands on. A changed line that is read in again corrects the
        note it gave before; an empty text never does.
    """

    note: Note
    origin: str = "typed"
    line: str = ""


@dataclass(frozen=True)
class LedgerRow:
    """One row of the ledger: the note, its key, when it was noted, and which row it corrects."""

    uid: str
    note: Note
    noted_at: datetime
    origin: str
    line: str = ""
    corrects: str | None = None
    withdrawn: bool = False
    why: str = ""


@dataclass(frozen=True)
class WriteResult:
    """What became of the entries, as keys: new rows, rows there already, and rows that corrected an earlier one."""

    added: tuple[str, ...]
    already: tuple[str, ...]
    corrected: tuple[str, ...]


@dataclass(frozen=True)
class UnreadRow:
    """A row with a word that this version does not know, and why; the other rows are read all the same."""

    table: str
    number: int
    reason: str


def write_notes(
    path: Path, entries: Sequence[Entry], raw: Sequence[RawLine] = (), solved: Mapping[str, str] | None = None
) -> WriteResult:
    """Keep notes: all of them or none, on the disk when this returns.

    Parameters
    ----------
    path : the ledger; it is made if it is not there.
    entries : notes to keep. A note that says just what a kept one says is not kept twice.
    raw : lines that were not understood, to be mended later.
    solved : raw lines that are settled by this, as key and reason.

    Returns
    -------
    Written

    Raises
    ------
    OutputError
        If the disk is full, the folder is read-only or another program holds the file.
    InputError
        If the file is not a ledger.
    """
    added: list[str] = []
    already: list[str] = []
    corrected: list[str] = []
    with writing(path) as db:
        for entry in entries:
            uid = content_key(entry.note)
            if _row(db, entry.note.kind, uid) is not None:
                already.append(uid)
                continue
            before = _current_of_line(db, entry.note.kind, entry.line)
            if before is None:
                _insert(db, uid, entry)
                added.append(uid)
            else:
                _insert(db, uid, entry, corrects=before, why="its line in the table was changed")
                corrected.append(uid)
        for line in raw:
            keep_raw(db, line)
        for uid, why in (solved or {}).items():
            close_raw(db, uid, why)
    return WriteResult(tuple(added), tuple(already), tuple(corrected))


def correct_note(path: Path, uid: str, note: Note, why: str) -> str:
    """Put a corrected note in the place of a kept one; the old row stays.

    Parameters
    ----------
    path : the ledger.
    uid : key of the note to correct, or its first characters.
    note : the whole corrected note, of the same kind.
    why : the reason, in words.

    Returns
    -------
    str
        Key of the new row.

    Raises
    ------
    InputError
        If there is no such note, it is of another kind, or it was corrected already.
    """
    return _follow(path, uid, note, why, withdrawn=False)


def withdraw_note(path: Path, uid: str, why: str) -> str:
    """Take a note out of use; its row stays, with a row after it that says why.

    Parameters
    ----------
    path : the ledger.
    uid : key of the note.
    why : the reason, kept with the row.

    Returns
    -------
    str
        Key of the row that takes it out of use.

    Raises
    ------
    InputError
        If there is no such note, or it was corrected already.
    """
    return _follow(path, uid, None, why, withdrawn=True)


def read_notes(path: Path, kind: Kind, *, every: bool = False) -> tuple[LedgerRow, ...]:
    """Read the notes of one kind, in the order they were kept.

    Parameters
    ----------
    path : the ledger.
    kind : which table.
    every : also rows that were corrected or withdrawn since.

    Returns
    -------
    tuple of LedgerRow
        Rows in use; with ``every`` all rows.

    Raises
    ------
    MissingFileError
        If there is no ledger.
    InputError
        If the file is not a ledger.
    """
    if not path.is_file():
        raise MissingFileError(f"{path} is not there; the first note makes it")
    with reading(path) as db:
        found = db.execute(f"SELECT * FROM {tables.TABLES[kind]} ORDER BY fid").fetchall()  # noqa: S608
    rows = [row for row in (_sound(kind, row, path) for row in found) if isinstance(row, LedgerRow)]
    if every:
        return tuple(rows)
    replaced = {row["corrects"] for row in found}
    return tuple(row for row in rows if row.uid not in replaced and not row.withdrawn)


def unread_rows(path: Path) -> tuple[UnreadRow, ...]:
    """Rows with a word that this version does not know: only these are left out."""
    unread: list[UnreadRow] = []
    with reading(path) as db:
        for kind, table in tables.TABLES.items():
            found = db.execute(f"SELECT * FROM {table} ORDER BY fid").fetchall()  # noqa: S608
            unread += [row for row in (_sound(kind, row, path) for row in found) if isinstance(row, UnreadRow)]
    return tuple(unread)


def find_note(path: Path, uid: str) -> LedgerRow:
    """Find one note by its key or the first characters of it.

    Raises
    ------
    InputError
        If no note or more than one begins so.
    """
    rows = [row for kind in tables.TABLES for row in read_notes(path, kind, every=True)]
    return _only(rows, uid, path)


def _only(rows: Sequence[LedgerRow], uid: str, path: Path) -> LedgerRow:
    found = [row for row in rows if row.uid == uid] or [row for row in rows if uid and row.uid.startswith(uid)]
    if len(found) != 1:
        how_many = "no note" if not found else f"{len(found)} notes"
        raise InputError(f"{how_many} in {path.name} with a key that begins with {uid!r}; give more of the key")
    return found[0]


def _follow(path: Path, uid: str, note: Note | None, why: str, *, withdrawn: bool) -> str:
    if not why.strip():
        raise InputError("say why the note is changed; the old row is kept beside it")
    old = find_note(path, uid)
    said = old.note if note is None else note
    if said.kind != old.note.kind:
        raise InputError(f"note {old.uid} is a {old.note.kind}, it cannot be corrected into a {said.kind}")
    new_uid = content_key(said, old.uid, "withdrawn" if withdrawn else "corrected")
    with writing(path) as db:
        table = tables.TABLES[said.kind]
        newer = db.execute(f"SELECT uid FROM {table} WHERE corrects = ?", (old.uid,)).fetchone()  # noqa: S608
        if newer is not None or old.withdrawn:
            raise InputError(
                f"note {old.uid} was {'withdrawn' if newer is None else f'corrected by {newer[0]}'} already; "
                "correct the newest row"
            )
        entry = Entry(said, origin=old.origin, line=old.line)
        _insert(db, new_uid, entry, corrects=old.uid, why=why, withdrawn=withdrawn)
    return new_uid


def _insert(
    db: sqlite3.Connection,
    uid: str,
    entry: Entry,
    *,
    corrects: str | None = None,
    why: str = "",
    withdrawn: bool = False,
) -> None:
    kind = entry.note.kind
    said = asdict(entry.note)
    place = said.pop("place")
    names = ("geom", *tables.KEPT, *said)
    now = datetime.now(UTC)
    kept = (uid, corrects, int(withdrawn), tables.to_sql(now), entry.origin, entry.line, why)
    values = (tables.point_blob(place), *kept, *(tables.to_sql(v) for v in said.values()))
    marks = ", ".join("?" * len(names))
    db.execute(f"INSERT INTO {tables.TABLES[kind]} ({', '.join(names)}) VALUES ({marks})", values)  # noqa: S608
    db.execute(
        "UPDATE gpkg_contents SET last_change = strftime('%Y-%m-%dT%H:%M:%fZ','now') WHERE table_name IN (?, ?)",
        (tables.TABLES[kind], f"{tables.TABLES[kind]}_now"),
    )


def _row(db: sqlite3.Connection, kind: Kind, uid: str) -> sqlite3.Row | None:
    row: sqlite3.Row | None = db.execute(f"SELECT * FROM {tables.TABLES[kind]} WHERE uid = ?", (uid,)).fetchone()  # noqa: S608
    return row


def _current_of_line(db: sqlite3.Connection, kind: Kind, line: str) -> str | None:
    if not line:
        return None
    found = db.execute(f"SELECT uid FROM {tables.TABLES[kind]}_now WHERE line = ? ORDER BY 1", (line,)).fetchone()  # noqa: S608
    return None if found is None else str(found[0])


def _sound(kind: Kind, row: sqlite3.Row, path: Path) -> LedgerRow | UnreadRow:
    try:
        return _kept(kind, row)
    except InputError as fault:
        return UnreadRow(tables.TABLES[kind], row["fid"], str(fault))
    except (ValueError, TypeError, AttributeError, OverflowError, struct.error) as fault:
        raise InputError(
            f"{path} is damaged: row {row['fid']} of its table {tables.TABLES[kind]} is no note ({fault_text(fault)}); "
            "bring back a copy"
        ) from None


def _kept(kind: Kind, row: sqlite3.Row) -> LedgerRow:
    there = row.keys()
    said = {name: tables.from_sql(kind, name, row[name]) for name in tables.said_columns(kind) if name in there}
    note = tables.NOUNS[kind](place=tables.point_of(row["geom"]), **said)  # type: ignore[arg-type]
    return LedgerRow(
        row["uid"],
        note,
        tables.read_time(row["noted_at"]),
        row["origin"],
        row["line"],
        row["corrects"],
        bool(row["withdrawn"]),
        row["why"],
    )
