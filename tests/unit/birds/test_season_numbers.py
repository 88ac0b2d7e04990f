from datetime import date

import numpy as np

from hushwalk.birds.season_numbers import NumberChange, season_numbers

DAYS = [date(2027, 4, k) for k in (23, 23, 24, 25)]
ALL = np.ones((4, 4), dtype=bool)


def group(*tracks):
    return frozenset(tracks)


def evidence_of(*together):
    # Groups that belong together gain, all others lose.
    good = {frozenset(g) for g in together}
    return lambda g: 5.0 * len(g) if g in good else -5.0 * len(g) if len(g) > 1 else 0.0


def test_numbers_go_by_the_first_morning_and_stay():
    numbers, changes = season_numbers(DAYS, (group(0, 2), group(1), group(3)), evidence_of({0, 2}), ALL)
    assert numbers == {group(0, 2): 1, group(1): 2, group(3): 3}
    assert changes == ()


def test_a_merge_keeps_the_lower_number_and_is_said():
    score = evidence_of({0, 1, 2, 3})
    numbers, changes = season_numbers(DAYS, (group(0, 1, 2, 3),), score, ALL)
    assert numbers == {group(0, 1, 2, 3): 1}
    assert changes == (NumberChange(date(2027, 4, 25), (1, 2, 3), (1,)),)


def test_a_split_gives_a_new_number_and_is_said():
    score = evidence_of({0, 1}, {0, 2}, {1, 3})
    best = (group(0, 2), group(1, 3))
    numbers, changes = season_numbers(DAYS, best, score, ALL)
    assert sorted(numbers.values()) == [1, 2] or len(set(numbers.values())) == 2
    assert all(len(change.into) > 1 or len(change.numbers) > 1 for change in changes)
