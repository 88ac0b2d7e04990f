"""Males step by step in words, the same for areas, check, plan, page and sheet.

The numbers are those of morning/males_steps.py.
"""

from hushwalk.morning.males_steps import MalesSteps
from hushwalk.wording.evening_words import of_its_hours
from hushwalk.wording.formats import percent

NEARLY_ALL = 0.98  # judgement: nobody tells them from all


def ground_step(steps: MalesSteps) -> str:
    """Say how many live on the ground, and how many of them near enough."""
    low, high = steps.on_ground * steps.low_share, steps.on_ground * steps.high_share
    near = "all" if steps.in_earshot > NEARLY_ALL * steps.on_ground else f"{steps.in_earshot:.1f}"
    return (
        f"{steps.on_ground:.1f} males live on the ground of the trip ({low:.1f} to {high:.1f} as published densities "
        f"go), {near} of them in earshot of places from which you are back in time"
    )


def display_step(in_earshot: float, participation: float) -> str:
    """Say how many of those in earshot display on such a morning."""
    return f"{percent(participation)} of those in earshot display on such a morning: {in_earshot * participation:.1f}"


def heard_step(heard: float) -> str:
    """Say how many of those that display a walk hears, and why it is fewer."""
    why = "it comes near some of them only, for minutes, and a display carries only so far"
    return f"the walk hears {heard:.1f} of them: {why}"


def steps_sentences(steps: MalesSteps | None, heard: float | None, *, evening: bool = False) -> tuple[str, ...]:
    """Give the steps, one sentence each; nothing where they are withheld.

    Parameters
    ----------
    steps : before a walk is chosen.
    heard : males expected to be heard on the walk; None where there is none yet.
    evening : whether the walk is one of the evening.

    Returns
    -------
    tuple of str
    """
    if steps is None:
        return ()
    last = "`hushwalk plan` says how many of them a walk hears" if heard is None else heard_step(heard)
    said = (ground_step(steps), display_step(steps.in_earshot, steps.participation), last)
    return tuple(of_its_hours(f"{words[0].upper()}{words[1:]}.", evening=evening) for words in said)
