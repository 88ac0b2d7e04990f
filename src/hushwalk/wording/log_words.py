"""What speaks for or against a log and its sides, in words.

What was observed and what it is worth is the logs room's business.
"""

from collections.abc import Iterable

from hushwalk.birds.bird_report import ScoredLog
from hushwalk.logs.observations import UNKNOWN, Criterion, Observation, Observed
from hushwalk.logs.sectors import SECTOR_DEG, SECTORS
from hushwalk.logs.sides import Side
from hushwalk.wording.measures import as_noted

WORDS = {
    Observed.DROPPINGS_NONE: "droppings: none",
    Observed.DROPPINGS_FEW: "droppings: few",
    Observed.DROPPINGS_OLD: "droppings: old pile",
    Observed.DROPPINGS_FRESH: "droppings: fresh pile",
    Observed.STANCE_WORN: "stance worn bare",
    Observed.STANCE_NOT_WORN: "no worn stance",
    Observed.LITTER_BLOWN: "leaves blown clear",
    Observed.LITTER_LIES: "leaves lie",
    Observed.HEARD_THERE: "a bird of this log was heard",
    Observed.COVER: "cover {value:.0%} from knee to head",
    Observed.FLOOR_OPEN: "floor open to {span}",
    Observed.TOP_HEIGHT: "top {span} above the ground",
    Observed.TOP_LOW: "top {span} above the ground, low for a clear view",
    Observed.LOG_SLOPE: "ground at the log slopes {value:g}°",
    Observed.FILM_FROM: "film from the {sector}",
    Observed.FACING_UNKNOWN: "where he faces is not known",
    Observed.FACES_CAMERA: "he faces the camera",
    Observed.THREE_QUARTER_FRONT: "three-quarter front",
    Observed.FROM_SIDE: "from the side",
    Observed.FROM_BEHIND: "from behind",
    Observed.TAIL_ONLY: "tail only",
    Observed.FRONT_LIGHT: "front light {value:.0f} min",
    Observed.SIDE_LIGHT: "side light {value:.0f} min",
    Observed.BACK_LIGHT: "back light {value:.0f} min",
    Observed.NO_SUN: "no sun on the log: soft light",
    Observed.BACKDROP_UNKNOWN: "backdrop not noted",
    Observed.BACKDROP: "backdrop {span} behind the log",
    Observed.ROOM_UNKNOWN: "room for a hide not noted",
    Observed.NO_ROOM: "no room for a hide was noted",
    Observed.ROOM_TOO_NEAR: "room at {span} is too near the bird",
    Observed.ROOM: "room for a hide up to {span}",
    Observed.HIDE_STANDS: "the hide stands at {span}",
    Observed.VIEW_OPEN: "view {value:.0%} open",
    Observed.GROUND_UNKNOWN: "ground not known",
    Observed.GROUND_BLOCKED: "water or closed ground: no hide here",
    Observed.HIDE_SLOPE: "ground slopes {value:.0f}°",
    Observed.LENS_LEVEL: "level lens",
    Observed.LENS_DOWN: "lens looks down {value:.0f}°",
    Observed.LENS_UP: "lens looks up {value:.0f}°",
    Observed.UNSEEN: "reached unseen",
    Observed.PARTLY_SEEN: "partly in his sight",
    Observed.COME_FROM_BEHIND: "you come from behind the hide",
    Observed.COME_FROM_FLANK: "you come from beside",
    Observed.COME_ROUND: "you must go round the log, wide",
    Observed.DOWNWIND: "downwind: his drum carries to you",
    Observed.UPWIND: "upwind: every rustle drifts to the log",
}


def observation_words(fact: Observation) -> str:
    """Say one fact.

    Examples
    --------
    >>> observation_words(Observation(Observed.BACKDROP, 12.0))
    'backdrop 12 m behind the log'
    """
    sector = SECTORS[round(fact.value / SECTOR_DEG) % 8] if fact.what is Observed.FILM_FROM else ""
    return WORDS[fact.what].format(value=fact.value, span=as_noted(fact.value), sector=sector)


def criterion_words(one: Criterion) -> str:
    """Say what a side is scored by: two ways that he may face with an "or", minutes of light one after the other."""
    return (" or " if one.name == "facing" else ", ").join(observation_words(fact) for fact in one.observed)


def side_words(side: Side, *, known_only: bool = False) -> str:
    """Say all that speaks for or against a side; with ``known_only`` what nobody noted is left out."""
    shown = [one for one in side.criteria if not (known_only and any(fact.what in UNKNOWN for fact in one.observed))]
    return "; ".join(words for one in shown if (words := criterion_words(one)))


def log_reasons(log: ScoredLog) -> tuple[str, ...]:
    """Say when a log was seen, and all that speaks for or against it; what nobody noted is left out."""
    return (f"seen {log.seen:%Y-%m-%d}", *_known(log.observed))


def _known(facts: Iterable[Observation]) -> Iterable[str]:
    return (observation_words(fact) for fact in facts if fact.what not in UNKNOWN)
