"""How a plan stands when things go wrong, in sentences: delays, what to leave out, the best place left out.

The figures are worked out in morning/outlook.py.
"""

from hushwalk.morning.report import DelayLoss, NotVisited, Robustness
from hushwalk.wording.formats import percent

HARDLY = 0.005  # definition: what is written as 0 %


def robustness_words(robustness: Robustness | None) -> tuple[str, ...]:
    """Give one sentence each for the delays, the order of leaving out, and the best place left out."""
    if robustness is None:
        return ()
    return (
        *(_delay_words(delay, f"{robustness.back_by:%H:%M}") for delay in robustness.delays),
        left_out_order(robustness),
        *(() if robustness.not_visited is None else (_not_visited_words(robustness.not_visited),)),
    )


def left_out_order(robustness: Robustness) -> str:
    """Name all stops in the order of leaving them out."""
    stops = [one.stop for one in robustness.leave_out]
    return f"If time runs short, leave out{', in this order:' if len(stops) > 1 else ''} {', '.join(stops)}."


def _delay_words(delay: DelayLoss, back_by: str) -> str:
    what = f"{100 * delay.amount:.0f} % slower on foot" if delay.kind == "slower" else f"{delay.amount:.0f} min late"
    drop = f"; leave out {', '.join(delay.left_out)} to be back by {back_by}" if delay.left_out else ""
    if delay.lost < HARDLY:
        return f"{what}: hardly any male is lost{drop}."
    if delay.lost > 1 - HARDLY:
        return f"{what}: no time is left for a stop that hears a male{drop}."
    return f"{what}: {percent(delay.lost)} fewer males are heard{drop}."


def _not_visited_words(place: NotVisited) -> str:
    if place.lost is None:
        return f"The best place left out, {place.usng}, cannot be reached and left in time."
    if place.lost > 1 - HARDLY:
        return f"A stop as well at {place.usng}, the best place left out, would cost all males that the walk hears."
    if place.lost < HARDLY:
        return f"The best place left out, {place.usng}: a stop there as well would change hardly anything."
    return f"With a stop as well at {place.usng}, the best place left out, {percent(place.lost)} fewer males are heard."
