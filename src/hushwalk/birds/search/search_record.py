"""Notes of what was searched: areas of a planned search that were walked, kept in the ledger as sessions.

search_ground.py reads them back and lowers the chance of that ground.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from hushwalk.birds.search.search_ground import search_remark
from hushwalk.errors import InputError, MissingFileError
from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.notebook import open_ledger
from hushwalk.notes.notes import LonLat, SessionNote

SUMMARY = "search.json"


@dataclass(frozen=True)
class _Area:
    number: int
    bird: str
    arrive: datetime
    leave: datetime
    path_lonlat: tuple[LonLat, ...]


@dataclass(frozen=True)
class _Planned:
    sweep_m: float
    areas: tuple[_Area, ...]


def note_walked(trip: Path, summary: Path, numbers: Sequence[int], *, notes: Path | None = None) -> int:
    """Note areas of a planned search as searched.

    Parameters
    ----------
    trip : the trip file.
    summary : search.json of that search.
    numbers : of the areas that were walked.
    notes : the ledger; None for the trip's own.

    Returns
    -------
    int
        How many notes are new; a second time adds none.

    Raises
    ------
    MissingFileError
        If no search was planned.
    InputError
        If the summary is no search, or has no such area; then nothing is noted.
    """
    book = open_ledger(trip, notes=notes)
    planned = _read(summary)
    areas = {area.number: area for area in planned.areas}
    strange = [number for number in numbers if number not in areas]
    if strange:
        known = ", ".join(map(str, areas)) or "none"
        raise InputError(f"the search in {summary} has no area {strange[0]}; there are {known}")
    entries = [_entry(areas[number], planned.sweep_m, summary) for number in dict.fromkeys(numbers)]
    return len(write_notes(book.path, entries).added)


def _read(summary: Path) -> _Planned:
    try:
        text = summary.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise MissingFileError(f"there is no {summary}; plan the search first, or name its folder with --out") from None
    except (OSError, UnicodeDecodeError) as fault:
        raise InputError(f"{summary} cannot be read: {fault}") from None
    try:
        return TypeAdapter(_Planned).validate_python(json.loads(text))
    except (ValueError, ValidationError):
        raise InputError(f"{summary} is not the summary of a search; plan it again with `hushwalk search`") from None


def _entry(area: _Area, sweep_m: float, summary: Path) -> Entry:
    path = area.path_lonlat
    note = SessionNote(
        at=area.arrive,
        what=f"searched area {area.number}",
        place=path[len(path) // 2],
        end=area.leave,
        session="search",
        bird=area.bird,
        remark=search_remark(path, sweep_m),
    )
    return Entry(note, f"{summary.name} area {area.number}")
