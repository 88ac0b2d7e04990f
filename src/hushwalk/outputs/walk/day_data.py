"""What to expect of a day as data: facts of summary.json and of a rehearsal.

The rest of the summary is walk_data.py's; the picture of a rehearsal is rehearsal_files.py's.
"""

from typing import Any

from hushwalk.morning.day_chances import DayChances, ExpectedDay, Spread, WayWorth
from hushwalk.wording.day_words import expected_sentences

Json = dict[str, Any]


def day_fields(expected: ExpectedDay | None) -> Json | None:
    """Give what to expect of the planned day with its words; None where the walk is under way, or shared."""
    if expected is None:
        return None
    return {
        "closing_in_minutes": expected.closing_in_min,
        "search_minutes": round(expected.search_min, 1),
        **chance_fields(expected.chances),
        "words": list(expected_sentences(expected)),
    }


def compared_fields(compared: tuple[WayWorth, ...]) -> list[Json]:
    """Give what each number of minutes kept for closing in would give."""
    return [
        {
            "closing_in_minutes": one.closing_in_min,
            "males_expected": round(one.males, 3),
            "worth": round(one.chances.worth, 3),
            **chance_fields(one.chances),
        }
        for one in compared
    ]


def chance_fields(chances: DayChances) -> Json:
    """Give the chances of a day, flat, with units in the names."""
    none, one, two, more = (round(share, 3) for share in chances.heard_chances)
    spreads: dict[str, Spread] = {
        name: getattr(chances, name)
        for name in ("heard", "tried", "closed_in", "crossed", "found", "disturbed", "minutes_late")
    }
    return {
        "days": chances.days,
        "chance_heard": {"none": none, "one": one, "two": two, "three_or_more": more},
        "chance_log_found": round(chances.log_chance, 3),
        "on_time": round(chances.on_time, 3),
        "found_standard_error": round(chances.found_error, 3),
        "a_day": {
            name: {"mean": round(own.mean, 2), "low": round(own.low, 1), "high": round(own.high, 1)}
            for name, own in spreads.items()
        },
    }
