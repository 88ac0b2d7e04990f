"""What to expect of a day, in sentences and in a table: heard, closed in, found, minutes late, disturbed.

The figures are worked out in morning/day.
"""

from collections.abc import Sequence

import numpy as np

from hushwalk.morning.day.rehearsed_trip import RehearsedTrip
from hushwalk.morning.day_chances import DayChances, ExpectedDay, Spread
from hushwalk.types import FloatArray
from hushwalk.wording.listener_words import rehearsal_sentences

BAR = 40  # judgement: signs of the longest bar, so that a line fits a narrow terminal
MOST = 12  # judgement: a dozen lines; twelve and more are one
FEW = 0.005  # definition: half a percent, below which a share is written as under 1 %


def expected_sentences(expected: ExpectedDay | None) -> tuple[str, ...]:
    """Say what to expect of one such day."""
    if expected is None:
        return ()
    chances = expected.chances
    none, one, two, more = (share_words(share) for share in chances.heard_chances)
    heard, found = chances.heard, chances.found
    search = f"{expected.search_min / 60:.1f} hours of searching late in the morning"
    return (
        (
            f"On one such day you hear nothing with {none}, one male with {one}, two with {two}, three or more with "
            f"{more}: {heard.mean:.1f} on average, {heard.low:.0f} to {heard.high:.0f} on eight days in ten."
        ),
        (
            f"With {search} at least one log is found on {share_words(chances.log_chance)} of such days, "
            f"{found.mean:.1f} logs a day on average."
        ),
        f"{chances.disturbed.mean:.1f} males a day have you within 50 m.",
    )


def rehearsed_words(rehearsed: RehearsedTrip) -> str:
    """Give a rehearsal as text: a head, a table with a bar for each number of males, and what it means."""
    played, expected = rehearsed.played, rehearsed.expected
    chances = played.chances
    kept = expected.closing_in_min
    how = f"{kept:.0f} minutes kept for closing in" if kept else "listening only, nothing kept for closing in"
    head = [
        f"{rehearsed.title}, {rehearsed.day:%A %d %B %Y}: the day played {chances.days} times",
        f"  {rehearsed.stops} stops, {how}, then {expected.search_min / 60:.1f} hours of search",
        "",
        *number_table(chances),
        "",
        *bars("males heard", played.heard),
        *bars("logs found", played.found),
        "",
    ]
    words = [f"  {line}" for line in (*expected_sentences(expected), time_sentence(chances), PROCESS)]
    grounds = () if rehearsed.grounds is None else rehearsal_sentences(rehearsed.grounds)
    return "\n".join([*head, *words, *(f"  {line}" for line in grounds)])


PROCESS = (
    "The birds of these days are not the planner's: they live in groups, drum in bouts, and year, ear and weather "
    "differ from day to day; how many males live there is as uncertain as the plan says."
)


def time_sentence(chances: DayChances) -> str:
    """Say how often one is back in time."""
    late = chances.minutes_late
    words = f"You are back in time on {share_words(chances.on_time)} of the days"
    return f"{words}." if chances.on_time == 1 else f"{words}; {late.mean:.1f} minutes late on average over all days."


def number_table(chances: DayChances) -> list[str]:
    """Give the numbers of a day with their means and what eight days in ten lie between."""
    rows: Sequence[tuple[str, Spread]] = (
        ("males heard", chances.heard),
        ("tries to close in", chances.tried),
        ("closed in on", chances.closed_in),
        ("crossed only", chances.crossed),
        ("logs found", chances.found),
        ("minutes late", chances.minutes_late),
        ("males within 50 m", chances.disturbed),
    )
    lines = [f"  {'a day':<20}{'mean':>6}   eight days in ten"]
    return lines + [f"  {name:<20}{own.mean:6.1f}   {own.low:.0f} to {own.high:.0f}" for name, own in rows]


def bars(name: str, counts: FloatArray) -> list[str]:
    """Draw the shares of days by a number, a bar for each; what is rarer than that is one line."""
    whole = np.bincount(np.minimum(np.asarray(counts, dtype=np.int64), MOST), minlength=1)
    shares = whole / max(whole.sum(), 1)
    most = max(float(shares.max()), FEW)
    labels = [f"{number}" if number < MOST else f"{MOST}+" for number in range(len(shares))]
    return [f"  {name}"] + [
        f"  {label:>4}  {'#' * round(BAR * share / most):<{BAR}} {share_words(float(share))}"
        for label, share in zip(labels, shares, strict=True)
    ]


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
