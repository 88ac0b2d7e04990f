"""A person's own pace in words, with the lines for the trip file."""

import tomllib

from hushwalk.morning.walked_tracks import PaceReport
from hushwalk.site.settings import WalkerSettings
from hushwalk.walking.own_pace import LearntFactor, OwnPace
from hushwalk.wording.pace_words import pace_words


def factor(value: float) -> LearntFactor:
    return LearntFactor(value, value - 0.1, value + 0.1, 2400.0)


def test_the_lines_are_those_of_a_trip_file() -> None:
    pace = OwnPace(factor(1.18), factor(1.31), None, factor(0.97), 0.12, 9400.0)
    said = pace_words(PaceReport(WalkerSettings(), pace, 2, 1, 300.0, 2))
    lines = tomllib.loads(said[said.index("[walker]") :])["walker"]
    assert lines == {
        "pace": "irmischer_clarke_off_path",
        "pace_factor": 1.18,
        "off_path_factor": 1.31,
        "dark_factor": 0.97,
        "reserve": 0.12,
    }
    assert "9.4 km walked in 2 tracks on 2 days" in said
    assert "1.18 times the published time (95 % between 1.08 and 1.28), from 2.4 km" in said
    assert "what height adds uphill: too little walked to say" in said
    assert "1 track without times" in said
    assert "0.3 km lie off the ground" in said
    WalkerSettings(**lines)


def test_nothing_is_put_where_nothing_was_learnt() -> None:
    said = pace_words(PaceReport(WalkerSettings(), OwnPace(None, None, None, None, None, 200.0), 1, 0, 0.0, 1))
    assert "[walker]" not in said
    assert "too little" in said
