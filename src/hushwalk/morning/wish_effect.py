"""What wishes do to a walk, as frozen values; their words are wish_words.py's.

They are worked out in wishes.py and replan.py.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class WishEffect:
    """The walk as wished beside the best walk found without the wishes, from the same posts.

    Parameters
    ----------
    must : places that must be stops, and the names of these stops.
    must_not, without : places where no stop is, and stops of the plan that are left out.
    lines : how many lines nobody crosses.
    start : where one is set down; empty at the car.
    shorter_min : sooner back than by the promise [min].
    males, minutes : expected to be heard, and away from the car, on this walk.
    walked_twice, walked_twice_before : share of the way back that lies on the way out, on this walk and without the
        wishes, 0..1; None where another way back is not wished, or no such walk was found.
    males_before, minutes_before : without the wishes; None where no such walk was found.
    """

    must: tuple[tuple[str, str], ...]
    must_not: tuple[str, ...]
    without: tuple[str, ...]
    lines: int
    start: str
    shorter_min: int
    males: float
    minutes: float
    males_before: float | None
    minutes_before: float | None
    walked_twice: float | None = None
    walked_twice_before: float | None = None
