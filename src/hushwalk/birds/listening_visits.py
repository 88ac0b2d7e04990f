"""Notes of one stop a few minutes apart are one visit, and a bearing that was kept twice is one bearing.

Where bearings cross is fix.py's business; what the visits say of the ear is listener_fit.py's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import pyproj

from hushwalk.notes.bearing import Listening, metres_of
from hushwalk.notes.figures import figure
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import BearingNote, LonLat, VisitNote

NEAR_TIME = timedelta(minutes=15)
"""Judgement: a note of the same stop so long after another is still of that visit."""
SAME_PLACE_M = 25.0
"""Judgement: notes of one stop taken a few paces apart are still from that stop."""
SAME_READING_DEG = 1.5
"""Judgement: a reading written down and the same one typed into a GPS differ by rounding only."""
SAME_MOMENT = timedelta(minutes=10)
"""Judgement: a bearing is stored and written down within ten minutes."""


@dataclass(frozen=True)
class ListeningVisit:
    """One visit to a stop.

    Parameters
    ----------
    stop, place : name, and longitude and latitude [deg].
    at, end : when it began, and the last that is known of it.
    minutes : listened, or None where nobody wrote it down.
    heard : whether any bird was heard.
    bearings : taken there.
    """

    stop: str
    place: LonLat
    at: datetime
    end: datetime
    minutes: float | None
    heard: bool
    bearings: tuple[BearingNote, ...] = field(default=(), repr=False)

    def listening(self, epsg: int) -> Listening:
        """Give the visit in the metres of a grid."""
        return Listening(self.stop, metres_of(self.place, epsg), self.minutes, self.heard, self.at)


def visits_of(visits: Sequence[VisitNote], bearings: Sequence[BearingNote]) -> tuple[ListeningVisit, ...]:
    """Put the notes of stops together to visits.

    Parameters
    ----------
    visits, bearings : of any number of mornings; a bearing without a visit of its own makes one.

    Returns
    -------
    tuple of ListeningVisit
        By their beginning. Minutes noted are summed; where none are, bearings that lie farther apart than a visit of
        unknown length lasts say how long it was at least.
    """
    found: list[ListeningVisit] = []
    notes: list[VisitNote | BearingNote] = [*visits, *bearings]
    for note in sorted(notes, key=lambda n: (n.at, isinstance(n, BearingNote))):
        new = _visit(note)
        same = [k for k, old in enumerate(found) if _is_same(old, new)]
        if same:
            found[same[-1]] = _joined(found[same[-1]], new)
        else:
            found.append(new)
    return tuple(_timed(visit) for visit in found)


def listened_at(visits: Sequence[LedgerRow], bearing_rows: Sequence[LedgerRow], epsg: int) -> tuple[Listening, ...]:
    """Give where somebody listened, from rows of the ledger, in the metres of a grid.

    Parameters
    ----------
    visits, bearing_rows : of the ledger; a bearing taken at a stop without a visit counts as listening there too.
    epsg : projected system of the grid to work on.

    Returns
    -------
    tuple of Listening
        One a visit.
    """
    said = [row.note for row in visits if isinstance(row.note, VisitNote)]
    taken = [row.note for row in bearing_rows if isinstance(row.note, BearingNote)]
    return tuple(visit.listening(epsg) for visit in visits_of(said, taken))


def without_doubles(rows: Sequence[LedgerRow]) -> tuple[LedgerRow, ...]:
    """Leave out bearings that were kept twice, once typed and once by the GPS; the one that says more stays.

    Parameters
    ----------
    rows : bearings of the ledger.

    Returns
    -------
    tuple of LedgerRow
        In the same order.
    """
    left: list[LedgerRow] = []
    for row in rows:
        same = [k for k, old in enumerate(left) if _is_double(old, row)]
        if not same:
            left.append(row)
        elif _says(row) > _says(left[same[0]]):
            left[same[0]] = row
    return tuple(left)


def _visit(note: VisitNote | BearingNote) -> ListeningVisit:
    if isinstance(note, BearingNote):
        return ListeningVisit(note.stop, note.place, note.at, note.at, None, heard=True, bearings=(note,))
    return ListeningVisit(note.stop, note.place, note.at, note.end or note.at, note.minutes, note.heard)


def _is_same(old: ListeningVisit, new: ListeningVisit) -> bool:
    if new.at > old.end + NEAR_TIME:
        return False
    if old.stop and new.stop:
        return old.stop == new.stop
    return away_m(old.place, new.place) <= SAME_PLACE_M


def _joined(old: ListeningVisit, new: ListeningVisit) -> ListeningVisit:
    noted = [v.minutes for v in (old, new) if v.minutes is not None]
    return ListeningVisit(
        old.stop or new.stop,
        old.place,
        old.at,
        max(old.end, new.end),
        sum(noted) if noted else None,
        old.heard or new.heard,
        (*old.bearings, *new.bearings),
    )


def _timed(visit: ListeningVisit) -> ListeningVisit:
    span = (visit.end - visit.at).total_seconds() / 60
    if visit.minutes is not None or span <= figure("earshot", "minutes_unknown"):
        return visit
    return ListeningVisit(visit.stop, visit.place, visit.at, visit.end, span, visit.heard, visit.bearings)


def _is_double(one: LedgerRow, other: LedgerRow) -> bool:
    a, b = one.note, other.note
    if not (isinstance(a, BearingNote) and isinstance(b, BearingNote)) or _by_gps(one) == _by_gps(other):
        return False
    turn = abs((a.azimuth_deg - b.azimuth_deg + 180) % 360 - 180)
    here = a.stop == b.stop if a.stop and b.stop else away_m(a.place, b.place) <= SAME_PLACE_M
    one_name = not (a.bird and b.bird) or a.bird == b.bird
    return here and one_name and turn <= SAME_READING_DEG and abs(a.at - b.at) <= SAME_MOMENT


def _by_gps(row: LedgerRow) -> bool:
    return ".gpx" in row.origin.lower()


def _says(row: LedgerRow) -> int:
    """How much a bearing says beyond its reading."""
    note = row.note
    if not isinstance(note, BearingNote):
        return 0
    return 2 * note.pinned + bool(note.bird) + bool(note.distance) + (note.error_class != "usual") + bool(note.remark)


def away_m(one: LonLat, other: LonLat) -> float:
    """Distance between two places given by longitude and latitude [m]."""
    _, _, away = pyproj.Geod(ellps="WGS84").inv(*one, *other)
    return float(away)
