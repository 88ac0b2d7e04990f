"""A kept note with some of its words changed, by the same rules as a new one; and a note in one line of words.

That the old row stays is ledger.py's business.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from hushwalk.errors import InputError
from hushwalk.notes.bearing import NorthAngles, north_sentence
from hushwalk.notes.entry import COLUMNS, NoteContext, note_from_cells
from hushwalk.notes.notes import BearingNote, LogNote, Note, SessionNote, VisitNote

KEY_LEAST = 4  # judgement: four signs tell a season's notes apart and are quick to type
_UNITS = {"_m": " m", "_deg": " deg", "_share": ""}


def amended(note: Note, changes: Mapping[str, str], context: NoteContext) -> Note:
    """Change some words of a note.

    Parameters
    ----------
    note : as kept.
    changes : new words by column, as in entry.COLUMNS; an empty text takes a word away.
    context : as for a new note.

    Returns
    -------
    Note
        The note with the new words, of the same kind.

    Raises
    ------
    InputError
        If nothing is changed, or the words cannot be used.

    Notes
    -----
    A new stop takes the place of that stop in the plan, unless a place is given with it.
    """
    cells = _cells(note, ZoneInfo(context.time_zone))
    if "start" in changes or "date" in changes:
        local = note.at.astimezone(ZoneInfo(context.time_zone))
        cells |= {"date": local.date().isoformat(), "start": f"{local:%H:%M:%S}"}
    if not {"place", "stop"} & changes.keys() and note.place is not None:
        place = note.place
        cells["place"] = "as noted"
        context = replace(context, read_place=lambda _: place)
    made = note_from_cells(note.kind, {**cells, **changes}, context)
    if made == note:
        raise InputError("the note says just that already")
    return made


def _cells(note: Note, zone: ZoneInfo) -> dict[str, str]:
    own = {"start": note.at.astimezone(zone).isoformat()}
    end = getattr(note, "end", None)
    if isinstance(end, datetime):
        own["end"] = end.astimezone(zone).isoformat()
    if isinstance(note, BearingNote):
        own |= {"reading_deg": _text(note.reading_deg), "error": note.error_class}
    for column in COLUMNS[note.kind]:
        if column not in own and hasattr(note, column) and column != "place":
            own[column] = _text(getattr(note, column))
    return {column: text for column, text in own.items() if text}


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return format(value, ".15g") if isinstance(value, float) else str(value)


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
        lines = [f"{note.stop}: {'heard' if note.heard else 'nothing heard'}"]
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
    return north_sentence(note.reading_deg, note.north, NorthAngles(note.declination_deg, note.convergence_deg))


def _bearing_lines(note: BearingNote, *, turned: bool) -> list[str]:
    where = " ".join(word for word in (note.stop, note.bird) if word) or "off the stops"
    lines = [f"{where}: {bearing_words(note) if turned else f'{note.reading_deg:03.0f}{note.north}'}"]
    lines += [note.distance] if note.distance else []
    lines += [note.error_class] if note.error_class != "usual" else []
    return lines + (["bird pinned"] if note.pinned else [])


def _log_words(note: LogNote) -> list[str]:
    lines = [f"{note.name}: droppings {note.droppings}" + (f" at {note.dropping_side}" if note.dropping_side else "")]
    for column in COLUMNS["log"][6:]:
        value = getattr(note, column)
        if value in (None, "", False) or column == "remark":
            continue
        ending = next((e for e in _UNITS if column.endswith(e)), "")
        name = column.removesuffix(ending).replace("_", " ")
        lines.append(name if value is True else f"{name} {_text(value)}{_UNITS.get(ending, '')}")
    return lines


def _filming_words(note: SessionNote) -> list[str]:
    lines = [f"{note.session}: {note.what}"]
    lines += [f"disturbance: {note.disturbance}"] if note.disturbance else []
    return lines + ([f"bird {note.bird}"] if note.bird else [])


def short_keys(uids: Sequence[str]) -> dict[str, str]:
    """Give each key the shortest beginning, of at least four signs, that no other key shares.

    Examples
    --------
    >>> short_keys(["abcdef", "abcdxx", "zzzzzz"])
    {'abcdef': 'abcde', 'abcdxx': 'abcdx', 'zzzzzz': 'zzzz'}
    """
    found = {}
    ordered = sorted(set(uids))
    for k, uid in enumerate(ordered):
        neighbours = [ordered[j] for j in (k - 1, k + 1) if 0 <= j < len(ordered)]
        shared = max((_shared(uid, other) for other in neighbours), default=0)
        found[uid] = uid[: max(KEY_LEAST, shared + 1)]
    return found


def _shared(one: str, other: str) -> int:
    return next((k for k, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), min(len(one), len(other)))
