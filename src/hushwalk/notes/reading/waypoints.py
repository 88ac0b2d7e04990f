"""Waypoints and tracks of a GPS as notes, by the rule of their names.

Reading the file is the files room's business; what the words mean is entry.py's.

The rule: ``STOP BIRD BEARING [DISTANCE]``, divided by spaces, ``-`` or ``_``.
``L03 B2 085M`` is bird B2 at 085 from magnetic north from stop L03; ``T`` and ``G`` stand for true and grid north, no
letter for the person's own compass, and NEAR, MID or FAR may follow. Away from the stops, ``B2 085M`` will do.
``L03 NIL`` is a stop where nothing was heard. ``LOG3 FRESH`` is a log found, with NONE, FEW, FRESH or OLD for the
droppings. Case does not matter.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from itertools import pairwise

from hushwalk.errors import InputError
from hushwalk.files.gpx_in import Track, Waypoint
from hushwalk.notes.ledger import Entry
from hushwalk.notes.notes import Kind, LonLat, Note, SessionNote
from hushwalk.notes.reading.entry import NoteContext, note_from_cells
from hushwalk.notes.reading.walk_table import Refused, TakenIn

RULE = "names such as 'L03 B2 085M', 'L03 B2 085M FAR', 'L03 NIL' or 'LOG3 FRESH'"
EARTH_M = 6371008.8  # definition: mean radius of the earth, good for adding up a track

_BEARING = re.compile(r"(?:([A-Z]{1,3}\d{1,3}) )?(B\d{1,2}|B) (\d{1,3}(?:\.\d)?)([MTG])?(?: (NEAR|MID|FAR))?")
_SILENT = re.compile(r"([A-Z]{1,3}\d{1,3}) (?:NIL|NONE|0)")
_LOG = re.compile(r"LOG ?(\d{1,3}) (NONE|FEW|FRESH|OLD)(?: (.*))?")


@dataclass(frozen=True)
class NameRead:
    """What a name says: the kind of note and its words."""

    kind: Kind
    cells: dict[str, str]


def read_name(name: str) -> NameRead | None:
    """Read the name of a waypoint by the rule; None where it does not follow it.

    Examples
    --------
    >>> read_name("L03 B2 085M").cells["reading_deg"]
    '085M'
    >>> read_name("CAR") is None
    True
    """
    words = " ".join(re.split(r"[\s_-]+", name.strip().upper()))
    if match := _LOG.fullmatch(words):
        return NameRead("log", {"name": f"LOG{int(match[1]):02d}", "droppings": match[2].lower()})
    if words.startswith("LOG"):
        return None
    if match := _BEARING.fullmatch(words):
        reading = match[3] + (match[4] or "")
        cells = {"stop": match[1] or "", "bird": match[2], "reading_deg": reading, "distance": (match[5] or "").lower()}
        return NameRead("bearing", cells)
    if match := _SILENT.fullmatch(words):
        return NameRead("visit", {"stop": match[1], "heard": "no"})
    return None


def take_waypoints(
    waypoints: Sequence[Waypoint],
    file: str,
    context: NoteContext,
    *,
    named: Mapping[str, str] | None = None,
    day: date | None = None,
) -> TakenIn:
    """Turn waypoints into notes at the places where they were stored.

    Parameters
    ----------
    waypoints : as read from the file.
    file : its name.
    context : for the norths and the time zone.
    named : what a waypoint should have been called, such as ``{"017": "L03 B2 085M"}``; ``"-"`` leaves it out.
    day : taken, at noon UTC, for waypoints without a time; without it they are refused.

    Returns
    -------
    TakenIn
        ``blank`` counts waypoints left out on purpose.
    """
    entries: list[Entry] = []
    refused: list[Refused] = []
    left_out = 0
    for point in waypoints:
        where = f"{file} waypoint {point.number} {point.name[:40]!r}"
        name = (named or {}).get(point.name, point.name)
        if name == "-":
            left_out += 1
            continue
        try:
            entries.append(Entry(_note(name, point, context, day), where))
        except InputError as fault:
            refused.append(Refused(where, str(fault)))
    return TakenIn(tuple(entries), tuple(refused), left_out)


def _note(name: str, point: Waypoint, context: NoteContext, day: date | None) -> Note:
    read = read_name(name)
    if read is None:
        raise InputError(f"the name follows no rule; understood are {RULE}, or say what it means")
    moment = point.time or (datetime.combine(day, time(12), UTC) if day else None)
    if moment is None:
        raise InputError("it has no time; say the day on which it was stored")
    here = replace(context, now=moment, read_place=lambda _: point.lonlat)
    remark = "" if point.time else "time of day not recorded"
    return note_from_cells(read.kind, {**read.cells, "place": "here", "remark": remark}, here)


def take_tracks(tracks: Sequence[Track], file: str) -> TakenIn:
    """Turn tracks into sessions: when the walk began and ended, and how long it was."""
    entries: list[Entry] = []
    refused: list[Refused] = []
    for number, track in enumerate(tracks, start=1):
        where = f"{file} track {number} {track.name[:40]!r}"
        times = [t for t in track.times if t is not None]
        if not times:
            refused.append(Refused(where, "it has no times, so the morning it belongs to is not known"))
            continue
        words = f"walked {track_length_m(track.lonlats) / 1000:.1f} km, {len(track.lonlats)} points"
        try:
            note = SessionNote(min(times), words, track.lonlats[0], max(times), "walk", remark=track.name[:200])
        except InputError as fault:
            refused.append(Refused(where, str(fault)))
        else:
            entries.append(Entry(note, where))
    return TakenIn(tuple(entries), tuple(refused))


def place_at(track: Track, moment: datetime) -> LonLat:
    """Where the walker was at a moment, between the points of a track.

    Raises
    ------
    InputError
        If the track has no times, or the moment lies outside of it.
    """
    timed = sorted((t, place) for t, place in zip(track.times, track.lonlats, strict=True) if t is not None)
    if not timed or not timed[0][0] <= moment <= timed[-1][0]:
        raise InputError(f"track {track.name!r} was not being recorded at {moment:%Y-%m-%d %H:%M}")
    for (before, a), (after, b) in pairwise(timed):
        if moment <= after:
            span = (after - before).total_seconds()
            share = (moment - before).total_seconds() / span if span else 0.0
            return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
    return timed[-1][1]


def track_length_m(lonlats: Sequence[LonLat]) -> float:
    """Length of a track on the sphere [m].

    Examples
    --------
    >>> round(track_length_m([(0.0, 0.0), (0.0, 1.0)]) / 1000)
    111
    """
    total = 0.0
    for (lon, lat), (lon2, lat2) in pairwise(lonlats):
        half_lat, half_lon = math.radians(lat2 - lat) / 2, math.radians(lon2 - lon) / 2
        part = (
            math.sin(half_lat) ** 2
            + math.cos(math.radians(lat)) * math.cos(math.radians(lat2)) * math.sin(half_lon) ** 2
        )
        total += 2 * EARTH_M * math.asin(min(1.0, math.sqrt(part)))
    return total
