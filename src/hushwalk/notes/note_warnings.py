"""Doubts about a note that was kept all the same: a place far from the trip, a stop that it is not near.

A note that cannot be is refused where it is read; a doubt is only a warning.
"""

from collections.abc import Iterable

from hushwalk.grid.points import parse_place
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, LonLat, Note, VisitNote
from hushwalk.notes.waypoints import track_length_m

AWAY_M = 50_000.0  # judgement: farther than any morning's walk, nearer than most slips of a sign or a digit
OFF_STOP_M = 150.0  # judgement: a receiver under trees and a walk around a pond


def note_warnings(notes: Iterable[Note], book: Notebook) -> tuple[str, ...]:
    """Say what is doubtful about notes.

    Parameters
    ----------
    notes : that were kept.
    book : of the trip, with the car and the stops of the plan.

    Returns
    -------
    tuple of str
        Each doubt once.
    """
    car = parse_place(book.settings.place.car)
    found: list[str] = []
    for note in notes:
        if note.place is None:
            continue
        away_m = _apart_m(note.place, car)
        if away_m > AWAY_M:
            lon, lat = note.place
            found.append(f"{lat:.4f}, {lon:.4f} lies {away_m / 1000:,.0f} km from the car: is a sign or a digit wrong?")
        elif isinstance(note, VisitNote | BearingNote) and note.stop in book.stops:
            off_m = _apart_m(note.place, book.stops[note.stop])
            if _of_plan(note, book) and off_m > OFF_STOP_M:
                found.append(f"a note of {note.stop} lies {off_m:.0f} m from that stop of the plan")
            elif not _of_plan(note, book) and off_m == 0:
                found.append(
                    f"the stops are those of the plan for {book.day:%d %B %Y}; if another plan was walked, strike the "
                    "note and note it with --plan and that plan's summary.json"
                )
    return tuple(dict.fromkeys(found))


def _of_plan(note: Note, book: Notebook) -> bool:
    """Whether a note is of the day that is planned; other mornings give the same names to other stops."""
    return note.at.astimezone(book.zone).date() == book.day


def _apart_m(one: LonLat, other: LonLat) -> float:
    return track_length_m((one, other))
