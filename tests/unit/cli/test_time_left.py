"""Words while one waits: a step of a plan says about how long it still takes, and nothing where that is no news."""

import re

import pytest

from hushwalk.cli.trip_argument import DONE_BEFORE, WORTH_TELLING_S, time_left


@pytest.mark.parametrize("step", DONE_BEFORE)
def test_the_time_left_is_in_proportion_to_the_time_gone(step: str) -> None:
    share = DONE_BEFORE[step]
    told = re.fullmatch(r" about (\d+) s to go", time_left(f"{step} and more", 100.0 * share))
    assert told
    assert int(told[1]) == pytest.approx(100.0 * (1 - share), abs=0.5)


def test_nothing_is_told_of_short_waits_and_unknown_steps() -> None:
    assert time_left("drawing", WORTH_TELLING_S) == ""
    assert time_left("something else", 1000.0) == ""
