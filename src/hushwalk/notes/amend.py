"""A kept note with some of its words changed, by the same rules as a new one; and the short keys of notes.

That the old row stays is ledger.py's business.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from hushwalk.errors import InputError
from hushwalk.notes.notes import BearingNote, Note
from hushwalk.notes.reading.entry import COLUMNS, NoteContext, note_from_cells

KEY_LEAST = 4  # judgement: four signs tell a season's notes apart and are quick to type


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
        own |= {"reading_deg": plain_text(note.reading_deg), "error": note.error_class}
    for column in COLUMNS[note.kind]:
        if column not in own and hasattr(note, column) and column != "place":
            own[column] = plain_text(getattr(note, column))
    return {column: text for column, text in own.items() if text}


def plain_text(value: object) -> str:
    """Write one value of a note as it would be typed; nothing where it was not noted."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return format(value, ".15g") if isinstance(value, float) else str(value)


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
