"""The frozen bundle that outputs draw: everything is worked out, in words and numbers, nothing is left to compute.

How it is filled is story.py's story.
"""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from hushwalk.birds.bird_report import Detections
from hushwalk.grid.grid import Grid
from hushwalk.hearing.morning_verdict import Verdict
from hushwalk.site.country import Country
from hushwalk.site.norths import North
from hushwalk.site.place import Place
from hushwalk.site.settings import TripSettings
from hushwalk.types import FloatArray


@dataclass(frozen=True, eq=False)
class Stop:
    """One listening stop.

    Parameters
    ----------
    number : 1, 2, ... in walking order; spot.name is ``"P01"``, ``"P02"``, ...
    chance_any : chance to hear at least one male here, 0..1.
    males_expected : expected number of males heard here that no earlier stop has heard.
    listen_towards_deg : azimuth from true north of the bulk of them, or None where they lie all round.
    listen_towards_magnetic_deg : the same on a magnetic compass.
    earshot_m : median distance of the 50 % contour [m].
    earshot : rings of the 50 % contour, each of shape (k, 2) [m].
    noise : what there is to listen over, in words.
    why : reasons, one sentence each.
    latest_leave : the last moment to leave here and still be back in time by the bail-out path.
    bail_out_minutes : minutes straight back to the car by that path.
    wait_minutes : minutes waited there before listening begins; they are part of the time from arrive to leave.
    """

    number: int
    place: Place
    arrive: datetime
    leave: datetime
    chance_any: float
    males_expected: float
    listen_towards_deg: float | None
    listen_towards_magnetic_deg: float | None
    earshot_m: float
    earshot: tuple[FloatArray, ...] = field(repr=False)
    noise: str = ""
    why: tuple[str, ...] = ()
    latest_leave: datetime | None = None
    bail_out_minutes: float | None = None
    wait_minutes: float = 0.0


@dataclass(frozen=True, eq=False)
class Leg:
    """The walk between two spots. ``line_m`` has shape (k, 2), in walking order, on the report's grid."""

    start: str
    end: str
    line_m: FloatArray = field(repr=False)
    length_m: float
    climb_m: float
    descent_m: float
    depart: datetime
    arrive: datetime
    azimuth_deg: float
    magnetic_deg: float
    on_trail_share: float
    note: str = ""

    @property
    def minutes(self) -> float:
        """Walking time [min]."""
        return (self.arrive - self.depart).total_seconds() / 60


@dataclass(frozen=True)
class SunTimes:
    """The morning's light. None where the sun does not do it that day."""

    nautical_dawn: datetime | None
    civil_dawn: datetime | None
    sunrise: datetime | None
    moon: str = ""


@dataclass(frozen=True)
class Males:
    """Expected males heard: the figure planned with, its range, and both levels of evidence."""

    expected: float
    low: float
    high: float
    focal: float
    pessimistic: float


@dataclass(frozen=True)
class PlainWalk:
    """The same morning on evenly spaced stops along the best trail or straight walk."""

    words: str
    stops: int
    males_expected: float
    length_m: float
    line_m: FloatArray | None = field(default=None, repr=False, compare=False)

    @property
    def sentence(self) -> str:
        """The comparison in words; without a stop there is nothing to count."""
        return f"{self.words}, {self.males_expected:.1f} males expected" if self.stops else self.words


@dataclass(frozen=True)
class Proof:
    """How good the plan is: the best possible for these posts, rounding and minutes is not above ``bound``."""

    sentence: str
    bound: float
    gap: float
    posts: int


@dataclass(frozen=True)
class DelayLoss:
    """What a worse morning costs.

    Parameters
    ----------
    kind : ``"slower"`` on foot, or ``"late"`` to leave.
    amount : share of time that legs take longer, or minutes late [min].
    lost : share of the males that is lost, 0..1.
    left_out : stops to leave out to be back in time.
    """

    kind: Literal["slower", "late"]
    amount: float
    lost: float
    left_out: tuple[str, ...]


@dataclass(frozen=True)
class LeaveOut:
    """One stop of the order in which to leave stops out when time runs short.

    Parameters
    ----------
    stop : its name.
    males_lost : males expected that are lost once it and all before it are left out.
    """

    stop: str
    males_lost: float


@dataclass(frozen=True)
class NotVisited:
    """The most promising place that the walk leaves out.

    Parameters
    ----------
    usng : where it lies.
    lost : share of the males that a stop there as well would cost, 0..1; None if it cannot be reached and left in time.
    """

    usng: str
    lost: float | None


@dataclass(frozen=True)
class Robustness:
    """How the plan stands when things go wrong.

    Parameters
    ----------
    back_by : the promise.
    delays : what worse mornings cost.
    leave_out : every stop, in the order in which to leave it out.
    not_visited : the most promising place left out, if there is one.
    """

    back_by: datetime
    delays: tuple[DelayLoss, ...]
    leave_out: tuple[LeaveOut, ...]
    not_visited: NotVisited | None = None


@dataclass(frozen=True, eq=False)
class Report:
    """One planned morning, ready to be drawn."""

    title: str
    settings: TripSettings
    grid: Grid
    species: str
    car: Place
    depart: datetime
    back: datetime
    stops: tuple[Stop, ...]
    legs: tuple[Leg, ...]
    sun: SunTimes
    north: North
    males: Males
    plain: PlainWalk
    proof: Proof
    country: Country
    budget_curve: tuple[tuple[float, float], ...] = ()
    robustness: Robustness | None = None
    verdict: Verdict | None = None
    listening: tuple[str, ...] = ()
    notices: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    layer_stories: tuple[str, ...] = ()
    source_keys: tuple[str, ...] = ()
    bail_outs: tuple[tuple[str, FloatArray], ...] = ()
    detections: Detections | None = None

    @property
    def length_m(self) -> float:
        """Length of the whole walk [m]."""
        return sum(leg.length_m for leg in self.legs)

    @property
    def climb_m(self) -> float:
        """Climb of the whole walk [m]."""
        return sum(leg.climb_m for leg in self.legs)
