"""What wishes do to a walk and what they cost, in sentences.

The facts are morning/wish_effect.py's.
"""

from hushwalk.morning.walked_twice import APART, NEAR_M
from hushwalk.morning.wish_effect import WishEffect
from hushwalk.text import counted

ALIKE = 0.05  # judgement: males are told to one place


def wish_sentences(effect: WishEffect | None) -> tuple[str, ...]:
    """Say what was wished and what it costs in males and minutes; nothing where nothing was wished."""
    if effect is None:
        return ()
    wished = [
        *(f"{stop} is the stop that must be at {place}" for place, stop in effect.must),
        *(f"no stop is at {place}" for place in effect.must_not),
        *([f"without {', '.join(effect.without)}"] if effect.without else []),
        *([f"nobody crosses {counted(effect.lines, 'line')} drawn by hand"] if effect.lines else []),
        *([f"you start at {effect.start} and walk to the car"] if effect.start else []),
        *([f"back {effect.shorter_min} min sooner"] if effect.shorter_min else []),
        *([] if effect.walked_twice is None else [_way_back(effect.walked_twice, effect.walked_twice_before)]),
    ]
    return (f"As you decided: {'; '.join(wished)}.", _cost(effect))


def way_back_words(share: float) -> str:
    """Say how much of the way back is the way out; no walk may have another."""
    lead = "the way back is another than the way out" if share <= APART else "no other way back was found"
    return f"{lead}: {share:.0%} of it lies within {NEAR_M:.0f} m of the way out"


def _way_back(share: float, before: float | None) -> str:
    return way_back_words(share) + ("" if before is None else f", {before:.0%} without the wish")


def _cost(effect: WishEffect) -> str:
    if effect.males_before is None or effect.minutes_before is None:
        return "What that costs is not known: no walk was found without it."
    lost, longer = effect.males_before - effect.males, effect.minutes - effect.minutes_before
    males = f"{abs(lost):.1f} males {'fewer' if lost > 0 else 'more'}" if abs(lost) >= ALIKE else "as many males"
    minutes = f"{abs(longer):.0f} min {'longer' if longer > 0 else 'shorter'}"
    whole = f"{effect.males:.1f} males in {effect.minutes:.0f} min instead of {effect.males_before:.1f} in "
    return f"That means {males}, and the walk is {minutes}: {whole}{effect.minutes_before:.0f} min."
