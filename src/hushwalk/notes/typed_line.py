"""A line typed in the field: a few short words in any order, sorted into the words of notes.

What the sorted words mean is entry.py's business; where stops lie is the plan's.

The words: a stop (``P03``, or ``p3``), a bird (``b2``), a bearing (``085``, ``085M``, ``085T``, ``085G``), how far
(near, mid, far), how sure (sure, usual, rough), a time or a span (``06:12``, ``0612``, ``06:12-06:18``), ``nil`` where
nothing was heard and ``heard`` where something was, a log with its droppings (``log3 fresh``), a session (walk, watch,
filming, search, hide, other). Anything else is written as ``name=value``, the name as short as it stays clear.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hushwalk.errors import InputError
from hushwalk.notes.entry import COLUMNS
from hushwalk.notes.notes import DISTANCES, ERROR_CLASSES, Kind
from hushwalk.notes.stop_names import planned_name

SIDE_NAMES = {"side": "dropping_side", "blown": "litter_blown", "open": "floor_open_m", "say": "remark"}
"""Second names of columns, for those whose beginning says little."""
FLAGS = {"worn": "worn", "blown": "litter_blown", "pin": "pinned"}
SESSION_WORDS = {
    "walk": "walk",
    "watch": "watch",
    "filming": "filming",
    "search": "search",
    "hide": "hide set up",
    "other": "other",
}
DROPPING_WORDS = ("none", "few", "fresh", "old")
NIL_WORDS = ("nil", "none", "no")
HEARD_WORDS = ("heard", "yes")

_CLOCK = r"(?:(?:[01]?\d|2[0-3])[:h][0-5]\d|(?:[01]\d|2[0-3])[0-5]\d)"
_TIME = re.compile(rf"({_CLOCK})(?:-({_CLOCK}))?", re.IGNORECASE)
_BEARING = re.compile(r"(\d{1,3}(?:\.\d+)?)([MTG]?)", re.IGNORECASE)
_BIRD = re.compile(r"B\d{0,3}", re.IGNORECASE)
_LOG = re.compile(r"LOG[ -]?(\d{0,3})", re.IGNORECASE)
_STOP = re.compile(r"[A-Z]{1,3}-?\d{1,3}", re.IGNORECASE)
_NAMED = re.compile(r"([A-Za-z_]+)=(.*)", re.DOTALL)


@dataclass(frozen=True)
class Said:
    """What a line says: the kind of note and its words by column, as entry.py takes them."""

    kind: Kind
    cells: Mapping[str, str]


def read_line(words: Sequence[str], stops: Sequence[str] = ()) -> tuple[Said, ...]:
    """Sort the words of a line into notes.

    Parameters
    ----------
    words : as typed, in any order.
    stops : names of the plan's stops.

    Returns
    -------
    tuple of Said
        One note; a bearing with a span of time gives the visit to the stop as well.

    Raises
    ------
    InputError
        If a word is not understood, stands twice, or the words make no note.

    Examples
    --------
    >>> [(said.kind, dict(said.cells)) for said in read_line(["p3", "b2", "085", "far"], ["P03"])]
    [('bearing', {'stop': 'P03', 'bird': 'B2', 'reading_deg': '085', 'distance': 'far'})]
    """
    kind = _kind(words, stops)
    cells = sort_words(words, kind, stops)
    if kind == "bearing" and "end" in cells:
        both = {name: text for name, text in cells.items() if name in {"stop", "place", "date", "start"}}
        own = {name: text for name, text in cells.items() if name in COLUMNS["bearing"]}
        of_visit = {name: text for name, text in cells.items() if name not in COLUMNS["bearing"]}
        return Said("visit", {**both, **of_visit, "heard": "yes"}), Said("bearing", own)
    return (Said(kind, cells),)


def sort_words(words: Sequence[str], kind: Kind, stops: Sequence[str] = ()) -> dict[str, str]:
    """Sort words of a note whose kind is known into its columns.

    Parameters
    ----------
    words : as typed, in any order.
    kind : of the note.
    stops : names of stops that are known.

    Returns
    -------
    dict
        Words by column, as in entry.COLUMNS.

    Raises
    ------
    InputError
        If a word is not understood or stands twice.
    """
    cells: dict[str, str] = {}
    for word in words:
        for name, text in _cells_of(word.strip(), kind, stops).items():
            if name in cells:
                raise InputError(f"{name} stands twice: {cells[name]!r} and {text!r}; write one note a line")
            cells[name] = text
    return cells


def _kind(words: Sequence[str], stops: Sequence[str]) -> Kind:
    plain = [word.strip() for word in words if not _NAMED.fullmatch(word.strip())]
    low = {word.lower() for word in plain}
    if any(_LOG.fullmatch(word) and not _is_stop(word, stops) for word in plain):
        return "log"
    if low & SESSION_WORDS.keys():
        return "session"
    if any(_BEARING.fullmatch(word) for word in plain):
        return "bearing"
    if low & {*NIL_WORDS, *HEARD_WORDS}:
        return "visit"
    raise InputError(
        f"{' '.join(words)!r} is no note yet: write a bearing such as P03 B2 085, a silent stop such as P03 nil, "
        "a log such as log3 fresh, or a session such as filming"
    )


def _is_stop(word: str, stops: Sequence[str]) -> bool:
    return planned_name(word, stops) in stops


def _cells_of(word: str, kind: Kind, stops: Sequence[str]) -> dict[str, str]:
    low = word.lower()
    if match := _NAMED.fullmatch(word):
        return {_column(match[1].lower(), kind): match[2]}
    if match := _TIME.fullmatch(word):
        return {"start": match[1]} | ({"end": match[2]} if match[2] else {})
    found = _OF_KIND[kind](word, low, stops)
    if found is None and low in FLAGS and FLAGS[low] in COLUMNS[kind]:
        found = {FLAGS[low]: "yes"}
    if found is None and _BIRD.fullmatch(word) and "bird" in COLUMNS[kind] and not _is_stop(word, stops):
        found = {"bird": word.upper()}
    if found is None and (_is_stop(word, stops) or _STOP.fullmatch(word)):
        found = {"stop": planned_name(word, stops)}
    if found is None:
        raise InputError(
            f"{word!r} is not understood in a {kind}; free words go after --say, other words are written as "
            f"name=value with the names {', '.join(COLUMNS[kind])}"
        )
    return found


def _of_bearing(word: str, low: str, stops: Sequence[str]) -> dict[str, str] | None:
    if match := _BEARING.fullmatch(word):
        return {"reading_deg": match[1]} | ({"north": match[2].upper()} if match[2] else {})
    if low in DISTANCES:
        return {"distance": low}
    if low in ERROR_CLASSES:
        return {"error": low}
    return {} if low in HEARD_WORDS and not _is_stop(word, stops) else None


def _of_visit(_word: str, low: str, _stops: Sequence[str]) -> dict[str, str] | None:
    if low in NIL_WORDS:
        return {"heard": "no"}
    return {"heard": "yes"} if low in HEARD_WORDS else None


def _of_log(word: str, low: str, stops: Sequence[str]) -> dict[str, str] | None:
    if (match := _LOG.fullmatch(word)) and not _is_stop(word, stops):
        return {"name": f"LOG{int(match[1]):02d}"} if match[1] else {}
    return {"droppings": low} if low in DROPPING_WORDS else None


def _of_session(_word: str, low: str, _stops: Sequence[str]) -> dict[str, str] | None:
    return {"session": SESSION_WORDS[low]} if low in SESSION_WORDS else None


_OF_KIND = {"bearing": _of_bearing, "visit": _of_visit, "log": _of_log, "session": _of_session}


def _column(name: str, kind: Kind) -> str:
    columns: tuple[str, ...] = (*COLUMNS[kind], *(("wind", "sky") if kind == "bearing" else ()))
    if name in columns:
        return name
    full = SIDE_NAMES.get(name, "")
    if full in columns:
        return full
    begins = [column for column in columns if column.startswith(name)]
    if len(begins) == 1:
        return begins[0]
    hint = f"is it {' or '.join(begins)}?" if begins else f"the names of a {kind} are {', '.join(columns)}"
    raise InputError(f"{name}= is not clear; {hint}")
