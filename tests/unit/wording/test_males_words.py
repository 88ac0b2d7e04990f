"""Males step by step: each number is a part of the one before, with its own name."""

import re

from hushwalk.morning.males_steps import MalesSteps
from hushwalk.wording.males_words import steps_sentences

STEPS = MalesSteps(on_ground=22.0, in_earshot=14.0, participation=0.6, low_share=0.4, high_share=2.5)


def test_every_step_has_its_number_once_and_its_name() -> None:
    ground, display, heard = steps_sentences(STEPS, 2.6)
    assert ground.startswith(
        "22.0 males live on the ground of the trip (8.8 to 55.0 as published densities go), 14.0 of"
    )
    assert display == "60 % of those in earshot display on such a morning: 8.4."
    assert heard.startswith("The walk hears 2.6 of them: ")
    numbers = [float(n) for n in re.findall(r"\b\d+\.\d\b", ground + display + heard)]
    assert [n for n in numbers if n not in {8.8, 55.0}] == [22.0, 14.0, 8.4, 2.6]


def test_before_a_walk_is_chosen_the_plan_is_named_and_nothing_withheld_is_said() -> None:
    assert steps_sentences(STEPS, None)[-1] == "`hushwalk plan` says how many of them a walk hears."
    assert steps_sentences(None, 2.0) == ()


def test_what_is_nearly_all_is_all() -> None:
    steps = MalesSteps(10.0, 9.99, 0.6, 0.4, 2.5)
    assert ", all of them in earshot" in steps_sentences(steps, None)[0]
