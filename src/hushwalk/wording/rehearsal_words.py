"""A day that was played, as text: a table of its numbers, a bar for each number of males, and what it means.

The figures are worked out in morning/day; the sentences on what to expect are day_words.py's.
"""

from collections.abc import Sequence

import numpy as np

from hushwalk.morning.day.day_worth import shares_of
from hushwalk.morning.day.rehearsed_trip import RehearsedTrip
from hushwalk.morning.day_chances import DayChances, Spread
from hushwalk.types import FloatArray
from hushwalk.wording.day_words import FEW, disturbing_words, expected_sentences, share_words, time_sentence
from hushwalk.wording.listener_words import rehearsal_sentences

BAR = 40  # judgement: signs of the longest bar, so that a line fits a narrow terminal
RARE = 0.002  # judgement: a number that fewer than one day in five hundred reaches gets no line
MOST = 12  # judgement: a dozen lines; twelve and more are one
PROCESS = (
    "The birds of these days are not the planner's: they live in groups, drum in bouts, and year, ear and weather "
    "differ from day to day; how many males live there is as uncertain as the plan says."
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
        *bars("males heard", shares_of(played.heard)),
        *bars("logs found", played.found_shares),
        "",
    ]
    words = [f"  {line}" for line in (*expected_sentences(expected), time_sentence(chances), PROCESS)]
    grounds = () if rehearsed.grounds is None else rehearsal_sentences(rehearsed.grounds)
    return "\n".join([*head, *words, *(f"  {line}" for line in grounds)])


def number_table(chances: DayChances) -> list[str]:
    """Give the numbers of a day with their means and what eight days in ten lie between."""
    rows: Sequence[tuple[str, Spread]] = (
        ("males heard", chances.heard),
        ("tries to close in", chances.tried),
        ("closed in on", chances.closed_in),
        ("crossed only", chances.crossed),
        ("logs found", chances.found),
        ("minutes late", chances.minutes_late),
        (f"males {disturbing_words()}", chances.disturbed),
    )
    lines = [f"  {'a day':<20}{'mean':>6}   eight days in ten"]
    return lines + [f"  {name:<20}{own.mean:6.1f}   {own.low:.0f} to {own.high:.0f}" for name, own in rows]


def bars(name: str, shares: FloatArray) -> list[str]:
    """Draw the shares of days by a number, a bar for each; numbers that next to no day reaches are left out."""
    seen = shares[: max(int(np.max(np.flatnonzero(shares >= RARE), initial=0)) + 1, 1)]
    shares = np.append(seen[:MOST], seen[MOST:].sum()) if len(seen) > MOST else seen
    most = max(float(shares.max()), FEW)
    labels = [f"{number}" if number < MOST else f"{MOST}+" for number in range(len(shares))]
    return [f"  {name}"] + [
        f"  {label:>4}  {'#' * round(BAR * share / most):<{BAR}} {share_words(float(share))}"
        for label, share in zip(labels, shares, strict=True)
    ]
