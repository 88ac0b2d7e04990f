"""What the field notes change in a plan, as frozen values; their words are notes_effect_words.py's.

They are worked out in heeded_notes.py.
"""

from dataclasses import dataclass
from datetime import date

from hushwalk.birds.bird_report import SeasonMale


@dataclass(frozen=True, eq=False)
class MaleLeft:
    """A male that is known, and how much of him is left to learn by listening: 0 for nothing, 1 for all."""

    male: SeasonMale
    left: float


@dataclass(frozen=True)
class LogPassed:
    """A leg that passes a noted log nearer than the stand-off, on a trail: from stop to stop, and how near [m]."""

    log: str
    start: str
    end: str
    distance_m: float


@dataclass(frozen=True)
class DensityUpdate:
    """Males heard against those that the model expected to be heard, and what follows for all of them.

    Parameters
    ----------
    expected : males that the model expected to be heard on the mornings noted.
    heard : different males that were.
    factor, low, high : true density over the model's, and its 90 % interval.
    males_before : on the ground of the trip by the model alone.
    males_unheard : of the updated number, those that would not have been heard so far.
    """

    expected: float
    heard: int
    factor: float
    low: float
    high: float
    males_before: float
    males_unheard: float


@dataclass(frozen=True, eq=False)
class NotesEffect:
    """What the notes change.

    Parameters
    ----------
    days, stops : mornings with listening, and stops that lie on the ground of the trip.
    males : that are known, by number.
    density : None where nobody listened on the ground of the trip.
    stand_off_m : kept to logs and probable places.
    logs : noted logs that are kept off; one without droppings is none.
    no_stop_ha, no_leg_ha : where nobody stands, and where no leg leaves a trail, because of them [ha].
    this_morning : whether the notes hold the very morning that is planned.
    passed : noted logs that a trail leads past.
    """

    days: tuple[date, ...]
    stops: int
    males: tuple[MaleLeft, ...]
    density: DensityUpdate | None
    stand_off_m: float
    logs: tuple[str, ...]
    no_stop_ha: float
    no_leg_ha: float
    this_morning: bool
    passed: tuple[LogPassed, ...] = ()
