"""The choices of tomorrow as figures with the words beside them.

The choices are morning/tomorrow.py's.
"""

from typing import Any

from hushwalk.morning.tomorrow import Choice, Tomorrow
from hushwalk.wording.tomorrow_words import choice_lines

Json = dict[str, Any]


def tomorrow_fields(tomorrow: Tomorrow) -> Json:
    """Give every choice with its chance, minutes, times and place."""
    return {
        "schema": "hushwalk tomorrow 1",
        "title": tomorrow.title,
        "date": tomorrow.day.isoformat(),
        "participation": round(tomorrow.participation, 3),
        "dawn": [_choice(one) for one in tomorrow.dawn],
        "late": [_choice(one) for one in tomorrow.late],
        "evening": tomorrow.evening and _choice(tomorrow.evening),
    }


def _choice(choice: Choice) -> Json:
    place = choice.place
    return {
        "activity": choice.activity.value,
        "subject": choice.subject,
        "chance": round(choice.chance, 3),
        "minutes": round(choice.minutes, 1),
        "males": None if choice.males is None else round(choice.males, 3),
        "begin": choice.begin and choice.begin.isoformat(),
        "end": choice.end and choice.end.isoformat(),
        "lon_deg": place and round(place.lon_deg, 6),
        "lat_deg": place and round(place.lat_deg, 6),
        "words": choice_lines(choice)[0].strip(),
    }
