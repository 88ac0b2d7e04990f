"""What may be wrong with a note that was kept all the same, as kinds and figures.

Who finds it is plausibility.py's and north.py's business; the sentences are wording/note_words.py's.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import Enum

from hushwalk.notes.notes import LonLat


class WarningKind(Enum):
    """What may be wrong with a note that was kept all the same."""

    MODEL_ENDS_SOON = "the magnetic model ends with the year that is the value"
    MODEL_ENDED = "the magnetic model has ended; the last one gives the declination to so many degrees"
    COMPASS_POOR = "in the caution zone of the magnetic model a needle is doubtful"
    COMPASS_USELESS = "in the blackout zone of the magnetic model a needle is useless"
    DECLINATION_UNSURE = "the declination is known to so many degrees only"
    FAR_FROM_CAR = "the place lies so many metres from the car"
    OFF_STOP = "the place lies so many metres from its stop of the plan"
    LOG_NAME_USED = "a log of that name lies so many metres from here; the stop is the next free name"
    OTHER_PLAN = "the stop is of a plan for another day"
    FAR_FROM_DAY = "the day lies so many days from that of the plan"
    STILL_TO_COME = "the moment is still to come by the clock of the machine"


@dataclass(frozen=True)
class NoteWarning:
    """One doubt about a note.

    Parameters
    ----------
    kind : what is doubtful.
    value : its figure, in the unit that the kind names.
    place : of the note, longitude and latitude [deg].
    stop : of the note.
    at : moment of the note.
    day : of the plan.
    """

    kind: WarningKind
    value: float = 0.0
    place: LonLat | None = None
    stop: str = ""
    at: datetime | None = None
    day: date | None = None
