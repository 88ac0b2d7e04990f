"""The hours before sunset in words: what is taken for granted of them, and their light.

The facts are morning/sun_times.py's.
"""

from hushwalk.morning.report import Report
from hushwalk.morning.sun_times import EveningHours


def of_its_hours(words: str, *, evening: bool) -> str:
    """Give words on a morning as words on an evening, where it is one.

    Examples
    --------
    >>> of_its_hours("Not worth this morning", evening=True)
    'Not worth this evening'
    >>> of_its_hours("On such a morning", evening=True)
    'On such an evening'
    """
    return words.replace(" a morning", " an evening").replace("morning", "evening") if evening else words


def walk_subject(report: Report) -> str:
    """Say which walk of which day a file holds."""
    hours = "Dawn" if report.evening is None else "Evening"
    return f"{hours} listening walk, {report.depart:%d %B %Y}"


def moon_sentence(report: Report) -> str:
    """Say how the moon lights the dark part of a walk; empty where nothing is known of it."""
    moon = report.sun.moon.rstrip(".")
    return f"Light {'before dawn' if report.evening is None else 'after dusk'}: {moon}." if moon else ""


def evening_sentences(hours: EveningHours | None) -> tuple[str, ...]:
    """Give what is taken for granted of an evening; nothing of a morning."""
    if hours is None:
        return ()
    source = f" ({hours.source})" if hours.source else ""
    side = "before" if hours.best_min <= 0 else "after"
    best = f"{100 * hours.best_share:.0f} % as often as in his best hour of the morning"
    when = f"{abs(hours.best_min):.0f} min {side} sunset{source}"
    said = [
        f"in the evening a male is taken to display at most {best}, {when}",
        "on one day the same males are taken to display in the morning and in the evening, as many as on any morning",
    ]
    if hours.air_assumed:
        said.append('the air of the evening is taken as neutral, for lack of a forecast or of "air" under [evening]')
    if hours.weather_of_morning:
        said.append("wind and warmth of the evening are taken as those of [weather]; give them under [evening]")
    if hours.after_dark is not None:
        back = "the walk back may be in the dark" if hours.after_dark else "the walk is back before civil twilight ends"
        said.append(back)
    return tuple(said)
