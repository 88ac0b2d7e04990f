"""Notes in words: one note in a line, the list of a trip, what a file gave, and what is doubtful.

The list goes day by day: the newest state, or every row with what became of it. notes/ finds the facts.
"""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from hushwalk.grid.points import usng_text
from hushwalk.notes.amend import plain_text
from hushwalk.notes.bearing import NorthAngles, true_azimuth_deg
from hushwalk.notes.listing import KINDS
from hushwalk.notes.note_report import (
    BlankReport,
    Fate,
    KeptNote,
    LineReport,
    ListedNote,
    MendReport,
    NoteList,
    NoteReport,
    RawStrikeReport,
    StrikeReport,
    TakenFiles,
    WaypointQuestion,
)
from hushwalk.notes.note_warnings import NoteWarning, WarningKind
from hushwalk.notes.notes import BearingNote, LogNote, LonLat, Note, SessionNote, VisitNote
from hushwalk.notes.reading.entry import COLUMNS
from hushwalk.notes.reading.walk_table import TakenIn
from hushwalk.text import counted
from hushwalk.wording.measures import distance, route
from hushwalk.wording.unread_words import unread_words

USNG_DIGITS = 8  # definition: squares of ten metres, as good as a receiver under trees
UNITS = {"_m": " m", "_deg": " deg", "_share": ""}
FATES = {Fate.NEW: "noted", Fate.ALREADY: "noted already", Fate.CHANGED_SINCE: "noted before, and changed since:"}
WARNINGS = {
    WarningKind.MODEL_ENDS_SOON: "the magnetic model ends with {value:.0f}; a newer one is due",
    WarningKind.MODEL_ENDED: (
        "the magnetic model has ended: the last one is used, carried on at its last rate, and is good to {value:.1f} "
        "degrees"
    ),
    WarningKind.COMPASS_POOR: "a compass is doubtful here: the field is nearly upright",
    WarningKind.COMPASS_USELESS: "a compass is useless here: the field is nearly upright",
    WarningKind.DECLINATION_UNSURE: "declination is known to {value:.1f} degrees only",
    WarningKind.FAR_FROM_CAR: "{lat:.4f}, {lon:.4f} lies {way} from the car: is a sign or a digit wrong?",
    WarningKind.OFF_STOP: "a note of {stop} lies {far} from that stop of the plan",
    WarningKind.LOG_NAME_USED: (
        "a log of that name lies {far} from here: is this another one? The next free name is {stop}; until the "
        "note is mended both are kept, as two logs"
    ),
    WarningKind.OTHER_PLAN: (
        "the stops are those of the plan for {day:%d %B %Y}; if another plan was walked, strike the note and note it "
        "with --plan and that plan's summary.json"
    ),
    WarningKind.FAR_FROM_DAY: (
        "{at:%d %B %Y} lies {value:.0f} days from the day of the plan, {day:%d %B %Y}: is the date right?"
    ),
    WarningKind.STILL_TO_COME: "{at:%d %B %Y %H:%M} is still to come by the clock of this machine",
}
OWN_PLACE = "at a place of one's own"
"""Where somebody listened that is no stop."""


def report_words(report: NoteReport) -> str:
    """Say what the note command did, without its warnings."""
    if isinstance(report, LineReport):
        lines = _line_words(report)
    elif isinstance(report, MendReport):
        lines = [bearing_words(report.note)] if isinstance(report.note, BearingNote) else []
        said = f"{when_words(report.note, report.zone)}  {note_words(report.note, turned=False)}"
        lines.append(f"mended {report.old_key} into {report.new_key}  {said}")
    elif isinstance(report, StrikeReport):
        said = f"{when_words(report.note, report.zone)}  {note_words(report.note)}"
        lines = [f"struck out {report.key}  {said}; the row stays in {report.ledger.name}"]
    elif isinstance(report, RawStrikeReport):
        lines = [f"struck out {report.line.text!r} of {report.line.origin}; the row stays in {report.ledger.name}"]
    elif isinstance(report, BlankReport):
        lines = [f"wrote {report.path}; fill it in, then: hushwalk note TRIP --from {report.path}"]
    elif isinstance(report, NoteList):
        lines = [list_words(report)]
    else:
        lines = _files_words(report)
    return "\n".join(lines)


def warnings_words(report: NoteReport) -> tuple[str, ...]:
    """Say what is doubtful about the notes that were kept."""
    found = getattr(report, "warnings", ())
    return tuple(dict.fromkeys(warning_words(warning) for warning in found))


def warning_words(warning: NoteWarning) -> str:
    """Say one doubt about a note.

    Examples
    --------
    >>> warning_words(NoteWarning(WarningKind.OFF_STOP, 212.4, stop="P03"))
    'a note of P03 lies 212 m from that stop of the plan'
    """
    lon, lat = warning.place or (0.0, 0.0)
    return WARNINGS[warning.kind].format(
        value=warning.value,
        way=route(warning.value or 0.0, 0),
        far=distance(warning.value or 0.0),
        lat=lat,
        lon=lon,
        stop=warning.stop,
        day=warning.day,
        at=warning.at,
    )


def _line_words(report: LineReport) -> list[str]:
    turned = [bearing_words(kept.note) for kept in report.notes if isinstance(kept.note, BearingNote)]
    return [*turned, *(_kept_words(kept, report.zone) for kept in report.notes)]


def _kept_words(kept: KeptNote, zone: ZoneInfo) -> str:
    return f"{FATES[kept.fate]} {kept.key}  {when_words(kept.note, zone)}  {note_words(kept.note, turned=False)}"


def when_words(note: Note, zone: ZoneInfo) -> str:
    """Say when a note was made, by the clock of the trip."""
    at = note.at.astimezone(zone)
    end = getattr(note, "end", None)
    until = f"-{end.astimezone(zone):%H:%M}" if isinstance(end, datetime) else ""
    return f"{at:%a} {at.day} {at:%b %Y %H:%M}{until}"


def note_words(note: Note, *, turned: bool = True) -> str:
    """Say in one line what a note says, without its time.

    Parameters
    ----------
    note : of any kind.
    turned : say of a bearing what it is from true north, too.

    Examples
    --------
    >>> from datetime import UTC
    >>> note_words(Visit(datetime(2027, 4, 25, 11, tzinfo=UTC), (-92.1, 46.8), "P03", heard=False, wind="calm"))
    'P03: nothing heard; wind calm'
    """
    if isinstance(note, VisitNote):
        lines = [f"{note.stop or OWN_PLACE}: {'heard' if note.heard else 'nothing heard'}"]
        lines += [f"{name} {text}" for name, text in (("wind", note.wind), ("sky", note.sky)) if text]
    elif isinstance(note, BearingNote):
        lines = _bearing_lines(note, turned=turned)
    elif isinstance(note, LogNote):
        lines = _log_words(note)
    else:
        lines = _filming_words(note)
    return "; ".join([*lines, *([note.remark] if note.remark else [])])


def bearing_words(note: BearingNote) -> str:
    """Say what was read and what it is from true north."""
    return north_words(note.reading_deg, note.north, NorthAngles(note.declination_deg, note.convergence_deg))


def north_words(reading_deg: float, north: str, here: NorthAngles) -> str:
    """Say what was read and what it is from true north.

    Parameters
    ----------
    reading_deg : 0..360 [deg].
    north : ``"M"`` magnetic, ``"T"`` true, ``"G"`` grid.
    here : the norths at the place.

    Returns
    -------
    str
        The reading, the azimuth from true north, and the turn between them.

    Examples
    --------
    >>> north_words(85.0, "M", NorthAngles(-11.0, 0.7))
    'compass read 085, true 074 (declination 11.0 W)'
    """
    true = true_azimuth_deg(reading_deg, north, here)
    tool = {"M": "compass", "T": "compass set to true north", "G": "map grid"}[north]
    turn = {"M": ("declination", here.declination_deg), "G": ("convergence", here.convergence_deg)}.get(north)
    words = "" if turn is None else f" ({turn[0]} {abs(turn[1]):.1f} {'W' if turn[1] < 0 else 'E'})"
    return f"{tool} read {_three(reading_deg)}, true {_three(true)}{words}"


def _three(angle_deg: float) -> str:
    return f"{round(angle_deg) % 360:03d}"


def _bearing_lines(note: BearingNote, *, turned: bool) -> list[str]:
    where = " ".join(word for word in (note.stop, note.bird) if word) or "off the stops"
    lines = [f"{where}: {bearing_words(note) if turned else f'{note.reading_deg:03.0f}{note.north}'}"]
    lines += [note.distance] if note.distance else []
    lines += [f"heard {counted(note.times, 'time')}"] if note.times else []
    lines += [note.error_class] if note.error_class != "usual" else []
    return lines + (["bird pinned"] if note.pinned else [])


def _log_words(note: LogNote) -> list[str]:
    lines = [f"{note.name}: droppings {note.droppings}" + (f" at {note.dropping_side}" if note.dropping_side else "")]
    for column in COLUMNS["log"][6:]:
        value = getattr(note, column)
        if value in (None, "", False) or column == "remark":
            continue
        ending = next((e for e in UNITS if column.endswith(e)), "")
        name = column.removesuffix(ending).replace("_", " ")
        lines.append(name if value is True else f"{name} {plain_text(value)}{UNITS.get(ending, '')}")
    return lines


def _filming_words(note: SessionNote) -> list[str]:
    lines = [f"{note.session}: {note.what}"]
    lines += [f"disturbance: {note.disturbance}"] if note.disturbance else []
    return lines + ([f"bird {note.bird}"] if note.bird else [])


def list_words(listed: NoteList) -> str:
    """List the notes of a trip: one line a note, in the order of the mornings."""
    after = [*_raw_words(listed), *unread_words(listed.unread)]
    if not listed.notes:
        nothing = f"nothing is noted in {listed.ledger}" + (f" for {listed.day}" if listed.day else "")
        return "\n".join([nothing, *after])
    lines: list[str] = []
    for one in listed.notes:
        at = one.row.note.at.astimezone(listed.zone)
        head = f"{at:%A} {at.day} {at:%B %Y}"
        if head not in lines:
            lines.append(head)
        lines.append(_listed_words(one, listed.zone))
    older = f"; {listed.hidden} older rows kept beside them (--all shows them)" if listed.hidden else ""
    return "\n".join([*lines, _count([one.row.note for one in listed.notes]) + older, *silent_words(listed), *after])


def _raw_words(listed: NoteList) -> list[str]:
    if not listed.raw:
        return []
    lines = ["not understood, kept as written (hushwalk note TRIP --mend KEY and the right words; or --strike KEY):"]
    for one in listed.raw:
        day = f" of {one.row.line.day}" if one.row.line.day else ""
        fate = f"  [settled: {one.row.fate}]" if one.row.fate else ""
        lines.append(f"? {one.key:<6} {one.row.line.origin}{day}: {one.row.line.text}{fate}")
        lines += [] if one.row.fate else [f"         {one.row.line.reason}"]
    return lines


def refused_words(report: TakenFiles) -> str:
    """Say what is to be done about what was refused."""
    in_files = len(report.refused) - len(report.raw)
    parts = []
    if in_files:
        parts.append(
            f"{in_files} not taken, all others kept; mend them in the file and read it again, nothing is kept twice"
        )
    if report.raw:
        parts.append(
            f"{counted(len(report.raw), 'line')} not understood and kept as written: hushwalk note TRIP lists them, "
            "--mend KEY and the right words mends them"
        )
    return "; ".join(parts)


def silent_words(listed: NoteList) -> tuple[str, ...]:
    """Say which stops were passed without a note."""
    left = listed.silent_stops
    if not left:
        return ()
    return (
        f"nothing is noted of {', '.join(left)}: if it was silent there, that is worth a line, such as {left[0]} nil",
    )


def _listed_words(one: ListedNote, zone: ZoneInfo) -> str:
    note, after = one.row.note, one.after
    end = getattr(note, "end", None)
    span = f"{note.at.astimezone(zone):%H:%M}" + (f"-{end.astimezone(zone):%H:%M}" if end else "")
    mark = "x" if after or one.row.withdrawn else " "
    place = "" if getattr(note, "stop", "") else _place(note.place)
    fate = ""
    if one.row.withdrawn:
        fate = f"  [struck out: {one.row.why}]"
    elif after is not None:
        fate = f"  [{'struck out' if after.withdrawn else 'mended'} by {one.after_key}: {after.why}]"
    return f"{mark} {one.key:<6} {span:<11} {note_words(note)}{place}{fate}"


def _place(place: LonLat | None) -> str:
    return "" if place is None else f"  at {usng_text(place, USNG_DIGITS)}"


def _count(notes: Sequence[Note]) -> str:
    kinds = [note.kind for note in notes]
    return ", ".join(counted(kinds.count(kind), kind) for kind in KINDS if kind in kinds)


def _files_words(report: TakenFiles) -> list[str]:
    entries = [entry for taken in report.files.values() for entry in taken.entries]
    done = report.written
    return [
        *(f"{entry.origin}: {note_words(entry.note)}" for entry in entries if entry.note.kind == "bearing"),
        *(f"{file}: {taken_words(taken)}" for file, taken in report.files.items()),
        (
            f"kept in {report.ledger}: {len(done.added)} new, {len(done.corrected)} mended by their lines, "
            f"{len(done.already)} there already"
        ),
    ]


def taken_words(taken: TakenIn) -> str:
    """Say in one sentence what a file gave."""
    kinds = [e.note.kind for e in taken.entries]
    words = ", ".join(counted(kinds.count(kind), kind) for kind in dict.fromkeys(kinds))
    said = f"{words or 'no note'}; {len(taken.refused)} refused, {taken.blank} left blank"
    day = taken.assumed_day
    if day is None:
        return said
    date = f"{day:%A} {day.day} {day:%B %Y}"
    return f"{said}; no line gives a day: taken as of {date}, the day of the plan (--day gives another)"


def question_words(question: WaypointQuestion) -> str:
    """Ask what a waypoint is."""
    if question.again:
        words = "that follows no rule"
    else:
        where = f"{distance(question.away_m)} from {question.stop}" if question.stop else "no stop near"
        when = f"{question.time:%d %b %H:%M}" if question.time else "no time"
        words = f"waypoint {question.name!r} ({when}, {where}"
        words += f"; {question.comment[:60]})" if question.comment else ")"
    return f"{words}\n  what is it, such as P03 B2 085M, NIL or LOG3 FRESH? Enter leaves it out"
