"""Males that are known by their logs: which bearings were theirs, and where somebody listened that morning.

What is learnt from them is listener_fit.py's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pyproj

from hushwalk.birds.listening_visits import ListeningVisit, visits_of, without_doubles
from hushwalk.errors import InputError
from hushwalk.logs.use import use_of
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.log_notes import noted_signs
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, LogNote, LonLat, VisitNote


@dataclass(frozen=True)
class StopRecord:
    """One stop of a morning and one male: where, when, for how many minutes, and whether he was heard."""

    stop: str
    place: LonLat
    at: datetime
    minutes: float | None
    heard: bool


@dataclass(frozen=True)
class KnownMale:
    """A male on one morning: his log, the bearings to him, and all stops of that morning."""

    label: str
    day: date
    log: LogNote
    bearings: tuple[BearingNote, ...] = field(repr=False)
    stops: tuple[StopRecord, ...] = field(repr=False)

    def error_deg(self, bearing: BearingNote) -> float:
        """Bearing taken less the true direction to his log, -180..180 [deg]."""
        true, _, _ = pyproj.Geod(ellps="WGS84").inv(*bearing.place, *self.log.place)
        return (bearing.azimuth_deg - float(true) + 180) % 360 - 180


@dataclass(frozen=True)
class LogsLeftOut:
    """Used logs that say nothing of a listener.

    Parameters
    ----------
    unnamed : how many have no name of a bird.
    unheard : log and bird of those whose bird had no bearing before.
    """

    unnamed: int
    unheard: tuple[tuple[str, str], ...]


def known_males(book: Notebook) -> tuple[tuple[KnownMale, ...], LogsLeftOut]:
    """Sort out the males that are known by their logs.

    Parameters
    ----------
    book : with the notes.

    Returns
    -------
    tuple
        Males, one for each bird and morning, and what was left out.

    Raises
    ------
    InputError
        If no log in use carries the name of a bird that was heard.

    Notes
    -----
    A log belongs to the bird whose name was noted with it, on the last morning, up to the day of the log, that has a
    bearing of that name: names are given anew each morning. Of several logs of one bird the one most surely in use
    counts, then the first noted. Logs without droppings are nobody's.
    """
    bearing_rows = [r.note for r in without_doubles(book.notes("bearing")) if isinstance(r.note, BearingNote)]
    visits = [row.note for row in book.notes("visit") if isinstance(row.note, VisitNote)]
    chosen, left_out = _logs_of_birds(book.notes("log"), bearing_rows, book.zone)
    if not chosen:
        raise InputError(
            f"{book.path.name} knows no male yet: note each log found with its droppings and the bird it belongs to, "
            "such as: hushwalk note TRIP log3 fresh b2 --at PLACE; the bird must have a bearing of the same name"
        )
    males = []
    for (bird, day), log in sorted(chosen.items(), key=lambda item: (item[0][1], item[0][0])):
        today = [note for note in bearing_rows if _day(note.at, book.zone) == day]
        stops = visits_of([note for note in visits if _day(note.at, book.zone) == day], today)
        own = tuple(note for note in today if note.bird == bird)
        males.append(KnownMale(f"{bird} {day}", day, log, own, _listened(stops, own)))
    return tuple(males), left_out


def _logs_of_birds(
    rows: Sequence[LedgerRow], bearing_rows: Sequence[BearingNote], zone: ZoneInfo
) -> tuple[dict[tuple[str, date], LogNote], LogsLeftOut]:
    mornings: dict[str, set[date]] = {}
    for note in bearing_rows:
        mornings.setdefault(note.bird, set()).add(_day(note.at, zone))
    chosen: dict[tuple[str, date], LogNote] = {}
    unnamed, unheard = 0, []
    for row in rows:
        log = row.note
        if not isinstance(log, LogNote) or log.droppings == "none":
            continue
        bird = log.bird.strip().upper()
        days = [day for day in mornings.get(bird, ()) if day <= _day(log.at, zone)]
        if not bird:
            unnamed += 1
        elif not days:
            unheard.append((log.name, bird))
        else:
            key = (bird, max(days))
            before = chosen.get(key)
            if before is None or use_of(noted_signs(log)) > use_of(noted_signs(before)):
                chosen[key] = log
    return chosen, LogsLeftOut(unnamed, tuple(unheard))


def _listened(visits: Sequence[ListeningVisit], own: Sequence[BearingNote]) -> tuple[StopRecord, ...]:
    return tuple(
        StopRecord(visit.stop, visit.place, visit.at, visit.minutes, any(note in own for note in visit.bearings))
        for visit in visits
    )


def _day(at: datetime, zone: ZoneInfo) -> date:
    return at.astimezone(zone).date()
