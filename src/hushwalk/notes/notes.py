"""The four kinds of note: a visit to a stop, a bearing to a display heard, a log found, a session.

How they are kept is ledger.py's business; how text becomes a note is entry.py's.
"""

import hashlib
import json
import math
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import ClassVar, Literal

from hushwalk.errors import InputError
from hushwalk.logs.sectors import sector_values
from hushwalk.logs.skyline_points import skyline_points

Kind = Literal["visit", "bearing", "log", "session"]
LonLat = tuple[float, float]
"""Longitude and latitude on WGS 84 [deg]."""

NORTHS = ("M", "T", "G")
ERROR_CLASSES = ("sure", "usual", "rough")
DISTANCES = ("near", "mid", "far")
DROPPINGS = ("none", "few", "fresh pile", "old pile")
SIDES = ("", "N", "NE", "E", "SE", "S", "SW", "W", "NW", "both ends", "along")
YEARS = (1990, 2100)  # judgement: outside lies a slip of the pen or an unset clock
KIND_ON_DISK: dict[Kind, str] = {"bearing": "sighting"}
"""Definition: what keys of notes and tables of the ledger call a kind, where it is not its name here."""

LENS_MAX_M = 4.0  # judgement: no tripod stands higher
TIMES_MAX = 500  # judgement: more than one morning's displays of one bird

ADDED = ("times", "skyline", "stands_m", "tripod_m")
"""Definition: fields that older ledgers lack; where they are not noted, keys stay as they were."""

SESSIONS = ("walk", "watch", "filming", "search", "hide set up", "other")


@dataclass(frozen=True)
class VisitNote:
    """Listening at a stop.

    Parameters
    ----------
    at, end : when listening began and ended; ``end`` may be unknown.
    place : longitude and latitude [deg].
    stop : name of the stop, such as ``"P03"``; empty where one listened at a place of one's own.
    heard : whether any display was heard.
    wind, sky, remark : free words.
    """

    kind: ClassVar[Kind] = "visit"

    at: datetime
    place: LonLat
    stop: str
    heard: bool
    end: datetime | None = None
    wind: str = ""
    sky: str = ""
    remark: str = ""

    def __post_init__(self) -> None:
        _check(self.at, self.place, self.end)
        if self.stop and not self.stop.strip():
            raise InputError("the name of its stop is blank; write it, such as P03, or leave it out")

    @property
    def minutes(self) -> float | None:
        """Minutes listened, or None where the end was not noted."""
        return None if self.end is None else (self.end - self.at).total_seconds() / 60


@dataclass(frozen=True)
class BearingNote:
    """One bearing to a display heard.

    Parameters
    ----------
    at, place, stop : when and where it was heard from; place is longitude and latitude [deg].
    bird : which bird the person took it for, such as ``"B2"``; an empty text where unsure.
    reading_deg : what the compass or map said, 0..360.
    north : ``"M"`` magnetic, ``"T"`` true, ``"G"`` grid: what the reading counts from.
    declination_deg, convergence_deg : used to turn it, east positive [deg].
    azimuth_deg : from true north, 0..360.
    error_class : ``"sure"``, ``"usual"`` or ``"rough"``.
    distance : ``"near"``, ``"mid"``, ``"far"`` or an empty text.
    pinned : the person has decided on the bird; no proposal may change it.
    times : how often he was heard from there; None where not noted.
    """

    kind: ClassVar[Kind] = "bearing"

    at: datetime
    place: LonLat
    stop: str
    bird: str
    reading_deg: float
    north: str
    declination_deg: float
    convergence_deg: float
    azimuth_deg: float
    error_class: str = "usual"
    distance: str = ""
    pinned: bool = False
    remark: str = ""
    times: int | None = None

    def __post_init__(self) -> None:
        _check(self.at, self.place, None)
        _within("times", self.times, 1, TIMES_MAX)
        for name, angle in (("reading", self.reading_deg), ("azimuth", self.azimuth_deg)):
            if not 0 <= angle <= 360:  # noqa: PLR2004 - a full turn
                raise InputError(f"{name} {angle:g} is not a bearing of 0 to 360 degrees")
        _one_of("north", self.north, NORTHS)
        _one_of("error", self.error_class, ERROR_CLASSES)
        _one_of("distance", self.distance, ("", *DISTANCES))
        _within("declination", self.declination_deg, -180, 180)
        _within("convergence", self.convergence_deg, -180, 180)


@dataclass(frozen=True)
class LogNote:
    """A log, as far as it was noted; None and empty texts mean not noted.

    Parameters
    ----------
    name : such as ``"LOG03"``.
    droppings : ``"none"``, ``"few"``, ``"fresh pile"`` or ``"old pile"``.
    dropping_side : where on the log they lie, as a compass sector; the bird stands facing away from it.
    length_m, height_m, diameter_m : of the log; height of its top above the ground [m].
    slope_deg : slope of the ground [deg].
    worn, litter_blown : moss and bark worn off where he stands; leaves blown clear.
    cover_share : dense cover from 0.5 to 3 m round about, 0..1.
    floor_open_m : how far the floor below 0.5 m is open [m].
    backdrop_m : distance to what stands behind, by sector, such as ``"N 12, NE 8"`` [m].
    hide_m : how far off a hide could stand, by sector, in the same way [m].
    view_share : openness between hide and log by sector, 0..1, in the same way.
    access : sectors from which one can come unseen, such as ``"S SW"``; ``"none"`` if from nowhere.
    photo : file name of a picture.
    skyline : measured from the log, azimuth from true north and angle of each point, such as ``"60 14, 80 12"`` [deg].
    stands_m : where a hide stands already, by sector [m].
    tripod_m : height of the lens from which the log is seen over humps and growth, by sector [m].
    """

    kind: ClassVar[Kind] = "log"

    at: datetime
    place: LonLat
    name: str
    droppings: str
    dropping_side: str = ""
    length_m: float | None = None
    height_m: float | None = None
    diameter_m: float | None = None
    slope_deg: float | None = None
    worn: bool | None = None
    litter_blown: bool | None = None
    cover_share: float | None = None
    floor_open_m: float | None = None
    backdrop_m: str = ""
    hide_m: str = ""
    view_share: str = ""
    access: str = ""
    bird: str = ""
    photo: str = ""
    remark: str = ""
    skyline: str | None = None
    stands_m: str | None = None
    tripod_m: str | None = None

    def __post_init__(self) -> None:
        _check(self.at, self.place, None)
        if not self.name.strip():
            raise InputError("a log needs a name, such as LOG03")
        _one_of("droppings", self.droppings, DROPPINGS)
        _one_of("dropping_side", self.dropping_side, SIDES)
        for name in ("length_m", "height_m", "diameter_m", "floor_open_m"):
            _within(name, getattr(self, name), 0, 100)
        _within("slope_deg", self.slope_deg, 0, 90)
        _within("cover_share", self.cover_share, 0, 1)
        sector_values(self.backdrop_m, "backdrop_m", 0, 1000)
        sector_values(self.hide_m, "hide_m", 0, 1000)
        sector_values(self.view_share, "view_share", 0, 1)
        sector_values(self.stands_m or "", "stands_m", 0, 1000)
        sector_values(self.tripod_m or "", "tripod_m", 0, LENS_MAX_M)
        skyline_points(self.skyline or "")


@dataclass(frozen=True)
class SessionNote:
    """What happened on a walk, a watch or a filming morning, and any disturbance seen."""

    kind: ClassVar[Kind] = "session"

    at: datetime
    what: str
    place: LonLat | None = None
    end: datetime | None = None
    session: str = "other"
    disturbance: str = ""
    bird: str = ""
    remark: str = ""

    def __post_init__(self) -> None:
        _check(self.at, self.place, self.end)
        _one_of("session", self.session, SESSIONS)
        if not self.what.strip():
            raise InputError("a session needs a word on what happened")


Note = VisitNote | BearingNote | LogNote | SessionNote


def content_key(note: Note, *more: str) -> str:
    """Key of what a note says: equal notes have equal keys, on every machine.

    Parameters
    ----------
    note : any kind of note.
    more : what else makes it different, such as the key of the note that it corrects.
    """
    said = {name: value for name, value in asdict(note).items() if value is not None or name not in ADDED}
    content = {"kind": KIND_ON_DISK.get(note.kind, note.kind), **said, "more": more}
    words = json.dumps(content, default=_plain, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(words.encode("utf-8", "surrogatepass")).hexdigest()[:20]


def _plain(value: object) -> str:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="seconds")
    raise TypeError(type(value).__name__)


def _check(at: datetime, place: LonLat | None, end: datetime | None) -> None:
    if at.tzinfo is None or (end is not None and end.tzinfo is None):
        raise InputError("a time of a note has no time zone")
    if not YEARS[0] <= at.year <= YEARS[1]:
        raise InputError(f"the year {at.year} of a note is not between {YEARS[0]} and {YEARS[1]}")
    if end is not None and end < at:
        raise InputError(f"the end {end:%H:%M} lies before the start {at:%H:%M}")
    if place is not None and not (-180 <= place[0] <= 180 and -90 <= place[1] <= 90):  # noqa: PLR2004 - the globe
        raise InputError(f"longitude {place[0]:g}, latitude {place[1]:g} is not a place on earth")


def _one_of(name: str, value: str, known: tuple[str, ...]) -> None:
    if value not in known:
        raise InputError(f"{name} {value!r} is unknown; write one of {', '.join(k or 'nothing' for k in known)}")


def _within(name: str, value: float | None, low: float, high: float) -> None:
    if value is not None and not (math.isfinite(value) and low <= value <= high):
        raise InputError(f"{name} {value:g} is not between {low:g} and {high:g}")
