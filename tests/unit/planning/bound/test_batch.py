"""Several ticks worked at once: the same numbers as one by one."""

import numpy as np
import pytest

from hushwalk.planning.bound.backward_labels import NEVER, SCALES
from hushwalk.planning.bound.batch import FIRST, PRICED, WIDTH, arrivals, at_price, chord, first_arrival, keep_best

RNG = np.random.default_rng(4)


def test_the_chord_runs_through_its_four_values() -> None:
    values = (9.0, 6.0, 4.0, 3.0)
    assert [chord(*values, where) for where in (0.0, 0.5, 1.0, 1.5, 2.0, 3.0)] == [9.0, 7.5, 6.0, 5.0, 4.0, 3.0]


@pytest.mark.parametrize("steady", [True, False])
def test_arrivals_are_read_tick_by_tick(steady: bool) -> None:
    ticks, i, j = 6, 1, 2
    arrive, other = RNG.uniform(0, 9, (1, 3, SCALES, 40)), RNG.uniform(0, 9, (1, 3, SCALES, 40))
    follow = RNG.integers(0, 3, (1, 3, SCALES, 40)).astype(np.int16)
    leg = np.full((3, 3, 40), 4, np.int16) if steady else RNG.integers(1, 6, (3, 3, 40)).astype(np.int16)
    workspace = np.zeros((FIRST + 6) * WIDTH)
    arrivals(workspace, arrive, other, follow, leg, 0, i, j, SCALES, 10, ticks, steady, 0.5, 0.1)
    for scale in range(SCALES):
        for t in range(ticks):
            go = int(leg[i, j, 10 + t])
            at = (0, j, scale, 10 + t + go)
            value = (other[at] if follow[at] == i else arrive[at]) - 0.5 - 0.1 * go
            assert workspace[scale * WIDTH + t] == pytest.approx(value)


def test_the_first_arrival_bounds_all_that_follow() -> None:
    steady = True
    arrive = np.sort(RNG.uniform(0, 9, (1, 3, SCALES, 40)))[..., ::-1].copy()  # nothing is worth more later
    leg = np.full((3, 3, 40), 4, np.int16)
    bound = first_arrival(arrive, leg, 0, 1, 2, 12, 30, 10, steady, 0.5, 0.1)
    assert bound == pytest.approx(arrive[0, 2, 0, 14] - 0.5 - 0.4)
    assert first_arrival(arrive, leg, 0, 1, 2, 12, 13, 10, steady, 0.5, 0.1) == NEVER


def test_values_at_one_price_follow_the_factor_of_the_stop_that_ends() -> None:
    workspace, ended = np.zeros((FIRST + 6) * WIDTH), RNG.uniform(0, 1, (2, 40))
    rows = RNG.uniform(0, 9, (SCALES, 5))
    for scale in range(SCALES):
        workspace[scale * WIDTH : scale * WIDTH + 5] = rows[scale]
    at_price(workspace, ended, 1, 7, 5, 2.4)
    for t in range(5):
        assert workspace[PRICED * WIDTH + t] == pytest.approx(chord(*rows[:, t], min(2.4 * ended[1, 7 + t], 3.0)))


def test_the_best_two_are_kept_with_the_post_of_the_best() -> None:
    workspace = np.zeros((FIRST + 6) * WIDTH)
    most = (FIRST + 3) * WIDTH
    workspace[most : most + WIDTH], workspace[most + WIDTH : most + 2 * WIDTH] = NEVER, NEVER
    offers = RNG.uniform(0, 9, (5, 4))
    for j, row in enumerate(offers):
        workspace[:4] = row
        least = keep_best(workspace, 0, 1, 4, j)
    best, second = np.sort(offers, axis=0)[-1], np.sort(offers, axis=0)[-2]
    assert workspace[most : most + 4] == pytest.approx(best)
    assert workspace[most + WIDTH : most + WIDTH + 4] == pytest.approx(second)
    assert workspace[most + 2 * WIDTH : most + 2 * WIDTH + 4].tolist() == offers.argmax(axis=0).tolist()
    assert least == pytest.approx(second.min())
