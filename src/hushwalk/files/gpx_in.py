"""Waypoints and tracks from GPX 1.0 and 1.1, behind a gate that refuses entities, outside files and sheer size.

What their names mean is the business of notes/reading/; writing GPX is the outputs room's.
"""

import math
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree.ElementTree import ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import iterparse

from hushwalk.errors import InputError, MissingFileError

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

SIZE_MAX = 50_000_000  # judgement: a year of tracks is smaller
NAMESPACES = ("http://www.topografix.com/GPX/1/0", "http://www.topografix.com/GPX/1/1", "")
LonLat = tuple[float, float]


FIRST_YEAR, LAST_YEAR = 1970, 2199  # judgement: no receiver of positions has stored a time outside these


@dataclass(frozen=True)
class Waypoint:
    """A waypoint: its number in the file, name, comment, longitude and latitude [deg], and time if the file has one."""

    number: int
    name: str
    lonlat: LonLat
    time: datetime | None = None
    comment: str = ""


@dataclass(frozen=True)
class Track:
    """A track: its segments joined, in the order of the file. ``times`` has a None where the file has no time."""

    name: str
    lonlats: tuple[LonLat, ...] = field(repr=False)
    times: tuple[datetime | None, ...] = field(repr=False)


@dataclass(frozen=True)
class GpxIn:
    """What a file held, and what of it could not be used, in words. ``broken`` says where a cut-off file ends."""

    waypoints: tuple[Waypoint, ...]
    tracks: tuple[Track, ...]
    refused: tuple[str, ...] = ()
    broken: str = ""


def read_gpx(path: Path) -> GpxIn:
    """Read the waypoints and tracks of a GPX file.

    Parameters
    ----------
    path : a file in GPX 1.0 or 1.1.

    Returns
    -------
    GpxIn
        Whatever was whole before a cut-off end is kept.

    Raises
    ------
    MissingFileError
        If there is no such file.
    InputError
        If it is too large, holds a document type or entities, or is not GPX.
    """
    if not path.is_file():
        raise MissingFileError(f"{path} is not there; name a GPX file")
    reading = _Reading(path.name)
    try:
        if path.stat().st_size > SIZE_MAX:
            raise InputError(f"{path} is larger than {SIZE_MAX // 1_000_000} MB; split it, or leave old tracks out")
        with path.open("rb") as file:
            for event, element in iterparse(file, events=("start", "end"), forbid_dtd=True):
                reading.take(event, element)
    except DefusedXmlException:
        raise InputError(
            f"{path} holds a document type or entities; no GPS writes them and they are not read"
        ) from None
    except (ParseError, UnicodeError, LookupError, ValueError) as fault:
        if isinstance(fault, InputError):
            raise
        reading.broken = f"{path.name} is broken off or damaged: {fault}"
    except OSError as fault:
        raise InputError(f"{path} cannot be read ({fault.strerror})") from None
    return reading.done(path)


class _Reading:
    """What has been read so far: elements arrive one by one and are let go."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.depth = 0
        self.space = ""
        self.broken = ""
        self.waypoints: list[Waypoint] = []
        self.tracks: list[Track] = []
        self.refused: list[str] = []
        self.seen = 0
        self.points: list[tuple[LonLat, datetime | None]] = []
        self.bad_points = 0

    def take(self, event: str, element: "Element[str]") -> None:
        if event == "start":
            if self.depth == 0:
                self._root(element)
            self.depth += 1
            return
        self.depth -= 1
        name = self._local(element)
        if name == "wpt" and self.depth == 1:
            self._waypoint(element)
            element.clear()
        elif name == "trkpt":
            self._point(element)
            element.clear()
        elif name == "trk":
            self._end_track(self._child(element, "name"))
            element.clear()

    def _root(self, element: "Element[str]") -> None:
        tag = str(element.tag)
        self.space, name = tag[1:].split("}", 1) if tag.startswith("{") else ("", tag)
        if name != "gpx" or self.space not in NAMESPACES:
            raise InputError(f"{self.file} begins with <{name[:40]}>; expected is <gpx> of GPX 1.0 or 1.1")

    def _local(self, element: "Element[str]") -> str:
        tag = str(element.tag)
        prefix = f"{{{self.space}}}" if self.space else ""
        return tag.removeprefix(prefix) if tag.startswith(prefix) else ""

    def _child(self, element: "Element[str]", name: str) -> str:
        prefix = f"{{{self.space}}}" if self.space else ""
        return (element.findtext(prefix + name) or "").strip()

    def _waypoint(self, element: "Element[str]") -> None:
        self.seen += 1
        name = self._child(element, "name")
        where = f"{self.file} waypoint {self.seen} {name[:40]!r}"
        place = _place(element)
        if place is None:
            self.refused.append(f"{where}: lat {element.get('lat')!r}, lon {element.get('lon')!r} is no place on earth")
            return
        text = self._child(element, "time")
        time = _time(text)
        if text and time is None:
            self.refused.append(f"{where}: time {text[:40]!r} is no time")
            return
        self.waypoints.append(Waypoint(self.seen, name, place, time, self._child(element, "cmt")))

    def _point(self, element: "Element[str]") -> None:
        place = _place(element)
        if place is None:
            self.bad_points += 1
        else:
            self.points.append((place, _time(self._child(element, "time"))))

    def _end_track(self, name: str) -> None:
        if self.bad_points:
            self.refused.append(f"{self.file} track {name[:40]!r}: {self.bad_points} points are no places on earth")
        if self.points:
            places, times = zip(*self.points, strict=True)
            self.tracks.append(Track(name, tuple(places), tuple(times)))
        self.points, self.bad_points = [], 0

    def done(self, path: Path) -> GpxIn:
        if self.points or self.bad_points:
            self._end_track("broken off")
        if self.broken and not (self.waypoints or self.tracks or self.refused):
            raise InputError(f"{path} is no GPX file that can be read ({self.broken}); copy it from the GPS again")
        return GpxIn(tuple(self.waypoints), tuple(self.tracks), tuple(self.refused), self.broken)


def _place(element: "Element[str]") -> LonLat | None:
    try:
        lat, lon = float(element.get("lat", "")), float(element.get("lon", ""))
    except ValueError:
        return None
    good = math.isfinite(lat) and math.isfinite(lon) and -90 <= lat <= 90 and -180 <= lon <= 180  # noqa: PLR2004
    return (lon, lat) if good else None


def _time(text: str) -> datetime | None:
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    try:
        moment = (found if found.tzinfo else found.replace(tzinfo=UTC)).astimezone(UTC)
    except OverflowError:
        return None
    return moment if FIRST_YEAR <= moment.year <= LAST_YEAR else None
