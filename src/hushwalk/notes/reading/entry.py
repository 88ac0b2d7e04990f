"""From words to a note: the same rules for a line typed, a line of the fill-in table and a name on the GPS.

Where the words come from is walk_table.py's and waypoints.py's business.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from hushwalk.errors import HushwalkError, InputError, PlaceError, SettingsError
from hushwalk.grid.points import parse_place
from hushwalk.logs.skyline_points import skyline_points, skyline_text
from hushwalk.notes.bearing import NorthAngles, true_azimuth_deg
from hushwalk.notes.notes import BearingNote, Kind, LogNote, LonLat, Note, SessionNote, VisitNote
from hushwalk.notes.reading.vocabulary import (
    clock_on,
    day_of,
    how_often,
    nearest_word,
    number,
    planned_name,
    whole_time,
    yes_or_no,
)
from hushwalk.notes.reading.word_forms import WordError
from hushwalk.site.settings import NOON
from hushwalk.text import seen

Cells = Mapping[str, str]

TEXT_MAX = 2000  # judgement: longer than anything written with cold fingers
COLUMNS: dict[Kind, tuple[str, ...]] = {
    "visit": ("stop", "place", "date", "start", "end", "heard", "wind", "sky", "remark"),
    "bearing": (
        "stop",
        "place",
        "date",
        "start",
        "bird",
        "times",
        "reading_deg",
        "north",
        "error",
        "distance",
        "pinned",
        "remark",
    ),
    "log": (
        "name",
        "place",
        "date",
        "start",
        "droppings",
        "dropping_side",
        "length_m",
        "height_m",
        "diameter_m",
        "slope_deg",
        "worn",
        "litter_blown",
        "cover_share",
        "floor_open_m",
        "backdrop_m",
        "hide_m",
        "view_share",
        "access",
        "skyline",
        "stands_m",
        "tripod_m",
        "bird",
        "photo",
        "remark",
    ),
    "session": ("what", "place", "date", "start", "end", "session", "disturbance", "bird", "remark"),
}
"""Words understood for each kind of note."""

_READING = re.compile(r"(\d{1,3}(?:\.\d+)?)\s*(?:°|deg)?\s*([MTG])?", re.IGNORECASE)
_LOG_NAME = re.compile(r"LOG[ _-]?(\d{1,3})")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True, eq=False)
class NoteContext:
    """What need not be written on every line.

    Parameters
    ----------
    time_zone : of the clock the person reads, such as ``"America/Chicago"``.
    north : gives the norths at longitude, latitude and time that a reading from ``"M"``, ``"T"`` or ``"G"`` needs.
    stops : places of the plan's stops by name.
    day : the day, where a line does not say it.
    now : the moment of typing, where a line says no time; None where times must be written.
    likely : day of the plan: settles which day is meant where a program for tables wrote ``4/5/2027``.
    compass : what a reading without a letter counts from: ``"M"`` magnetic, ``"T"`` true, ``"G"`` grid north.
    stops_by_day : places of the stops of other plans by day and name.
    stops_by_evening : the same for moments after noon.
    read_place : turns text into longitude and latitude.
    """

    time_zone: str
    north: Callable[[float, float, datetime, str], NorthAngles]
    stops: Mapping[str, LonLat] = field(default_factory=dict)
    day: date | None = None
    now: datetime | None = None
    likely: date | None = None
    compass: str = "M"
    stops_by_day: Mapping[date, Mapping[str, LonLat]] = field(default_factory=dict)
    stops_by_evening: Mapping[date, Mapping[str, LonLat]] = field(default_factory=dict)
    read_place: Callable[[str], LonLat] = parse_place

    def __post_init__(self) -> None:
        try:
            ZoneInfo(self.time_zone)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            raise SettingsError(f"time zone {self.time_zone!r} is unknown; write such as 'America/Chicago'") from None

    def stops_on(self, said: Cells) -> Mapping[str, LonLat]:
        """Give the stops of the plan of the day that the words are of; those of the plan at hand where it has none."""
        try:
            local = _moment(said, "start", self).astimezone(ZoneInfo(self.time_zone))
        except InputError:
            return self.stops
        plans = self.stops_by_day if local.time() < NOON else self.stops_by_evening
        return plans.get(local.date(), self.stops)


def note_from_cells(kind: Kind, cells: Cells, context: NoteContext) -> Note:
    """Make a note from words.

    Parameters
    ----------
    kind : which kind of note.
    cells : words by name, as in :data:`COLUMNS`; those missing or empty were not noted.
    context : what is known anyway.

    Returns
    -------
    Note
        Of that kind, with its place [deg] and its moment in the time zone of the trip.

    Raises
    ------
    InputError
        With the reason, if the words cannot be used.
    """
    for name, text in cells.items():
        if name not in COLUMNS[kind]:
            raise InputError(f"a {kind} has no {name!r}; known are {', '.join(COLUMNS[kind])}")
        if _CONTROL.search(text) or len(text) > TEXT_MAX:
            raise InputError(f"{name} holds signs that are no text, or more than {TEXT_MAX} of them")
    said = {name: seen(text).strip() for name, text in cells.items()}
    make: dict[Kind, Callable[[Cells, NoteContext], Note]] = {
        "visit": _visit,
        "bearing": _bearing,
        "log": _log,
        "session": _session,
    }
    try:
        return make[kind](said, context)
    except InputError:
        raise
    except HushwalkError as fault:
        raise InputError(str(fault)) from None


def _visit(said: Cells, context: NoteContext) -> VisitNote:
    at = _moment(said, "start", context)
    heard = yes_or_no(said.get("heard", ""), "heard")
    if heard is None:
        raise InputError("heard is empty; write yes or no")
    return VisitNote(
        at,
        _place(said, context),
        _stop(said, context),
        heard,
        _end(said, at, context),
        said.get("wind", ""),
        said.get("sky", ""),
        said.get("remark", ""),
    )


def _bearing(said: Cells, context: NoteContext) -> BearingNote:
    at, place = _moment(said, "start", context), _place(said, context)
    match = _READING.fullmatch(said.get("reading_deg", "").replace(",", "."))
    if not match:
        raise InputError(f"reading {said.get('reading_deg', '')!r} is no bearing; write such as 085 or 085M")
    reading = float(match[1])
    north = _north(said.get("north", ""), (match[2] or "").upper()) or context.compass
    if reading > 360:  # noqa: PLR2004 - a full turn
        raise InputError(f"reading {reading:g} is not a bearing of 0 to 360 degrees")
    here = context.north(place[0], place[1], at, north)
    return BearingNote(
        at,
        place,
        _stop(said, context),
        said.get("bird", "").upper(),
        reading,
        north,
        here.declination_deg,
        here.convergence_deg,
        true_azimuth_deg(reading, north, here),
        said.get("error", "").lower() or "usual",
        said.get("distance", "").lower(),
        yes_or_no(said.get("pinned", ""), "pinned") or False,
        said.get("remark", ""),
        how_often(said.get("times", "")),
    )


def _north(column: str, suffix: str) -> str:
    word = column[:1].upper()
    if column and (word not in {"M", "T", "G"} or column.lower() not in {"m", "t", "g", "magnetic", "true", "grid"}):
        raise InputError(f"north {column!r} is unknown; write M for a compass, T for true, G for a map grid")
    if word and suffix and word != suffix:
        raise InputError(f"the reading says {suffix} and the column north says {word}; write one")
    return suffix or word


def _log(said: Cells, context: NoteContext) -> LogNote:
    numbers = {n: number(said.get(n, ""), n) for n in COLUMNS["log"] if n in _LOG_NUMBERS}
    words = {n: said.get(n, "") for n in ("backdrop_m", "hide_m", "view_share", "access", "bird", "photo", "remark")}
    side = said.get("dropping_side", "")
    at, place = _moment(said, "start", context), _place(said, context)
    return LogNote(
        at,
        place,
        _log_name(said.get("name", "")),
        {"fresh": "fresh pile", "old": "old pile"}.get(
            said.get("droppings", "").lower(), said.get("droppings", "").lower()
        ),
        side.upper() if side.upper() in {"N", "NE", "E", "SE", "S", "SW", "W", "NW"} else side.lower(),
        worn=yes_or_no(said.get("worn", ""), "worn"),
        litter_blown=yes_or_no(said.get("litter_blown", ""), "litter_blown"),
        **numbers,  # type: ignore[arg-type]
        **words,  # type: ignore[arg-type]
        skyline=_skyline(said.get("skyline", ""), at, place, context),
        stands_m=said.get("stands_m") or None,
        tripod_m=said.get("tripod_m") or None,
    )


def _skyline(written: str, at: datetime, place: LonLat, context: NoteContext) -> str | None:
    """Turn a measured skyline to true north; what has no letter counts from what the person's compass shows."""

    def true_deg(azimuth: float, north: str) -> float:
        counted_from = north or context.compass
        return true_azimuth_deg(azimuth, counted_from, context.north(*place, at, counted_from))

    return skyline_text(skyline_points(written, true_deg)) or None


def _log_name(written: str) -> str:
    name = written.upper()
    match = _LOG_NAME.fullmatch(name)
    return f"LOG{int(match[1]):02d}" if match else name


_LOG_NUMBERS = {"length_m", "height_m", "diameter_m", "slope_deg", "cover_share", "floor_open_m"}


def _session(said: Cells, context: NoteContext) -> SessionNote:
    at = _moment(said, "start", context)
    return SessionNote(
        at,
        said.get("what", ""),
        _place(said, context) if said.get("place") else None,
        _end(said, at, context),
        said.get("session", "").lower() or "other",
        said.get("disturbance", ""),
        said.get("bird", "").upper(),
        said.get("remark", ""),
    )


def _stop(said: Cells, context: NoteContext) -> str:
    return planned_name(said.get("stop", ""), context.stops_on(said))


def _place(said: Cells, context: NoteContext) -> LonLat:
    if said.get("place"):
        return context.read_place(said["place"])
    stop, stops = _stop(said, context), context.stops_on(said)
    if stop in stops:
        return stops[stop]
    if stop:
        near = nearest_word(stop, stops)
        hint = f"is it {near}? " if near else ""
        raise WordError(
            said["stop"], f"stop {stop!r} is not in the plan and no place is written; {hint}known are {_few(stops)}"
        )
    raise PlaceError("neither a stop of the plan nor a place is written")


def _few(stops: Mapping[str, LonLat]) -> str:
    return ", ".join(list(stops)[:12]) or "none"


def _moment(said: Cells, name: str, context: NoteContext) -> datetime:
    text, day = said.get(name, ""), _day(said, context)
    if not text:
        if context.now is None:
            raise InputError(f"{name} is empty; write a time such as 06:12")
        return context.now
    whole = whole_time(text, context.time_zone)
    if whole is not None:
        return whole
    if day is None:
        raise InputError(f"{name} {text!r} has no day; write the date as 2027-04-25")
    return clock_on(day, text, name, context.time_zone)


def _end(said: Cells, start: datetime, context: NoteContext) -> datetime | None:
    text = said.get("end", "")
    if not text:
        return None
    whole = whole_time(text, context.time_zone)
    if whole is not None:
        return whole
    local = start.astimezone(ZoneInfo(context.time_zone))
    end = clock_on(local.date(), text, "end", context.time_zone)
    past_midnight = end < start and start - end > timedelta(hours=20)
    return end + timedelta(days=1) if past_midnight else end


def _day(said: Cells, context: NoteContext) -> date | None:
    text = said.get("date", "")
    if not text:
        return context.day
    return day_of(text, context.likely)
