"""What speaks for or against a log or a side of it, as facts: what was observed, and a figure.

The sentences are wording/log_words.py's business.
"""

import math
from dataclasses import dataclass
from enum import StrEnum


class Observed(StrEnum):
    """What was observed of a log or of a side of it; the figure that goes with it stands behind."""

    DROPPINGS_NONE = "droppings none"
    DROPPINGS_FEW = "droppings few"
    DROPPINGS_OLD = "droppings old"
    DROPPINGS_FRESH = "droppings fresh"
    STANCE_WORN = "stance worn"
    STANCE_NOT_WORN = "stance not worn"
    LITTER_BLOWN = "litter blown"
    LITTER_LIES = "litter lies"
    HEARD_THERE = "heard there"
    COVER = "cover"  # share 0..1
    FLOOR_OPEN = "floor open"  # m
    TOP_HEIGHT = "top height"  # m
    TOP_LOW = "top low"  # m
    LOG_SLOPE = "log slope"  # deg
    FILM_FROM = "film from"  # azimuth, deg
    FACING_UNKNOWN = "facing unknown"
    FACES_CAMERA = "faces camera"
    THREE_QUARTER_FRONT = "three-quarter front"
    FROM_SIDE = "from side"
    FROM_BEHIND = "from behind"
    TAIL_ONLY = "tail only"
    FRONT_LIGHT = "front light"  # min
    SIDE_LIGHT = "side light"  # min
    BACK_LIGHT = "back light"  # min
    NO_SUN = "no sun"
    BACKDROP_UNKNOWN = "backdrop unknown"
    BACKDROP = "backdrop"  # m
    ROOM_UNKNOWN = "room unknown"
    NO_ROOM = "no room"
    ROOM_TOO_NEAR = "room too near"  # m
    ROOM = "room"  # m
    HIDE_STANDS = "hide stands"  # m
    VIEW_OPEN = "view open"  # share 0..1
    GROUND_UNKNOWN = "ground unknown"
    GROUND_BLOCKED = "ground blocked"
    HIDE_SLOPE = "hide slope"  # deg
    LENS_LEVEL = "lens level"
    LENS_DOWN = "lens down"  # deg
    LENS_UP = "lens up"  # deg
    UNSEEN = "unseen"
    PARTLY_SEEN = "partly seen"
    COME_FROM_BEHIND = "come from behind"
    COME_FROM_FLANK = "come from flank"
    COME_ROUND = "come round"
    DOWNWIND = "downwind"
    UPWIND = "upwind"


UNKNOWN = frozenset(
    {Observed.FACING_UNKNOWN, Observed.BACKDROP_UNKNOWN, Observed.ROOM_UNKNOWN, Observed.GROUND_UNKNOWN}
)
"""What nobody noted."""
NO_HIDE = frozenset({Observed.NO_ROOM, Observed.ROOM_TOO_NEAR, Observed.GROUND_BLOCKED})
"""Why no hide can stand on a side."""


@dataclass(frozen=True)
class Observation:
    """One fact; NaN where it has no figure."""

    what: Observed
    value: float = math.nan


@dataclass(frozen=True)
class Criterion:
    """One thing that a log or a side is scored by: its name, its score 0..1, and what was observed."""

    name: str
    score: float
    observed: tuple[Observation, ...] = ()
