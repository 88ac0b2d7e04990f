"""Delays and what to leave out, in sentences."""

from datetime import UTC, datetime

from hushwalk.morning.report import DelayLoss, LeaveOut, NotVisited, Robustness
from hushwalk.wording.robustness_words import robustness_words

BACK = datetime(2027, 4, 24, 9, 30, tzinfo=UTC)


def test_each_fact_is_one_sentence() -> None:
    words = robustness_words(
        Robustness(
            BACK,
            (DelayLoss("slower", 0.2, 0.15, ("P16", "P17")), DelayLoss("late", 20.0, 0.0, ())),
            tuple(LeaveOut(f"P0{k}", 0.1 * k) for k in range(1, 6)),
            NotVisited("15T YN 017 518", 0.03),
        )
    )
    assert words == (
        "20 % slower on foot: 15 % fewer males are heard; leave out P16, P17 to be back by 09:30.",
        "20 min late: hardly any male is lost.",
        "If time runs short, leave out, in this order: P01, P02, P03, P04, P05.",
        "With a stop as well at 15T YN 017 518, the best place left out, 3 % fewer males are heard.",
    )


def test_what_takes_everything_is_not_told_in_per_cent() -> None:
    one = Robustness(
        BACK,
        (DelayLoss("slower", 0.2, 1.0, ("P14",)), DelayLoss("late", 20.0, 0.999, ())),
        (LeaveOut("P14", 0.4),),
        NotVisited("15T YN 017 518", 1.0),
    )
    assert robustness_words(one) == (
        "20 % slower on foot: no time is left for a stop that hears a male; leave out P14 to be back by 09:30.",
        "20 min late: no time is left for a stop that hears a male.",
        "If time runs short, leave out P14.",
        "A stop as well at 15T YN 017 518, the best place left out, would cost all males that the walk hears.",
    )


def test_a_place_that_cannot_be_reached_and_a_walk_without_stops() -> None:
    assert robustness_words(None) == ()
    none = Robustness(BACK, (), (LeaveOut("P01", 1.0),), NotVisited("15T YN 017 518", None))
    assert robustness_words(none)[-1].endswith("cannot be reached and left in time.")
