"""What to expect of a day in sentences, and what each way of working would give.

The figures are worked out in morning/day; the table and bars of a rehearsal are rehearsal_words.py's.
"""

from hushwalk.morning.day_chances import DayChances, ExpectedDay
from hushwalk.morning.way_of_working import WayOfWorking
from hushwalk.notes.figures import figure
from hushwalk.wording.measures import distance

FEW = 0.005  # definition: half a percent, below which a share is written as under 1 %


def expected_sentences(expected: ExpectedDay | None) -> tuple[str, ...]:
    """Say what to expect of one such day."""
    if expected is None:
        return ()
    chances = expected.chances
    none, one, two, more = (share_words(share) for share in chances.heard_chances)
    heard = chances.heard
    return (
        (
            f"Played {chances.days} times, with birds in groups and year, weather, ear and pace different each time: "
            f"you hear nothing on {none} of these days, one male on {one}, two on {two}, "
            f"three or more on {more}; {heard.mean:.1f} on average, "
            f"{heard.low:.0f} to {heard.high:.0f} on eight days in ten."
        ),
        *_found(expected),
        f"On the walk and while closing in you come {disturbing_words()} of {chances.disturbed.mean:.1f} males a day.",
    )


def _found(expected: ExpectedDay) -> tuple[str, ...]:
    """Say how likely logs are found; nothing where nobody searches."""
    if expected.search_min <= 0:
        return ()
    chances, hours = expected.chances, expected.search_min / 60
    return (
        (
            f"With {hours:.1f} hours of searching late in the morning at least one log is found on "
            f"{share_words(chances.log_chance)} of these days, {chances.found.mean:.1f} logs a day on average."
        ),
    )


def disturbing_words() -> str:
    """Say how near to a male disturbs him."""
    return f"within {distance(figure('closing_in', 'disturbed_m'))}"


def compared_words(working: WayOfWorking) -> tuple[str, ...]:
    """Give what each number of minutes kept for closing in would give, a line each; the one planned for is marked."""
    if len(working.compared) < 2:  # noqa: PLR2004 - definition: one way alone is no comparison
        return ()
    days = working.compared[0].chances.days
    head = (
        f"Minutes kept for closing in, and what they give a day, on average over {days} days with year and weather as "
        "assumed: males heard, closed in on, logs found; share of days with a log:"
    )
    lines = []
    for one in working.compared:
        chances = one.chances
        mark = " <- planned for" if abs(one.closing_in_min * 60 - working.kept_free_s) < 1 else ""
        lines.append(
            f"  {one.closing_in_min:4.0f} min {chances.heard.mean:5.1f} {chances.closed_in.mean:5.1f} "
            f"{chances.found.mean:5.2f} {share_words(chances.log_chance):>6}{mark}"
        )
    return (head, *lines)


def time_sentence(chances: DayChances) -> str:
    """Say how often one is back in time."""
    late = chances.minutes_late
    words = f"You are back in time on {share_words(chances.on_time)} of the days"
    return f"{words}." if chances.on_time == 1 else f"{words}; {late.mean:.1f} minutes late on average over all days."


def share_words(share: float) -> str:
    """Write a share of days.

    Examples
    --------
    >>> share_words(0.426), share_words(0.002), share_words(0.999), share_words(0.0)
    ('43 %', 'under 1 %', 'over 99 %', '0 %')
    """
    if 0 < share < FEW:
        return "under 1 %"
    return "over 99 %" if 1 - FEW < share < 1 else f"{100 * share:.0f} %"
