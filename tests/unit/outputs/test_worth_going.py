"""Whether a morning is worth going for: never for 0.3 males, below a plain walk or out of season."""

from dataclasses import replace

import pytest

from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.morning_verdict import Hindrance, Verdict
from hushwalk.morning.day_chances import DayChances, ExpectedDay, Spread
from hushwalk.morning.report import Noise, Report
from hushwalk.morning.warnings import MorningWarning, Trouble
from hushwalk.morning.worth_going import Against, Going, worth_going
from hushwalk.wording.going_words import going_sentence

NONE = Spread(0.0, 0.0, 0.0)
CALM = Verdict("go", 1.0, Hindrance.NONE, Conditions(), "none")


def judged(report: Report, *, males: float = 3.1, empty: float = 0.1, **changed: object) -> Report:
    chances = DayChances(300, (empty, 0.2, 0.2, 0.5 - empty), 0.6, 1.0, *(NONE,) * 7, 0.03, 0.9, 9.0)
    report = replace(report, males=replace(report.males, expected=males), expected=ExpectedDay(90.0, 180.0, chances))
    return replace(report, **{"verdict": CALM, **changed})


def test_a_good_morning_says_why_it_is_worth_going(report: Report) -> None:
    good = judged(report, trust=0.8)
    assert worth_going(good).going is Going.WORTH
    assert going_sentence(good) == (
        "Worth going. 3.1 males expected to be heard from the stops as planned (range 1.4 to 5.6, with year and "
        "weather as assumed); of days that are played, 10 % hear nothing and 60 % find a log; "
        "2.2 times the best plain walk; in range and season; the layers tell habitat apart by 80 %."
    )


@pytest.mark.parametrize(
    ("changed", "going", "against"),
    [
        ({"males": 0.3}, Going.NOT_WORTH, Against.NEXT_TO_NONE),
        ({"males": 0.8}, Going.DOUBTFUL, Against.FEW),
        ({"males": 1.2}, Going.DOUBTFUL, Against.NOT_ABOVE_PLAIN),
        ({"empty": 0.6}, Going.DOUBTFUL, Against.MOSTLY_EMPTY),
        ({"trust": 0.3}, Going.DOUBTFUL, Against.LITTLE_KNOWN),
        ({"verdict": replace(CALM, word="go, but")}, Going.DOUBTFUL, Against.SO_SO_WEATHER),
        ({"verdict": replace(CALM, word="stay in bed")}, Going.NOT_WORTH, Against.BAD_WEATHER),
        ({"warnings": (MorningWarning(Trouble.OUT_OF_SEASON, 0.1),)}, Going.NOT_WORTH, Against.OUT_OF_SEASON),
        ({"warnings": (MorningWarning(Trouble.OUT_OF_RANGE, 0.0),)}, Going.NOT_WORTH, Against.NO_BIRD),
        ({"warnings": (MorningWarning(Trouble.IN_WATER, 0.0),)}, Going.DOUBTFUL, Against.CAR),
    ],
)
def test_what_speaks_against_a_morning(
    report: Report, changed: dict[str, object], going: Going, against: Against
) -> None:
    bad = judged(report, **changed)
    found = worth_going(bad)
    assert (found.going, found.against[0]) == (going, against)
    assert going_sentence(bad).startswith("Doubtful: " if going is Going.DOUBTFUL else "Not worth this morning: ")


def test_traffic_at_half_of_the_stops_is_in_the_line(report: Report) -> None:
    loud = Noise(traffic_dba=55.0, traffic_takes=0.68)
    noisy = judged(report, stops=tuple(replace(stop, noise=loud) for stop in report.stops))
    n = len(report.stops)
    assert f"traffic takes half of the earshot or more at {n} of {n} stops. " in going_sentence(noisy)


def test_a_walk_under_way_or_shared_is_not_judged(report: Report) -> None:
    assert worth_going(report) is None
    assert going_sentence(report) is None
