"""The card: how to read a bearing of a very low sound, how to close in, and what one never does.

Every figure on it comes from data/tables/field.toml, where its source stands.
"""

from hushwalk.notes.figures import figure
from hushwalk.wording.formats import percent
from hushwalk.wording.measures import distance, spans

EVERY_M = (50.0, 80.0)  # judgement: near enough that the next bearing differs, far enough to be worth the noise
LEAVES_AT_M = 50.0  # judgement: birds left their logs at 46 to 55 m (flush_north_dakota_2022)
READING = "How to read a bearing of a very low sound"
CLOSING = "How to close in"


def reading_lines() -> tuple[str, ...]:
    """Give the steps of reading a bearing."""
    low, high = figure("closing_in", "swing_low_deg"), figure("closing_in", "swing_high_deg")
    near, mid, far = (figure("distance", key) for key in ("near_m", "mid_m", "far_m"))
    step_m = figure("closing_in", "step_aside_m")
    first = f"turn until it is dead ahead; swing your head {low:.0f} to {high:.0f} degrees to each side while it lasts"
    return (
        f"First display: {first}. A still head cannot tell front from back.",
        "Second display: face it and read the compass.",
        f"Step {distance(step_m)} aside. Third display: read again. If the two differ much, call the bearing rough.",
        "Stand away from rock walls, big trunks, the water's edge and the car: they turn a low sound.",
        f"Distance: near, mid or far (about {spans(near, mid, far)}) and no more; an ear measures nothing.",
        "Write down each stand: stop or place, minutes listened, bird, bearing, near, mid or far. Silent stands too.",
    )


def closing_lines() -> tuple[str, ...]:
    """Give the steps of closing in."""
    near, mid, far = (percent(figure("closing_in", key)) for key in ("near_chance", "mid_chance", "far_chance"))
    usual, longest = (figure("closing_in", key) for key in ("try_min", "long_try_min"))
    stand, silent = figure("closing_in", "stand_min"), int(figure("closing_in", "silent_stands"))
    off, end_m = figure("closing_in", "off_line_deg"), figure("closing_in", "end_m")
    leaves_m = f"about {distance(LEAVES_AT_M)}"
    return (
        "Once it is light, go to the nearest of all birds heard so far; after the last stop, to those still untried.",
        f"A try reaches {near} of near, {mid} of mid, {far} of far ones.",
        f"It takes about {usual:.0f} min, {longest:.0f} at most. The timetable says until when it may begin.",
        f"Set off {off:.0f} degrees to one side of his bearing, so that the next bearing crosses it.",
        f"Walk only while he displays. Stand every {spans(*EVERY_M)}, at most {stand:.0f} min; note the new bearing.",
        f"Stop where you judge him {distance(end_m)} off. Nearer is your own act: he leaves his log at {leaves_m}.",
        f"Give up after {silent} silent stands of {stand:.0f} min. Leave the way you came.",
    )


def conduct_lines() -> tuple[str, ...]:
    """Give what one never does."""
    return (
        "Local law and the owner's leave come first. Never at a lek, and never where approach is forbidden.",
        "One try a male a morning; not two males' logs in one go; not where a hen was seen. No playback.",
    )
