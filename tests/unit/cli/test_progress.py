"""What one sees while one waits: about how long a step still takes, nothing where that is no news, and the shares."""

import re

import pytest

from hushwalk.cli.progress import WORTH_TELLING_S, progress_on_stderr, shares_of, time_left
from hushwalk.compile_cache import VARIABLE
from hushwalk.morning import look_round, solved_plan, story
from hushwalk.progress import Step

STEPS = [
    look_round.REACHING,
    story.HEARING,
    story.COMPARING_WAYS,
    solved_plan.CHOOSING,
    story.OUTLOOK,
    story.DRAWING,
]


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.name)
def test_the_time_left_is_in_proportion_to_the_time_gone(step: Step) -> None:
    share = step.done_before
    words = re.fullmatch(r" about (\d+) s to go", time_left(step.of("and more"), 100.0 * share))
    assert words
    assert int(words[1]) == pytest.approx(100.0 * (1 - share), abs=0.5)


def test_the_steps_of_a_plan_follow_each_other() -> None:
    shares = [step.done_before for step in STEPS]
    assert all(shares)
    assert shares == sorted(shares)


def test_nothing_is_told_of_short_waits_and_unknown_steps() -> None:
    assert time_left(Step("drawing", done_before=0.9), WORTH_TELLING_S) == ""
    assert time_left(Step("something else"), 1000.0) == ""


def test_shares_add_up_and_a_step_that_comes_twice_counts_once() -> None:
    reading, choosing = Step("reading"), Step("choosing")
    steps = [(0.0, reading), (1.0, choosing.of("among 5 posts")), (2.0, reading), (4.0, Step("drawing"))]
    assert shares_of(steps, 8.0) == "of 8 s: reading 38 %, choosing 12 %, drawing 50 %"


def test_that_compiled_code_is_not_kept_is_said_once(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(VARIABLE, "/tmp/hushwalk-compiled-x1")  # noqa: S108 - a name, nothing is written
    with progress_on_stderr() as progress:
        progress(Step("reading"))
        progress(Step("drawing"))
    assert capsys.readouterr().err.count("what this run compiles the next one compiles again") == 1
    monkeypatch.setenv(VARIABLE, "/elsewhere/compiled")
    with progress_on_stderr() as progress:
        progress(Step("reading"))
    assert "compiled" not in capsys.readouterr().err


def test_shares_are_shown_only_where_asked(capsys: pytest.CaptureFixture[str]) -> None:
    with progress_on_stderr() as progress:
        progress(Step("reading"))
    assert "of 0 s" not in capsys.readouterr().err
    with progress_on_stderr(shares=True) as progress:
        progress(Step("reading"))
    assert "of 0 s: reading" in capsys.readouterr().err
