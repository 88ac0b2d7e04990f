"""Doubts about a note that was kept all the same: a place far from the trip, a stop that it is not near.

A note that cannot be is refused where it is read; a doubt is only a warning.
"""

import re
from collections.abc import Iterable, Iterator
from datetime import datetime, time

from hushwalk.grid.points import parse_place
from hushwalk.notes.note_warnings import NoteWarning, WarningKind
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, LogNote, LonLat, Note, VisitNote
from hushwalk.notes.reading.waypoints import track_length_m

AWAY_M = 50_000.0  # judgement: farther than any morning's walk, nearer than most slips of a sign or a digit
SEASON_DAYS = 150  # judgement: a season is shorter, and a wrong year or month is mostly farther off
ONE_LOG_M = 50.0
"""Judgement: a receiver under trees is off by ten metres or so; notes of one name farther apart are of two logs."""
OFF_STOP_M = 150.0  # judgement: a receiver under trees and a walk around a pond


def note_warnings(notes: Iterable[Note], book: Notebook) -> tuple[NoteWarning, ...]:
    """Find what is doubtful about notes.

    Parameters
    ----------
    notes : that were kept.
    book : of the trip, with the car and the stops of the plan.

    Returns
    -------
    tuple of NoteWarning
        Each doubt once.
    """
    car = parse_place(book.settings.place.car)
    found: list[NoteWarning] = []
    for note in notes:
        of_day = book.at(note.at)
        found += _of_day(note, of_day)
        if note.place is not None:
            found += _of_place(note, note.place, of_day, car)
    return tuple(dict.fromkeys(found))


def _of_day(note: Note, book: Notebook) -> Iterator[NoteWarning]:
    day = note.at.astimezone(book.zone).date()
    apart = abs((day - book.day).days)
    if apart > SEASON_DAYS:
        yield NoteWarning(WarningKind.FAR_FROM_DAY, apart, at=datetime.combine(day, time(), book.zone), day=book.day)


def _of_place(note: Note, place: LonLat, book: Notebook, car: LonLat) -> Iterator[NoteWarning]:
    away_m = _apart_m(place, car)
    if away_m > AWAY_M:
        yield NoteWarning(WarningKind.FAR_FROM_CAR, away_m, place)
    elif isinstance(note, LogNote):
        yield from _of_log(note, book)
    elif isinstance(note, VisitNote | BearingNote) and note.stop in book.stops:
        off_m = _apart_m(place, book.stops[note.stop])
        if _of_plan(note, book) and off_m > OFF_STOP_M:
            yield NoteWarning(WarningKind.OFF_STOP, off_m, stop=note.stop)
        elif not _of_plan(note, book) and off_m == 0:
            yield NoteWarning(WarningKind.OTHER_PLAN, day=book.day)


def _of_log(note: LogNote, book: Notebook) -> Iterator[NoteWarning]:
    """Doubt a name that another log has, and offer the next free one."""
    logs = [row.note for row in book.notes("log") if isinstance(row.note, LogNote)]
    same = [log for log in logs if log.name.upper() == note.name.upper()]
    off_m = max((_apart_m(log.place, note.place) for log in same), default=0.0)
    if off_m > ONE_LOG_M:
        numbers = [int(match[1]) for log in logs if (match := NUMBERED.fullmatch(log.name.upper()))]
        yield NoteWarning(WarningKind.LOG_NAME_USED, off_m, stop=f"log{max(numbers, default=0) + 1}", at=note.at)


NUMBERED = re.compile(r"LOG ?0*(\d+)")


def _of_plan(note: Note, book: Notebook) -> bool:
    """Whether a note is of the day that is planned; other mornings give the same names to other stops."""
    return note.at.astimezone(book.zone).date() == book.day


def _apart_m(one: LonLat, other: LonLat) -> float:
    return track_length_m((one, other))
