"""Numbers of males for the season: given as they come, kept while mornings are added, merged and split in the open.

season_birds.py says which birds of mornings are one male.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from hushwalk.birds.partitions import Group, Partition, likely_partition


@dataclass(frozen=True)
class NumberChange:
    """A number of the season that came to stand for other birds than before.

    Parameters
    ----------
    day : of the morning that changed it.
    numbers : that were merged into ``into``, or the one that was split.
    into : the numbers that stand for them now.
    """

    day: date
    numbers: tuple[int, ...]
    into: tuple[int, ...]


def season_numbers(
    days_of: Sequence[date], best: Partition, log_evidence: Callable[[Group], float], allowed: NDArray[np.bool_]
) -> tuple[dict[Group, int], tuple[NumberChange, ...]]:
    """Number the males as they came, morning by morning, and say which numbers merged or split.

    Parameters
    ----------
    days_of : day of each track.
    best : partition of all tracks into males.
    log_evidence : of a group of tracks.
    allowed : shape (n_tracks, n_tracks), whether two tracks may be of one male.

    Returns
    -------
    tuple
        Number by group of ``best``, and the changes in the order of their days.
    """
    days = sorted(set(days_of))
    known: dict[int, int] = {}
    numbers: dict[Group, int] = {}
    changes: list[NumberChange] = []
    given = 0
    for day in days:
        so_far = [k for k, own in enumerate(days_of) if own <= day]
        parts = best if day == days[-1] else likely_partition([frozenset([k]) for k in so_far], log_evidence, allowed)
        numbers, taken = {}, set()
        for group in sorted(parts, key=lambda g: min((known.get(k, given + 1), days_of[k], k) for k in g)):
            old = sorted({known[k] for k in group if k in known})
            free = [n for n in old if n not in taken]
            if not free:
                given += 1
            numbers[group] = free[0] if free else given
            taken.add(numbers[group])
        changes += _changes(day, known, numbers)
        known = {k: number for group, number in numbers.items() for k in group}
    return numbers, tuple(changes)


def _changes(day: date, before: Mapping[int, int], now: Mapping[Group, int]) -> list[NumberChange]:
    after = {k: number for group, number in now.items() for k in group}
    found = []
    for number in sorted(set(now.values())):
        merged = sorted({old for k, old in before.items() if after[k] == number and old != number})
        gone = [old for old in merged if old not in now.values()]
        if gone:
            found.append(NumberChange(day, (number, *gone), (number,)))
    for old in sorted(set(before.values())):
        into = sorted({after[k] for k, number in before.items() if number == old})
        if len(into) > 1:
            found.append(NumberChange(day, (old,), tuple(into)))
    return found
