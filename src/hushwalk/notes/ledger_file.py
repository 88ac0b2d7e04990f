"""Opening the ledger's file safely: one transaction a write, durable on return, every fault in plain words.

What is written and read is ledger.py's business.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from hushwalk.errors import InputError, OutputError
from hushwalk.notes import ledger_tables as tables
from hushwalk.notes.notes import ADDED
from hushwalk.text import seen

BUSY_S = 60.0  # judgement: another writer holds the file for milliseconds; a minute outlasts any pile of them
NO_ROOM = ("SQLITE_FULL",)
NOT_WRITABLE = ("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM", "SQLITE_AUTH", "SQLITE_IOERR")
OUR_FAULT = (sqlite3.ProgrammingError, sqlite3.NotSupportedError, sqlite3.IntegrityError)


@contextmanager
def _open(path: Path, mode: str) -> Iterator[sqlite3.Connection]:
    address = f"{path.resolve().as_uri()}?mode={mode}"
    db = sqlite3.connect(address, uri=True, timeout=BUSY_S, isolation_level=None)
    db.row_factory = sqlite3.Row
    db.text_factory = _readable
    try:
        yield db
    finally:
        db.close()


def _readable(raw: bytes) -> str:
    """Read a text, which may come from strangers, or from a disk that spoilt a letter: the others are worth having."""
    return seen(raw.decode("utf-8", "replace").replace("\ufffd", "?"))


@contextmanager
def writing(path: Path) -> Iterator[sqlite3.Connection]:
    """Hold the file for one write: all that is done inside is kept together, or nothing is.

    Notes
    -----
    Rollback journal and full synchronisation: no side files stay, and the disk has it all when this ends.

    Raises
    ------
    OutputError
        If it cannot be written.
    InputError
        If the file is not a ledger.
    """
    with _errors(path), _open(path, "rwc") as db:
        db.execute("PRAGMA journal_mode = DELETE")
        db.execute("PRAGMA synchronous = FULL")
        db.execute("BEGIN IMMEDIATE")
        try:
            if db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0:
                tables.lay_out(db)
            _check(db, path)
            _check_version(db, path)
            tables.upgrade(db)
            _heal_counts(db)
            yield db
            db.execute("COMMIT")
        except BaseException:
            if db.in_transaction:
                db.execute("ROLLBACK")
            raise


@contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """Open the file to read.

    Raises
    ------
    OutputError
        If it cannot be opened.
    InputError
        If the file is not a ledger.
    """
    # Opened for writing too where that is allowed: a write that was cut off must be rolled back before reading.
    with _errors(path), _open(path, "rw") as db:
        _check(db, path)
        yield db


def _check(db: sqlite3.Connection, path: Path) -> None:
    for kind, table in tables.TABLES.items():
        there = {row[1] for row in db.execute(f"PRAGMA table_info({table})")}
        needed = [name for name in tables.said_columns(kind) if name not in ADDED]
        if not there.issuperset(("fid", "geom", *tables.KEPT, *needed)):
            raise InputError(f"{path} is not a hushwalk ledger of this version (table {table}); name another file")


def _check_version(db: sqlite3.Connection, path: Path) -> None:
    made_by = int(db.execute("PRAGMA user_version").fetchone()[0])
    if made_by > tables.USER_VERSION:
        raise InputError(
            f"{path} was made by a newer version ({made_by}, this one knows {tables.USER_VERSION}): nothing is written "
            "into it; update hushwalk, or name another file with --notes"
        )


def _heal_counts(db: sqlite3.Connection) -> None:
    # Other programs keep a count of rows and trust it blindly; a wrong one would hide notes.
    if db.execute("SELECT 1 FROM sqlite_master WHERE name = 'gpkg_ogr_contents'").fetchone():
        db.execute("UPDATE gpkg_ogr_contents SET feature_count = NULL")


@contextmanager
def _errors(path: Path) -> Iterator[None]:
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError) as fault:  # the second where the words of an error are damaged too
        name = getattr(fault, "sqlite_errorname", "") or ""
        if name.startswith(NO_ROOM):
            raise OutputError(
                f"no room on the disk for {path}: nothing was noted; free some space and note it again"
            ) from None
        if name.startswith(NOT_WRITABLE):
            raise OutputError(
                f"{path} cannot be opened or written ({fault}): nothing was noted; "
                "check that the folder is there and may be written"
            ) from None
        if name.startswith("SQLITE_BUSY"):
            raise OutputError(
                f"another program holds {path}: nothing was noted; close it there and note it again"
            ) from None
        if isinstance(fault, OUR_FAULT):
            raise
        raise InputError(
            f"{path} is not a ledger or is damaged ({fault_text(fault)}); name another file or bring back a copy"
        ) from None


def fault_text(fault: Exception) -> str:
    """Give the words of a fault on one line, as far as they can be read."""
    return "its tables cannot be read" if isinstance(fault, UnicodeDecodeError) else " ".join(str(fault).split())
