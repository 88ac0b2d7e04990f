"""What wishes cost, in words."""

from dataclasses import replace

from hushwalk.morning.wish_effect import WishEffect
from hushwalk.wording.wish_words import wish_sentences

EFFECT = WishEffect(
    must=(("47.38, -90.34", "P05"),),
    must_not=("47.40, -90.33",),
    without=(),
    lines=1,
    start="",
    shorter_min=60,
    males=2.1,
    minutes=150.0,
    males_before=2.7,
    minutes_before=206.0,
)


def test_nothing_wished_says_nothing() -> None:
    assert wish_sentences(None) == ()


def test_every_wish_is_named_and_the_cost_is_in_males_and_minutes() -> None:
    wished, cost = wish_sentences(EFFECT)
    assert "P05 is the stop that must be at 47.38, -90.34; no stop is at 47.40, -90.33" in wished
    assert "nobody crosses 1 line drawn by hand; back 60 min sooner" in wished
    assert cost == (
        "That means 0.6 males fewer, and the walk is 56 min shorter: 2.1 males in 150 min instead of 2.7 in 206 min."
    )


def test_a_stop_that_is_left_out_may_cost_nothing() -> None:
    wished, cost = wish_sentences(
        replace(EFFECT, must=(), must_not=(), lines=0, shorter_min=0, without=("P08",), males=2.7)
    )
    assert wished == "As you decided: without P08."
    assert cost.startswith("That means as many males")


def test_an_unknown_cost_is_said_to_be_unknown() -> None:
    assert "not known" in wish_sentences(replace(EFFECT, males_before=None, minutes_before=None))[1]
