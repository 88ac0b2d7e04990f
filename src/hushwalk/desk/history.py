"""All versions of a trip file that the desk has known, with the plans made of them: one SQLite file, safe to kill.

What a version says is the trip file's own business; reading and writing that file is trip_document.py's.
"""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from hushwalk.errors import OutputError

FILE = "desk_history.sqlite"
TABLES = """
CREATE TABLE IF NOT EXISTS version (
    number INTEGER PRIMARY KEY, parent INTEGER, made_at TEXT NOT NULL, change TEXT NOT NULL, trip TEXT NOT NULL,
    name TEXT NOT NULL DEFAULT '', plan TEXT, last_child INTEGER
);
CREATE TABLE IF NOT EXISTS now (only_row INTEGER PRIMARY KEY CHECK (only_row = 1), at INTEGER, written INTEGER);
INSERT OR IGNORE INTO now VALUES (1, NULL, NULL);
"""
COLUMNS = "number, parent, made_at, change, trip, name, plan IS NOT NULL, last_child"


@dataclass(frozen=True)
class Version:
    """One version of the trip file.

    Parameters
    ----------
    number, parent : of it, and of the version that it was made from; None for the first.
    made_at : when, as ISO 8601.
    change : what was changed, in words.
    trip : the whole text.
    name : that the person gave it, or nothing.
    planned : whether a plan of it is kept.
    last_child : the version made from it that was last gone to; None where there is none.
    """

    number: int
    parent: int | None
    made_at: str
    change: str
    trip: str
    name: str
    planned: bool
    last_child: int | None


class History:
    """The versions of one trip, held by one desk at a time.

    Raises
    ------
    OutputError
        If another desk holds the folder, or the file cannot be written.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / FILE
        with _errors(self.path):
            self._db = sqlite3.connect(self.path, timeout=0.2, isolation_level=None)
            self._db.execute("PRAGMA locking_mode = EXCLUSIVE")
            self._db.execute("PRAGMA journal_mode = DELETE")
            self._db.execute("PRAGMA synchronous = FULL")
            self._db.execute("BEGIN EXCLUSIVE")
            for statement in TABLES.split(";\n"):
                self._db.execute(statement)
            self._db.execute("COMMIT")

    def close(self) -> None:
        """Let go of the folder."""
        self._db.close()

    @property
    def now(self) -> Version | None:
        """The version that stands; None before the first."""
        at = self._db.execute("SELECT at FROM now").fetchone()[0]
        return None if at is None else self.version(at)

    @property
    def written(self) -> Version | None:
        """The version that was last written to the trip file, or found there."""
        at = self._db.execute("SELECT written FROM now").fetchone()[0]
        return None if at is None else self.version(at)

    def version(self, number: int) -> Version | None:
        """Give a version by its number; None where there is none."""
        row = self._db.execute(f"SELECT {COLUMNS} FROM version WHERE number = ?", (number,)).fetchone()  # noqa: S608
        return None if row is None else _version(row)

    def versions(self) -> tuple[Version, ...]:
        """Give all versions, the first one first."""
        rows = self._db.execute(f"SELECT {COLUMNS} FROM version ORDER BY number").fetchall()  # noqa: S608
        return tuple(map(_version, rows))

    def add(self, trip: str, change: str, *, written: bool = False) -> Version:
        """Keep a new version, made from the one that stands, and let it stand.

        Parameters
        ----------
        trip : the whole text.
        change : what was changed, in words.
        written : whether the trip file says so already.

        Returns
        -------
        Version

        Raises
        ------
        OutputError
            If it cannot be kept.
        """
        with self._transaction():
            at = self._db.execute("SELECT at FROM now").fetchone()[0]
            made_at = datetime.now(UTC).isoformat(timespec="milliseconds")
            number = self._db.execute(
                "INSERT INTO version (parent, made_at, change, trip) VALUES (?, ?, ?, ?)", (at, made_at, change, trip)
            ).lastrowid
            self._db.execute("UPDATE version SET last_child = ? WHERE number = ?", (number, at))
            self._db.execute("UPDATE now SET at = ?", (number,))
            if written:
                self._db.execute("UPDATE now SET written = ?", (number,))
        found = self.version(int(number or 0))
        if found is None:
            raise OutputError(f"{self.path} does not keep what is written into it; check its disk")
        return found

    def go(self, number: int) -> Version | None:
        """Let another version stand; None where there is none of that number."""
        found = self.version(number)
        if found is not None:
            with self._transaction():
                self._db.execute("UPDATE version SET last_child = ? WHERE number = ?", (number, found.parent))
                self._db.execute("UPDATE now SET at = ?", (number,))
        return found

    def note_written(self, number: int) -> None:
        """Note that a version stands in the trip file."""
        with self._transaction():
            self._db.execute("UPDATE now SET written = ?", (number,))

    def name(self, number: int, name: str) -> None:
        """Give a version a name."""
        with self._transaction():
            self._db.execute("UPDATE version SET name = ? WHERE number = ?", (name, number))

    def keep_plan(self, number: int, plan: dict[str, Any]) -> None:
        """Keep the plan of a version."""
        with self._transaction():
            self._db.execute("UPDATE version SET plan = ? WHERE number = ?", (json.dumps(plan), number))

    def plan(self, number: int) -> dict[str, Any] | None:
        """Give the kept plan of a version; None where there is none."""
        row = self._db.execute("SELECT plan FROM version WHERE number = ?", (number,)).fetchone()
        found: dict[str, Any] | None = json.loads(row[0]) if row and row[0] else None
        return found

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        with _errors(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._db.execute("COMMIT")
            except BaseException:
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                raise


def _version(row: tuple[Any, ...]) -> Version:
    number, parent, made_at, change, trip, name, planned, last_child = row
    return Version(number, parent, made_at, change, trip, name, bool(planned), last_child)


@contextmanager
def _errors(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.OperationalError as fault:
        if "locked" in str(fault) or "busy" in str(fault):
            raise OutputError(
                f"another desk works on {path.parent}; use its page in the browser, or end it with Ctrl-C where it "
                "was started"
            ) from None
        raise OutputError(f"{path} cannot be written ({fault}); free its space and rights") from None
    except sqlite3.DatabaseError as fault:
        raise OutputError(
            f"{path} is damaged ({fault}); move it away: the trip file itself stands, its older versions are in it"
        ) from None
