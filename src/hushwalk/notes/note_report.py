"""What the note command found out, as facts: what became of each note, what is doubtful, what is asked.

The sentences are wording/note_words.py's; how the facts are found is the business of the other files of this room.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum
from pathlib import Path
from zoneinfo import ZoneInfo

from hushwalk.notes.ledger import LedgerRow, UnreadRow, WriteResult
from hushwalk.notes.note_warnings import NoteWarning
from hushwalk.notes.notes import Note
from hushwalk.notes.raw_lines import RawLine, RawRow
from hushwalk.notes.reading.walk_table import Refused, TakenIn


class Fate(Enum):
    """What became of a note that was to be kept."""

    NEW = "kept now"
    ALREADY = "kept already"
    CHANGED_SINCE = "kept before, and mended or struck out since"


@dataclass(frozen=True)
class KeptNote:
    """A note with the short key that it goes by, and what became of it."""

    key: str
    note: Note
    fate: Fate


@dataclass(frozen=True)
class LineReport:
    """What a typed line gave."""

    notes: tuple[KeptNote, ...]
    zone: ZoneInfo
    warnings: tuple[NoteWarning, ...] = ()


@dataclass(frozen=True)
class MendReport:
    """A note with some of its words changed, and the keys of the old and the new row."""

    old_key: str
    new_key: str
    note: Note
    zone: ZoneInfo
    warnings: tuple[NoteWarning, ...] = ()


@dataclass(frozen=True)
class StrikeReport:
    """A note that was struck out."""

    key: str
    note: Note
    zone: ZoneInfo
    ledger: Path


@dataclass(frozen=True)
class RawStrikeReport:
    """A line that was not understood and is struck out."""

    line: RawLine
    ledger: Path


@dataclass(frozen=True)
class TakenFiles:
    """What files gave: what was taken from each by name, what became of it, and what is doubtful."""

    files: Mapping[str, TakenIn]
    written: WriteResult
    ledger: Path
    warnings: tuple[NoteWarning, ...]

    @property
    def refused(self) -> tuple[Refused, ...]:
        """All rows and waypoints that were refused."""
        return tuple(row for taken in self.files.values() for row in taken.refused)

    @property
    def raw(self) -> tuple[RawLine, ...]:
        """Refused lines that the ledger keeps as they were written."""
        return tuple(line for taken in self.files.values() for line in taken.raw)


@dataclass(frozen=True)
class BlankReport:
    """A table to fill in that was written."""

    path: Path


@dataclass(frozen=True)
class ListedNote:
    """A row of the ledger in a list: its short key, and the row after it where it was mended or struck out."""

    key: str
    row: LedgerRow
    after: LedgerRow | None = None
    after_key: str = ""


@dataclass(frozen=True)
class ListedRaw:
    """A line that was not understood, with its short key."""

    key: str
    row: RawRow


@dataclass(frozen=True)
class NoteList:
    """The notes of a trip in the order of the mornings.

    Parameters
    ----------
    ledger : the file.
    zone : time zone of the trip.
    notes : the rows to show.
    day : only this day; None for all.
    hidden : how many older rows are kept and not shown.
    silent_stops : stops of the plan that were passed without a note.
    raw : lines that were not understood, to be mended.
    unread : rows with a word that this version does not know.
    """

    ledger: Path
    zone: ZoneInfo
    notes: tuple[ListedNote, ...]
    day: date | None = None
    hidden: int = 0
    silent_stops: tuple[str, ...] = ()
    raw: tuple[ListedRaw, ...] = ()
    unread: tuple[UnreadRow, ...] = ()


@dataclass(frozen=True)
class WaypointQuestion:
    """A waypoint whose name follows no rule, to be named by the person.

    Parameters
    ----------
    name, comment : as in the file.
    time : when it was stored, in the zone of the trip; None if not recorded.
    stop, away_m : the nearest stop of the plan and how far it is; an empty text where there is none [m].
    again : the last answer followed no rule either.
    """

    name: str
    comment: str = ""
    time: datetime | None = None
    stop: str = ""
    away_m: float = 0.0
    again: bool = False


NoteReport = LineReport | MendReport | StrikeReport | RawStrikeReport | TakenFiles | BlankReport | NoteList
