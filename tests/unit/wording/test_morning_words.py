"""A planned morning in sentences."""

from datetime import date

import pytest

from hushwalk.morning.plain_walk import PlainWalkKind
from hushwalk.morning.report import DisplayChance, Noise, PlainWalk, Proof
from hushwalk.morning.warnings import MorningWarning, Trouble
from hushwalk.wording.morning_words import (
    display_sentence,
    noise_words,
    plain_walk_sentence,
    proof_words,
)
from hushwalk.wording.warning_words import warning_sentence


@pytest.mark.parametrize(
    ("worth", "bound", "words"),
    [
        (1.0, 1.0, "proven best for the places considered as stops"),
        (99.0, 100.0, "within 1 % of the best possible for the places considered as stops"),
        (98.97, 100.0, "within 1.1 % of the best possible for the places considered as stops"),
        (0.0, 5.0, "within 100 % of the best possible for the places considered as stops"),
        (99.9999, 100.0, "within 0.01 % of the best possible for the places considered as stops"),
    ],
)
def test_a_proof_says_no_less_than_the_gap(worth: float, bound: float, words: str) -> None:
    assert proof_words(Proof(bound, (bound - worth) / bound, 3, best=worth == bound)) == words


def test_a_plan_without_a_proof_says_so() -> None:
    assert proof_words(Proof(float("inf"), 1.0, 3)) == "no proof was asked for"
    assert proof_words(Proof(float("inf"), 1.0, 3, withheld=True)) == "left out for sharing"


def test_wind_and_water_are_what_one_listens_over() -> None:
    assert noise_words(Noise()) == "nothing but the wood itself"
    assert noise_words(Noise(2.0, 41.6)) == "wind 2.0 m/s at the ear and running water, about 42 dB(A)"


def test_a_plain_walk_is_told_with_its_males_and_none_with_its_reason() -> None:
    walk = PlainWalk(PlainWalkKind.BY_TRAIL, "north", 5.0, 300.0, 7, 2.34, 4100.0)
    assert plain_walk_sentence(walk) == (
        "out and back by trail and road to the north, 5 min every 300 m, 2.3 males expected"
    )
    assert plain_walk_sentence(PlainWalk(PlainWalkKind.NONE_FITS)).startswith("no plain walk of even one stop")


def test_the_three_parts_of_availability_are_told_with_their_product() -> None:
    assert "together 22 %" in display_sentence(DisplayChance(0.5, 0.7, 0.64, 0.224))


def test_a_warning_names_the_date_and_the_peak_where_there_is_one() -> None:
    late = MorningWarning(Trouble.OUT_OF_SEASON, 0.004, date(2027, 7, 4), date(2027, 5, 2))
    assert warning_sentence(late).startswith("Out of season: on 04 July 0%")
    assert "about 02 May" in warning_sentence(late)
    south = MorningWarning(Trouble.OUT_OF_SEASON, 0.0, date(2027, 10, 20))
    assert "other side of the equator" in warning_sentence(south)
    assert warning_sentence(MorningWarning(Trouble.CUT_OFF, 0.12)).startswith("Cut off: from the car one comes to 12%")
