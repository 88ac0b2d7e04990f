"""Decisions between two logs that differ in one thing."""

from dataclasses import replace

import pytest

from hushwalk.logs.log_worth import LogEvidence, Part, worth_of
from hushwalk.logs.use import LogSigns, use_of

GOOD = LogEvidence(minutes=120.0, use=use_of(LogSigns("fresh pile")), side=0.8, walk_min=25.0, neighbour_m=200.0)


@pytest.mark.parametrize(
    "change",
    [
        {"use": use_of(LogSigns("none"))}, {"use": use_of(LogSigns("old pile"))}, {"side": 0.4}, {"minutes": 40.0},
        {"walk_min": 90.0}, {"fords": 1}, {"wet_m": 300.0}, {"seen": True}, {"hide_m": 10.0}, {"people_m": 40.0},
        {"lesser": True}, {"neighbour_m": 900.0},
    ],
)  # fmt: skip
def test_each_thing_alone_puts_a_log_behind(change: dict[str, object]) -> None:
    assert worth_of(replace(GOOD, **change)).minutes < worth_of(GOOD).minutes  # type: ignore[arg-type]


def test_a_log_without_droppings_is_far_behind_a_fresh_one() -> None:
    none = worth_of(replace(GOOD, use=use_of(LogSigns("none"))))
    assert none.minutes < worth_of(GOOD).minutes / 10


def test_a_log_of_unknown_facing_across_a_ford_does_not_beat_the_known_one() -> None:
    """A third more light does not make up for a worse side, a stream to wade and a longer walk."""
    known = replace(GOOD, use=use_of(LogSigns()))
    far = replace(known, minutes=160.0, side=0.65, walk_min=49.0, fords=1)
    assert worth_of(known).minutes > worth_of(far).minutes


def test_the_parts_are_shown_and_their_product_is_the_worth() -> None:
    got = worth_of(replace(GOOD, fords=2, walk_min=40.0))
    assert got.parts[Part.WAY] == pytest.approx(0.9 * 0.8**2)
    assert got.parts[Part.CALM] == got.parts[Part.MALE] == 1.0
    assert got.minutes == pytest.approx(120 * 0.8 * 0.8 * 0.9 * 0.64)


def test_signs_multiply_the_odds() -> None:
    """A fresh pile is four to one; a worn stance doubles that to eight to one; one who is heard makes it forty."""
    assert use_of(LogSigns("fresh pile", worn=True)) == pytest.approx(8 / 9)
    assert use_of(LogSigns("fresh pile", worn=True, heard=True)) == pytest.approx(40 / 41)
    assert use_of(LogSigns()) == pytest.approx(1 / 3)
