import pytest

from hushwalk.cli.trip_argument import shares_of, tell_on_stderr


def test_shares_add_up_and_a_step_told_twice_counts_once() -> None:
    steps = [(0.0, "reading"), (1.0, "choosing, among 5 posts"), (2.0, "reading"), (4.0, "drawing")]
    assert shares_of(steps, 8.0) == "of 8 s: reading 38 %, choosing 12 %, drawing 50 %"


def test_shares_are_told_only_where_asked(capsys: pytest.CaptureFixture[str]) -> None:
    with tell_on_stderr() as tell:
        tell("reading")
    assert "of 0 s" not in capsys.readouterr().err
    with tell_on_stderr(shares=True) as tell:
        tell("reading")
    assert "of 0 s: reading" in capsys.readouterr().err
