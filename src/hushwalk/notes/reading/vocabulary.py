"""Single words of a note: names of stops, figures, yes and no, days and times.

Which words make which note is entry.py's business.
"""

import math
import re
from collections.abc import Iterable
from datetime import date, datetime, time
from difflib import get_close_matches
from zoneinfo import ZoneInfo

from hushwalk.errors import InputError

YES = {"yes", "y", "1", "true", "x"}
NO = {"no", "n", "0", "false", "-"}
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
NOON = 12  # definition: hours
NEAR_ENOUGH = 0.6  # judgement: one letter wrong in three
_TIMES = re.compile(r"x?(\d{1,3})x?|(\d{1,3}) times", re.IGNORECASE)
_CLOCK = re.compile(r"(\d{1,2})[:.h]?(\d{2})(?:[:.](\d{2}))?(?: ?([AP])\.?M\.?)?", re.IGNORECASE)
_STOP = re.compile(r"([A-Z]*)[ _-]?0*(\d+)")
_DAY = re.compile(r"(\d{1,4})([./-])(\d{1,2})\2(\d{2}|\d{4})")
_DAY_BY_NAME = re.compile(r"(\d{1,2})[ -]([a-z]{3})[a-z]*\.?[ -](\d{2}|\d{4})")


def planned_name(written: str, stops: Iterable[str]) -> str:
    """Give the plan's own name of a stop; a name that the plan does not know is only put in capitals.

    Parameters
    ----------
    written : such as ``"p3"``, ``"P-03"`` or ``"P03"``.
    stops : names of the plan.

    Examples
    --------
    >>> planned_name("p3", ["P03", "P13"])
    'P03'
    >>> planned_name("l4", ["P03"])
    'L4'
    """
    name = written.strip().upper()
    names = list(stops)
    if name in names:
        return name
    key = _stop_key(name)
    same = [stop for stop in names if key is not None and _stop_key(stop.upper()) == key]
    return same[0] if len(same) == 1 else name


def _stop_key(name: str) -> tuple[str, int] | None:
    match = _STOP.fullmatch(name)
    return (match[1], int(match[2])) if match else None


def number(text: str, name: str) -> float | None:
    """Read a figure with point or comma; None where nothing is written.

    Examples
    --------
    >>> number("0,4", "height_m")
    0.4
    """
    if not text.strip():
        return None
    try:
        value = float(text.strip().replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError(f"{name} {text!r} is no figure")
    return value


def yes_or_no(text: str, name: str) -> bool | None:
    """Read yes or no; None where nothing is written."""
    word = text.strip().lower()
    if word in YES:
        return True
    if word in NO:
        return False
    if word:
        raise InputError(f"{name} {text!r} is neither yes nor no")
    return None


def how_often(text: str) -> int | None:
    """Read how often a bird was heard; None where nothing is written.

    Examples
    --------
    >>> how_often("3"), how_often("x3"), how_often("")
    (3, 3, None)
    """
    if not text:
        return None
    match = _TIMES.fullmatch(text)
    if not match:
        raise InputError(f"times {text!r} is no count; write how often he was heard, such as 3")
    return int(match[1] or match[2])


def nearest_word(word: str, known: Iterable[str]) -> str:
    """Give the known word that is nearest to one that is not known, or an empty text where none is near.

    Examples
    --------
    >>> nearest_word("farr", ("near", "mid", "far"))
    'far'
    """
    return next(iter(get_close_matches(word, list(known), 1, NEAR_ENOUGH)), "")


def day_of(text: str, likely: date | None = None) -> date:
    """Read a day, such as ``"2027-04-25"``, or as programs for tables write it anew.

    Parameters
    ----------
    text : year first; or day and month in either order where only one can be meant, day first with points.
    likely : settles which of two days is meant, if it is one of them.

    Raises
    ------
    InputError
        If it is no day, or could be two.

    Examples
    --------
    >>> day_of("4/25/2027") == day_of("25.04.2027") == day_of("25-Apr-27") == day_of("2027-04-25")
    True
    """
    plain = text.strip().lower()
    found = _days(plain)
    if likely in found:
        return likely
    if len(found) == 1:
        return found[0]
    if found:
        raise InputError(f"date {text!r} may be {found[0]} or {found[1]}; write it as {found[0]}")
    raise InputError(f"date {text!r} is no day; write such as 2027-04-25")


def _days(plain: str) -> list[date]:
    """All days that a text may mean."""
    if match := _DAY_BY_NAME.fullmatch(plain):
        month = MONTHS.index(match[2]) + 1 if match[2] in MONTHS else 0
        readings = [(match[3], str(month), match[1])]
    elif match := _DAY.fullmatch(plain):
        first, sign, second, last = match.groups()
        readings = [(first, second, last)] if len(first) == len("2027") else [(last, second, first)]
        if len(first) < len("2027") and sign != ".":
            readings.append((last, first, second))
    else:
        readings = [(plain[:4], plain[4:6], plain[6:])] if re.fullmatch(r"\d{8}", plain) else []
    found = []
    for year, month_text, day in readings:
        try:
            found.append(date(int(year) + (2000 if len(year) < len("2027") else 0), int(month_text), int(day)))
        except ValueError:
            continue
    return list(dict.fromkeys(found))


def clock_on(day: date, text: str, name: str, zone: str) -> datetime:
    """Read a time of day, such as ``"06:12"`` or ``"6:12 AM"``, on a day in a time zone.

    Parameters
    ----------
    day : the local day.
    text : hour and minute, with seconds or with AM or PM.
    name : what the time is of, for the message of an error.
    zone : name of the time zone.

    Returns
    -------
    datetime
        Aware, in that zone.

    Raises
    ------
    InputError
        If the text is no time of day.
    """
    match = _CLOCK.fullmatch(text)
    try:
        clock = time(_hour(int(match[1]), match[4]), int(match[2]), int(match[3] or 0)) if match else None
    except ValueError:
        clock = None
    if clock is None:
        raise InputError(f"{name} {text!r} is no time of day; write such as 06:12")
    return datetime.combine(day, clock, tzinfo=ZoneInfo(zone))


def _hour(written: int, half: str | None) -> int:
    """Hour of 24; one of 12 with its half of the day, or one that cannot be, is refused."""
    if half is None:
        return written
    if not 1 <= written <= NOON:
        raise ValueError(written)
    return written % NOON + (NOON if half in "pP" else 0)


def whole_time(text: str, zone: str) -> datetime | None:
    """Read a time with its day, such as ``"2027-04-25 06:12"``; None where the text is no such thing."""
    if len(text) < len("2027-04-25T06:12"):
        return None
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found if found.tzinfo else found.replace(tzinfo=ZoneInfo(zone))
