"""What a plan says about closing in on birds that are heard, as frozen values; its words are closing_words.py's.

The times are worked out in closing_times.py, ground and ways in quiet_ways.py, further stops in unheard_walk.py.
"""

from dataclasses import dataclass, field
from datetime import datetime
from enum import Enum

from hushwalk.morning.way_of_working import WayOfWorking
from hushwalk.site.place import Place
from hushwalk.types import FloatArray


@dataclass(frozen=True)
class LaterWithout:
    """One more stop to leave out, and how late a try may then begin.

    Parameters
    ----------
    stop : to be left out, with all named before it.
    latest : a try may begin until then; None where even that is too late.
    """

    stop: str
    latest: datetime | None


@dataclass(frozen=True)
class TryTimes:
    """When one may close in from a stop.

    Parameters
    ----------
    earliest : not before; listening is over by then and it is light enough to leave the trail.
    latest : a try of the usual length may begin until then, with all later stops still to come; None for never.
    latest_long : the same for the longest try.
    walk_on_by : back at the stop, and on from it, for all later stops; None where time is short already.
    without : later stops in the order in which to leave them out, each with the latest begin of a try then.
    """

    earliest: datetime
    latest: datetime | None
    latest_long: datetime | None
    walk_on_by: datetime | None
    without: tuple[LaterWithout, ...] = ()


class WaySide(Enum):
    """On which side of the line to a bird one goes in."""

    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, eq=False)
class WayIn:
    """A quiet way towards ground that probably holds a male, off the line to it.

    Parameters
    ----------
    side : of the line from the stop to the ground, seen from the stop.
    set_off_deg, set_off_magnetic_deg : bearing on which one leaves the stop, from true north and on the compass.
    line_m : shape (k, 2), in walking order [m].
    length_m, minutes : of the way.
    end : where to stop.
    face_deg, face_magnetic_deg : from there to the ground.
    crossing_deg : angle at which the lines from the stop and from the end cross on the ground.
    fords : streams to wade.
    """

    side: WaySide
    set_off_deg: float
    set_off_magnetic_deg: float
    line_m: FloatArray = field(repr=False)
    length_m: float
    minutes: float
    end: Place
    face_deg: float
    face_magnetic_deg: float
    crossing_deg: float
    fords: int


@dataclass(frozen=True, eq=False)
class SideStand:
    """A place for a second bearing to the same ground, well off the line and not nearer than the stand-off.

    Parameters
    ----------
    place : where to stand.
    length_m, minutes : of the way from the stop.
    go_deg, go_magnetic_deg : straight from the stop to it.
    face_deg, face_magnetic_deg : from there to the ground.
    crossing_deg : angle at which the two lines cross on the ground.
    """

    place: Place
    length_m: float
    minutes: float
    go_deg: float
    go_magnetic_deg: float
    face_deg: float
    face_magnetic_deg: float
    crossing_deg: float


@dataclass(frozen=True, eq=False)
class LikelyGround:
    """Ground in earshot of a stop that probably holds a male.

    Parameters
    ----------
    towards_deg, towards_magnetic_deg : from the stop, from true north and on the compass.
    distance_m : to the best of it.
    males : expected to be heard from that side, whether heard before or not.
    way_in : None where there is no quiet way.
    crossed_from : name of another stop of the plan whose line to the ground crosses well; None where there is none.
    side_stand : where no stop crosses it; None where there is no place for one either.
    """

    towards_deg: float
    towards_magnetic_deg: float
    distance_m: float
    males: float
    way_in: WayIn | None
    crossed_from: str | None
    side_stand: SideStand | None


@dataclass(frozen=True, eq=False)
class StopClosing:
    """What closing in asks at one stop: its name, its times (None where none is kept free), and the ground round it."""

    stop: str
    times: TryTimes | None
    grounds: tuple[LikelyGround, ...]


@dataclass(frozen=True)
class FurtherStop:
    """A stop beyond the plan: where, when, and the males that it adds."""

    place: Place
    arrive: datetime
    leave: datetime
    males: float


@dataclass(frozen=True)
class UnheardWalk:
    """How to walk on from the last stop where nothing was heard and all that was kept free is left.

    Parameters
    ----------
    after : name of the stop it goes on from.
    stops : further stops, in walking order; their names go on where the plan's end.
    males : that they add to those of the plan.
    back : at the car.
    """

    after: str
    stops: tuple[FurtherStop, ...]
    males: float
    back: datetime


@dataclass(frozen=True, eq=False)
class ClosingIn:
    """Closing in on this morning.

    Parameters
    ----------
    working : how the morning is worked and why.
    due : back at the car by then even when all that is kept free is used; it lies before the promise.
    better_before : later on a try reaches fewer males, for they display less as the morning goes on; it is offered all
        the same while there is time, for it still finds more logs than none.
    stops : one a stop of the plan.
    unheard : how to walk on where nothing is heard; None where nothing is kept free.
    """

    working: WayOfWorking
    due: datetime
    better_before: datetime
    stops: tuple[StopClosing, ...]
    unheard: UnheardWalk | None = None
