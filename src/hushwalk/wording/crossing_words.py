"""Stops of the same minutes as those of a second person: when, where the other stands, at which angle bearings cross.

What both walks give together is said by two_people_words.py.
"""

from hushwalk.morning.crossing_stop import CrossingStop
from hushwalk.wording.formats import bearing, clock
from hushwalk.wording.measures import distance

HEAD = "Bearings of the same minutes"
WHY = "Two bearings of one display cross, with no doubt whose they are: note the time of every bearing to the minute."
ROUND_DEG = 5  # judgement: nobody points closer than that
COLUMNS = ("minutes", "you", "the other", "from you", "bearings cross at")


def angle_words(crossing_deg: tuple[float, float] | None) -> str:
    """Say at which angles bearings cross over the middle half of the ground within earshot of both.

    Examples
    --------
    >>> angle_words((38.0, 71.0)), angle_words((61.0, 62.0)), angle_words(None)
    ('40 to 70°', '60°', 'no ground in earshot of both')
    """
    if crossing_deg is None:
        return "no ground in earshot of both"
    low, high = (ROUND_DEG * round(angle / ROUND_DEG) for angle in crossing_deg)
    return f"{low}°" if low == high else f"{low} to {high}°"


def crossing_cells(crossing: CrossingStop) -> tuple[str, ...]:
    """Give one line of the table, in the order of its columns."""
    return (
        f"{clock(crossing.begin)} to {clock(crossing.end)}",
        crossing.stop,
        f"{crossing.person} at {crossing.other_stop}",
        f"{distance(crossing.apart_m)} towards {bearing(crossing.magnetic_deg)} ({bearing(crossing.azimuth_deg)})",
        angle_words(crossing.angle_deg),
    )


def crossing_row(crossing: CrossingStop) -> tuple[str, str]:
    """Give a crossing as one line of its stop: label and words."""
    minutes, _, who, where, angle = crossing_cells(crossing)
    words = angle if crossing.angle_deg is None else f"bearings cross at {angle}"
    return "same minutes", f"{minutes}: {who}, {where}; {words}"
