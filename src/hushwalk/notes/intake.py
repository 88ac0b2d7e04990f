"""Files of notes taken into the ledger: filled tables, typed lines, and waypoints and tracks of a GPS.

What the words and names mean is the business of reading/; typed lines are typed_notes.py's.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from hushwalk.files.gpx_in import GpxIn, Track, Waypoint, read_gpx
from hushwalk.files.notes_csv import header_of, read_table, read_text
from hushwalk.notes.ledger import Entry, WriteResult, write_notes
from hushwalk.notes.note_report import TakenFiles, WaypointQuestion
from hushwalk.notes.notebook import Notebook
from hushwalk.notes.notes import BearingNote, LonLat
from hushwalk.notes.plausibility import note_warnings
from hushwalk.notes.raw_lines import read_raw
from hushwalk.notes.reading.walk_table import LOG_COLUMNS, WALK_COLUMNS, Refused, TakenIn, take_rows
from hushwalk.notes.reading.waypoints import place_at, read_name, take_tracks, take_waypoints, track_length_m
from hushwalk.notes.text_lines import lines_of, piped_lines, take_lines

PIPE, TYPED = "-", "typed"
HERE_M = 100.0  # judgement: a receiver under trees and a few steps off the stop
SAME_M = 1.0  # judgement: no walk meets the planned second at the planned metre twice, a planned line always does
Ask = Callable[[WaypointQuestion], str]


@dataclass(frozen=True)
class Naming:
    """How what a file does not say, and waypoints whose names follow no rule, are understood.

    Parameters
    ----------
    named : what a waypoint should have been called, by its name; ``"-"`` leaves it out.
    day : of waypoints without a time, and of rows without a date.
    ask : asks the person; None where nobody can be asked.
    """

    named: Mapping[str, str]
    day: date | None = None
    ask: Ask | None = None


def take_files(book: Notebook, paths: Sequence[Path], naming: Naming) -> TakenFiles:
    """Take files into the ledger: all their good rows in one write, or none of them.

    Parameters
    ----------
    book : of the trip.
    paths : filled tables (CSV), text files of typed lines and GPX files; ``"-"`` for lines from the pipe.
    naming : for waypoints.

    Returns
    -------
    TakenFiles
        What each file gave and refused, and what the ledger kept.

    Raises
    ------
    MissingFileError, InputError
        If a file is not there or is neither; nothing is taken then.
    OutputError
        If the ledger cannot be written.
    """
    return _kept(book, {str(path): _take_file(book, path, naming) for path in paths})


def take_typed(book: Notebook, text: str, day: date | None) -> TakenFiles:
    """Take typed lines into the ledger, as those of a text file.

    Parameters
    ----------
    book : of the trip.
    text : the lines.
    day : of lines above the first line that gives a day; None where none was given.

    Returns
    -------
    TakenFiles
        As ``take_files`` gives it.

    Raises
    ------
    InputError
        If it is no text, or longer than any file of notes.
    OutputError
        If the ledger cannot be written.
    """
    return _kept(book, {TYPED: take_lines(book, lines_of(TYPED, text), day)})


def _kept(book: Notebook, files: dict[str, TakenIn]) -> TakenFiles:
    """Write what was read into the ledger at once, and say what is doubtful about it."""
    entries = [entry for taken in files.values() for entry in taken.entries]
    raw = [line for taken in files.values() for line in taken.raw]
    solved = _solved(book, entries, {line for taken in files.values() for line in taken.dated})
    written = write_notes(book.path, entries, raw, solved) if entries or raw else WriteResult((), (), ())
    context = book.context()
    warnings = [
        warning
        for entry in entries
        if isinstance(entry.note, BearingNote)
        for warning in context.north(entry.note.place[0], entry.note.place[1], entry.note.at, entry.note.north).warnings
    ]
    warnings += note_warnings((entry.note for entry in entries), book)
    return TakenFiles(files, written, book.path, tuple(dict.fromkeys(warnings)))


def _take_file(book: Notebook, path: Path, naming: Naming) -> TakenIn:
    if str(path) == PIPE:
        return take_lines(book, piped_lines(), naming.day)
    if _is_gpx(path):
        return _take_gpx(book, path, naming)
    text = read_text(path)
    if _is_table(path, text):
        return _take_table(book, path, naming)
    return take_lines(book, lines_of(path.name, text), naming.day)


def _is_table(path: Path, text: str) -> bool:
    """Whether a file is a filled table: by its ending, or because its first row names columns of one."""
    if path.suffix.lower() in {".csv", ".tsv"}:
        return True
    _, columns = header_of(text)
    return len({*columns} & {*WALK_COLUMNS, *LOG_COLUMNS}) > 1


def _solved(book: Notebook, entries: Sequence[Entry], dated: Collection[tuple[str, str]]) -> dict[str, str]:
    """Lines that were refused before and are notes now: mended at the same place on the same day, or given a day."""
    there = {(entry.origin, entry.note.at.astimezone(book.zone).date().isoformat()) for entry in entries}
    found = {}
    for row in read_raw(book.path):
        if not row.line.day and (row.line.origin, row.line.text) in dated:
            found[row.uid] = "it was given a day"
        elif row.line.origin.partition(" ")[0] != TYPED and (row.line.origin, row.line.day) in there:
            found[row.uid] = "its line in the file was changed"
    return found


def _is_gpx(path: Path) -> bool:
    if path.suffix.lower() == ".gpx":
        return True
    try:
        with path.open("rb") as file:
            return file.read(64).lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"<")
    except OSError:
        return False


def _take_table(book: Notebook, path: Path, naming: Naming) -> TakenIn:
    table = read_table(path, tuple(dict.fromkeys((*WALK_COLUMNS, *LOG_COLUMNS))), ("start",))
    of_logs = "droppings" in table.columns
    needed = ("name", "start", "droppings") if of_logs else ("stop", "start", "reading_deg")
    table = read_table(path, LOG_COLUMNS if of_logs else WALK_COLUMNS, needed)
    taken = take_rows(table.rows, path.name, book.context(day=naming.day))
    unread = tuple(Refused(f"{path.name} row {number}", reason) for number, reason in table.refused)
    return replace(taken, refused=(*unread, *taken.refused))


def _take_gpx(book: Notebook, path: Path, naming: Naming) -> TakenIn:
    read = read_gpx(path)
    context = book.context()
    points, left_out = _named(book, read.waypoints, naming)
    taken = take_waypoints(points, path.name, context, day=naming.day)
    own = [track for track in read.tracks if is_planned(track, book)]
    tracks = take_tracks([track for track in read.tracks if track not in own], path.name)
    return TakenIn(
        (*taken.entries, *tracks.entries),
        (*_unread(read, path.name), *taken.refused, *tracks.refused),
        left_out + taken.blank + len(own),
    )


def _unread(read: GpxIn, file: str) -> tuple[Refused, ...]:
    parts = [words.partition(": ") for words in read.refused]
    broken = (Refused(file, f"{read.broken}; what came before it was read"),) if read.broken else ()
    return (*(Refused(where, reason) for where, _, reason in parts), *broken)


def _named(book: Notebook, waypoints: Sequence[Waypoint], naming: Naming) -> tuple[list[Waypoint], int]:
    """Waypoints under the names that they should have, without those of the plan and those to leave out."""
    points, left_out = [], 0
    for point in waypoints:
        name = naming.named.get(point.name, point.name)
        if name == point.name and read_name(name) is None:
            if _of_any_plan(book, point):
                left_out += 1
                continue
            name = _name_from_person(book, point, naming.ask) if naming.ask else name
        if name == "-":
            left_out += 1
        else:
            points.append(replace(point, name=name))
    return points, left_out


def _name_from_person(book: Notebook, point: Waypoint, ask: Ask) -> str:
    near = _nearest(book, point.lonlat)
    when = point.time.astimezone(book.zone) if point.time else None
    question = WaypointQuestion(point.name, point.comment, when, *(near or ()))
    while True:
        answer = ask(question).strip()
        if answer in {"", "-"}:
            return "-"
        tries = ([f"{near[0]} {answer}"] if near and near[1] <= HERE_M else []) + [answer]
        meant = next((name for name in tries if read_name(name)), None)
        if meant is not None:
            return meant
        question = replace(question, again=True)


def _nearest(book: Notebook, lonlat: LonLat) -> tuple[str, float] | None:
    away = [(name, track_length_m((place, lonlat))) for name, place in book.stops.items()]
    return min(away, key=lambda pair: pair[1], default=None)


def _of_plan(book: Notebook, point: Waypoint) -> bool:
    place = book.stops.get(point.name.strip().upper())
    at_stop = place is not None and track_length_m((place, point.lonlat)) <= HERE_M
    return at_stop or (bool(book.stops) and point.name.strip().upper() == "CAR")


def _of_any_plan(book: Notebook, point: Waypoint) -> bool:
    return _of_plan(book, point) or any(
        _of_plan(replace(book, walk=walk, further=further), point) for walk, further in book.every_walk
    )


def is_planned(track: Track, book: Notebook) -> bool:
    """Whether a track is the line of the plan, come back from the receiver, and was not walked."""
    times = [moment for moment in track.times if moment is not None]
    walked = dict.fromkeys((*book.walk, *(stop for walk, _ in book.every_walk for stop in walk)))
    inside = [stop for stop in walked if times and min(times) <= stop.begin <= max(times)]
    at = [(place_at(track, stop.begin), (stop.lon_deg, stop.lat_deg)) for stop in inside]
    return len(at) > 1 and all(track_length_m(pair) <= SAME_M for pair in at)
