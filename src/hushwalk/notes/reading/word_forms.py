"""Words as tired people write them: what is clear is put right, and for the rest the nearest right form is found.

Which words make a note is typed_line.py's business.
"""

import re
from collections.abc import Iterable, Sequence

from hushwalk.errors import InputError
from hushwalk.notes.reading.vocabulary import nearest_word

POINTS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
POINT_DEG = 22.5  # definition: sixteen points
SYNONYMS = {"middle": "mid", "silent": "nil", "nothing": "nil", "quiet": "nil"}
STRIKES = frozenset({"undo", "delete", "strike", "remove", "cancel"})

_QUOTES = str.maketrans({"\u201c": '"', "\u201d": '"', "\u201e": '"', "\u00ab": '"', "\u00bb": '"', "\u2019": "'"})
_DEGREES = re.compile(r"(\d{1,3}(?:[.,]\d+)?)(?:\u00b0|\u00ba|deg(?:rees)?)([MTG]?)", re.IGNORECASE)
_COMMA = re.compile(r"(\d{1,3}),(\d+)([MTG]?)", re.IGNORECASE)
_HALF = re.compile(r"[AP]\.?M\.?", re.IGNORECASE)
_HOUR = re.compile(r"(\d{1,2}) ?([AP]M)", re.IGNORECASE)
_FOUR = re.compile(r"(\d{3})(\d)")
_BIRD = re.compile(r"(?:bird[ _-]?)?(\d{1,2})b?|b[._-](\d{1,2})", re.IGNORECASE)
_LIKE_DIGITS = str.maketrans("oOlI", "0011")


class WordError(InputError):
    """A word that is not understood; ``word`` is the word as it was written."""

    def __init__(self, word: str, message: str) -> None:
        super().__init__(message)
        self.word = word


def split_words(line: str) -> tuple[str, ...]:
    """Split a line into words; a text in double quotes is one word, curly quotes are quotes.

    Raises
    ------
    InputError
        If a quote is not closed.

    Examples
    --------
    >>> split_words('P03 085 say="two of them"')
    ('P03', '085', 'say=two of them')
    """
    words: list[str] = []
    word, quoted, started = "", False, False
    for sign in line.translate(_QUOTES):
        if sign == '"':
            quoted, started = not quoted, True
        elif sign.isspace() and not quoted:
            words += [word] if started else []
            word, started = "", False
        else:
            word, started = word + sign, True
    if quoted:
        raise InputError("a quote is opened and never closed")
    return (*words, word) if started else tuple(words)


def right_forms(words: Sequence[str]) -> list[tuple[str, str]]:
    """Give each word as it was written and as it is meant, where that is clear.

    Examples
    --------
    >>> [right for _, right in right_forms(["P03,", "085,5\u00b0", "5:12", "am", "middle"])]
    ['P03', '085.5', '5:12am', 'mid']
    """
    found: list[tuple[str, str]] = []
    for written in words:
        word = _right(written)
        if _HALF.fullmatch(word) and found and found[-1][1][-1:].isdigit():
            before, right = found.pop()
            found.append((f"{before} {written}", right + word))
        elif word:
            found.append((written, word))
    return found


def _right(written: str) -> str:
    word = written.strip().translate(_QUOTES)
    if "=" in word:
        return word
    word = word.strip('"').rstrip(",;") if " " not in word else word
    if word in {"\u00b0", "\u00ba", "deg", "degrees"}:
        return ""
    if match := _DEGREES.fullmatch(word):
        word = match[1] + match[2]
    if match := _COMMA.fullmatch(word):
        word = f"{match[1]}.{match[2]}{match[3]}"
    return SYNONYMS.get(word.lower(), word)


def strike_error(word: str) -> WordError:
    """Say how a note is struck out, where somebody types undo or delete."""
    return WordError(
        word,
        f"{word!r} is no note; hushwalk note lists the notes with their keys, --strike KEY --why REASON takes one out",
    )


def nearest_form(word: str, known: Iterable[str]) -> str:
    """Find the right form that a word may be meant for; an empty text where none is near.

    Parameters
    ----------
    word : that is not understood.
    known : words that would be understood in its place, names of stops among them.

    Examples
    --------
    >>> nearest_form("NNE", ()), nearest_form("o85", ()), nearest_form("0861", ()), nearest_form("5am", ())
    ('022 rough', '085', '086 or 086.1', '5:00am')
    >>> nearest_form("2b", ()), nearest_form("fr", ("near", "far"))
    ('b2', 'far')
    """
    if word.upper() in POINTS:
        return f"{POINTS.index(word.upper()) * POINT_DEG:03.0f} rough"
    if word.upper() in {"M", "T", "G"}:
        return f"085{word.upper()}, without a space"
    return nearest_number(word) or nearest_word(word.lower(), [name.lower() for name in known])


def nearest_number(word: str) -> str:
    """Find the time, bearing or bird that a word of digits and letters like them may be meant for."""
    if match := _HOUR.fullmatch(word):
        return f"{match[1]}:00{match[2].lower()}"
    if match := _FOUR.fullmatch(word):
        return f"{match[1]} or {match[1]}.{match[2]}"
    if match := _BIRD.fullmatch(word):
        return f"b{int(match[1] or match[2])}"
    digits = word.translate(_LIKE_DIGITS)
    return digits if digits != word and re.fullmatch(r"\d{1,3}[MTG]?|\d{1,2}:\d{2}", digits) else ""
