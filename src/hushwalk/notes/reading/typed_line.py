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

from hushwalk.notes.notes import DISTANCES, ERROR_CLASSES, Kind
from hushwalk.notes.reading.entry import COLUMNS
from hushwalk.notes.reading.vocabulary import planned_name
from hushwalk.notes.reading.word_forms import (
    STRIKES,
    WordError,
    nearest_form,
    nearest_number,
    right_forms,
    strike_error,
)

SIDE_NAMES = {"at": "place", "side": "dropping_side", "blown": "litter_blown", "open": "floor_open_m", "say": "remark"}
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

_CLOCK = r"(?:(?:[01]?\d|2[0-3])[:h.][0-5]\d(?:[:.][0-5]\d)?|(?:[01]\d|2[0-3])[0-5]\d)(?:[ap]\.?m\.?)?"
_TIME = re.compile(rf"({_CLOCK})(?:-({_CLOCK}))?", re.IGNORECASE)
_BEARING = re.compile(r"(\d{1,3}(?:\.\d+)?)([MTG]?)", re.IGNORECASE)
_BIRD = re.compile(r"B\d{0,3}", re.IGNORECASE)
_LOG = re.compile(r"LOG[ -]?(\d{0,3})", re.IGNORECASE)
_STOP = re.compile(r"[A-Z]{1,3}-?\d{1,3}", re.IGNORECASE)
_TIMES = re.compile(r"x(\d{1,3})|(\d{1,3})x", re.IGNORECASE)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}T\d.*", re.IGNORECASE)
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
    if kind != "visit":
        cells = _air_in_remark(cells, kind, "" if kind != "bearing" else cells.get("stop", ""))
    if kind == "session" and "what" not in cells and "remark" in cells:
        cells["what"] = cells.pop("remark")
    if kind == "bearing" and cells.keys() & {"end", "wind", "sky"}:
        both = {name: text for name, text in cells.items() if name in {"stop", "place", "date", "start"}}
        own = {name: text for name, text in cells.items() if name in COLUMNS["bearing"]}
        of_visit = {name: text for name, text in cells.items() if name not in COLUMNS["bearing"]}
        return Said("visit", {**both, **of_visit, "heard": "yes"}), Said("bearing", own)
    return (Said(kind, cells),)


def _air_in_remark(cells: dict[str, str], kind: Kind, stop: str) -> dict[str, str]:
    """Put wind, sky and the end of a span into the remark, where no visit to a stop takes them."""
    if stop:
        return cells
    names = ("wind", "sky", "end") if kind == "bearing" else ("wind", "sky")
    air = [f"{'until' if name == 'end' else name} {cells.pop(name)}" for name in names if name in cells]
    if air:
        cells["remark"] = "; ".join([*air, *([cells["remark"]] if cells.get("remark") else [])])
    return cells


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
    for written, word in right_forms(words):
        for name, text in _cells_of(written, word, kind, stops).items():
            if name == "remark" and cells.get(name):
                cells[name] += f"; {text}"
                continue
            if name in cells:
                short = _short_number(cells[name], text) if name == "reading_deg" else ""
                hint = f"is {short} the bird b{int(short)}? " if short else ""
                raise WordError(
                    short, f"{name} stands twice: {cells[name]!r} and {text!r}; {hint}write one note a line"
                )
            cells[name] = text
    return cells


def _short_number(first: str, second: str) -> str:
    """Of two bearings the one with one or two digits, which may be the number of a bird."""
    short = [text for text in (first, second) if text.isdigit() and len(text) < len("085") and int(text)]
    return short[0] if len(short) == 1 else ""


def _kind(words: Sequence[str], stops: Sequence[str]) -> Kind:
    plain = [word for _, word in right_forms(words) if not _NAMED.fullmatch(word)]
    low = {word.lower() for word in plain}
    if any(_LOG.fullmatch(word) and not _is_stop(word, stops) for word in plain):
        return "log"
    if low & SESSION_WORDS.keys():
        return "session"
    if any(_BEARING.fullmatch(word) and not _TIME.fullmatch(word) for word in plain):
        return "bearing"
    if low & {*NIL_WORDS, *HEARD_WORDS}:
        return "visit"
    if strikes := low & STRIKES:
        raise strike_error(min(strikes))
    word, hint = next(((word, hint) for word in plain if (hint := _bearing_hint(word, stops))), ("", ""))
    raise WordError(
        word,
        f"{' '.join(words)!r} is no note yet: {hint}write a bearing such as P03 B2 085, a silent stop such as P03 nil, "
        "a log such as log3 fresh, or a session such as filming",
    )


def _bearing_hint(word: str, stops: Sequence[str]) -> str:
    """What a word may be in a line that has no bearing."""
    if _TIME.fullmatch(word) and word.isdigit():
        return f"{word} is the time {word[:2]}:{word[2:]}; is it the bearing {word[:3]} or {word[:3]}.{word[3]}? "
    if _TIME.fullmatch(word) and "." in word:
        return f"{word} is the time {word.replace('.', ':')}; write a bearing with three digits, such as 085. "
    meant = nearest_number(word)
    if meant and not _is_stop(word, stops):
        return f"is {word!r} {meant}? "
    if _is_stop(word, stops) or _STOP.fullmatch(word) or _TIME.fullmatch(word):
        return ""
    near = nearest_form(word, (*NIL_WORDS, *HEARD_WORDS, *SESSION_WORDS))
    return f"is {word!r} {near}? " if near else ""


def _is_stop(word: str, stops: Sequence[str]) -> bool:
    return planned_name(word, stops) in stops


def _cells_of(written: str, word: str, kind: Kind, stops: Sequence[str]) -> dict[str, str]:
    low = word.lower()
    if match := _NAMED.fullmatch(word):
        return {_column(written, match[1].lower(), kind): match[2]}
    if found := _of_any(word):
        return found
    found = _OF_KIND[kind](word, low, stops)
    if found is None and low in FLAGS and FLAGS[low] in COLUMNS[kind]:
        found = {FLAGS[low]: "yes"}
    if found is None and _BIRD.fullmatch(word) and "bird" in COLUMNS[kind] and not _is_stop(word, stops):
        found = {"bird": word.upper()}
    if found is None and (_is_stop(word, stops) or _STOP.fullmatch(word)):
        found = {"stop": planned_name(word, stops)}
    if found is None:
        raise _not_understood(written, word, kind, stops)
    return found


def _of_any(word: str) -> dict[str, str] | None:
    """Words that every kind of note understands: times, days and quoted texts."""
    if _MOMENT.fullmatch(word):
        return {"start": word}
    if _DAY.fullmatch(word):
        return {"date": word}
    if " " in word and not _TIME.fullmatch(word):
        return {"remark": word}
    if match := _TIME.fullmatch(word):
        return {"start": match[1]} | ({"end": match[2]} if match[2] else {})
    return {"remark": "phone compass"} if word.lower() == "phone" else None


def _not_understood(written: str, word: str, kind: Kind, stops: Sequence[str]) -> WordError:
    if word.lower() in STRIKES:
        return strike_error(written)
    near = nearest_form(word, (*stops, *_WORDS[kind]))
    hint = f"is it {near}? " if near else ""
    return WordError(
        written,
        f"{written!r} is not understood in a {kind}; {hint}free words go after --say, other words are written as "
        f"name=value with the names {', '.join(COLUMNS[kind])}",
    )


def _of_bearing(word: str, low: str, stops: Sequence[str]) -> dict[str, str] | None:
    if (match := _TIMES.fullmatch(word)) and not _is_stop(word, stops):
        return {"times": match[1] or match[2]}
    if match := _BEARING.fullmatch(word):
        if float(match[1]) > 360:  # noqa: PLR2004 - a full turn
            late = f"; is it the time {word[0]}:{word[1:]}?" if re.fullmatch(r"\d[0-5]\d", word) else ""
            raise WordError(word, f"reading {word} is not a bearing of 0 to 360 degrees{late}")
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


_WORDS: dict[Kind, tuple[str, ...]] = {
    "bearing": (*DISTANCES, *ERROR_CLASSES, *HEARD_WORDS, "pin", "phone"),
    "visit": (*NIL_WORDS, *HEARD_WORDS),
    "log": (*DROPPING_WORDS, "worn", "blown"),
    "session": tuple(SESSION_WORDS),
}
"""Words that each kind of note understands as they are."""


def _column(written: str, name: str, kind: Kind) -> str:
    columns: tuple[str, ...] = (*COLUMNS[kind], *(("wind", "sky") if kind == "bearing" else ()))
    if name in columns or name in {"wind", "sky"}:
        return name
    full = SIDE_NAMES.get(name, "")
    if full in columns:
        return full
    begins = [column for column in columns if column.startswith(name)]
    if len(begins) == 1:
        return begins[0]
    hint = f"is it {' or '.join(begins)}?" if begins else f"the names of a {kind} are {', '.join(columns)}"
    raise WordError(written, f"{name}= is not clear; {hint}")
