"""Single words of a note: figures, yes and no, days and times.

Which words make which note is entry.py's business.
"""

import math
import re
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from hushwalk.errors import InputError

YES = {"yes", "y", "1", "true", "x"}
NO = {"no", "n", "0", "false", "-"}
_CLOCK = re.compile(r"(\d{1,2})[:.h]?(\d{2})(?:[:.](\d{2}))?")


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


def day_of(text: str) -> date:
    """Read a day, such as ``"2027-04-25"``."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InputError(f"date {text!r} is no day; write such as 2027-04-25") from None


def clock_on(day: date, text: str, name: str, zone: str) -> datetime:
    """Read a time of day, such as ``"06:12"``, on a day in a time zone."""
    match = _CLOCK.fullmatch(text)
    try:
        clock = time(int(match[1]), int(match[2]), int(match[3] or 0)) if match else None
    except ValueError:
        clock = None
    if clock is None:
        raise InputError(f"{name} {text!r} is no time of day; write such as 06:12")
    return datetime.combine(day, clock, tzinfo=ZoneInfo(zone))


def whole_time(text: str, zone: str) -> datetime | None:
    """Read a time with its day, such as ``"2027-04-25 06:12"``; None where the text is no such thing."""
    if len(text) < len("2027-04-25T06:12"):
        return None
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return None
    return found if found.tzinfo else found.replace(tzinfo=ZoneInfo(zone))
