"""The frozen bundle that outputs draw: everything is worked out, nothing is left to compute; its words are in wording.

How it is filled is story.py's story.
"""

from dataclasses import dataclass, field
from datetime import datetime
from math import isfinite
from typing import Literal

from hushwalk.birds.bird_report import Detections
from hushwalk.grid.grid import Grid
from hushwalk.hearing.listener import Evidence
from hushwalk.hearing.morning_verdict import Verdict
from hushwalk.hearing.spacing import SpacingAdvice
from hushwalk.morning.closing_in import ClosingIn
from hushwalk.morning.crossing_stop import CrossingStop
from hushwalk.morning.day_chances import ExpectedDay
from hushwalk.morning.males_steps import MalesSteps
from hushwalk.morning.notes_effect import NotesEffect
from hushwalk.morning.plain_walk import PlainWalkKind
from hushwalk.morning.sun_times import EveningHours, SunTimes
from hushwalk.morning.warnings import MorningWarning
from hushwalk.morning.wish_effect import WishEffect
from hushwalk.site.bird_range import BirdRegion
from hushwalk.site.cautions import SiteCaution
from hushwalk.site.country import Country
from hushwalk.site.norths import North
from hushwalk.site.passage import PassageFacts
from hushwalk.site.place import Place
from hushwalk.site.settings import TripSettings
from hushwalk.types import FloatArray


@dataclass(frozen=True)
class Noise:
    """What there is to listen over; None where it takes nothing.

    Parameters
    ----------
    wind_ms : wind at the ear [m/s].
    water_dba : running water [dB(A)].
    traffic_dba : traffic of busy roads, as distance alone lowers it [dB(A)].
    traffic_takes : share of the distance at which half are heard that the traffic takes, 0..1.
    """

    wind_ms: float | None = None
    water_dba: float | None = None
    traffic_dba: float | None = None
    traffic_takes: float = 0.0


@dataclass(frozen=True)
class StopReasons:
    """Why one stops at a place.

    Parameters
    ----------
    heard : males expected there, whether heard before or not.
    minutes : of listening [min].
    new : males expected that no earlier stop has heard.
    good_cover : labels of the good cover in earshot, or an empty text.
    by_trail : whether a trail is beside it.
    """

    heard: float
    minutes: float
    new: float
    good_cover: str
    by_trail: bool


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
    noise : what there is to listen over; None where it is withheld.
    reasons : why one stops there; None where it is withheld.
    latest_leave : the last moment to leave here and still be back in time by the bail-out path.
    bail_out_minutes : minutes straight back to the car by that path.
    wait_minutes : minutes waited there before listening begins; they are part of the time from arrive to leave.
    until_light_minutes : minutes that one stays on after listening, until it is light enough to leave the trail.
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
    noise: Noise | None = None
    reasons: StopReasons | None = None
    latest_leave: datetime | None = None
    bail_out_minutes: float | None = None
    wait_minutes: float = 0.0
    until_light_minutes: float = 0.0


@dataclass(frozen=True, eq=False)
class Leg:
    """The walk between two spots.

    Parameters
    ----------
    line_m : shape (k, 2), in walking order, on the report's grid [m].
    on_trail_share : share on trails and roads, 0..1; None where the way is withheld.
    fords, bridges : streams to wade off trails, and streams crossed on the trail.
    wet_m : through wet ground off trails, where feet get wet [m].
    """

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
    on_trail_share: float | None
    fords: int = 0
    bridges: int = 0
    wet_m: float = 0.0

    @property
    def minutes(self) -> float:
        """Walking time [min]."""
        return (self.arrive - self.depart).total_seconds() / 60


@dataclass(frozen=True)
class Males:
    """Expected males heard: the mean over the levels of evidence planned with, its range, and each level."""

    expected: float
    low: float
    high: float
    focal: float
    middle: float
    pessimistic: float
    steps: MalesSteps | None = None


@dataclass(frozen=True)
class PlainWalk:
    """The same morning on evenly spaced stops along the best trail or straight walk.

    Parameters
    ----------
    kind : which way, or why there is none.
    towards : the side it leads to, such as ``"north-east"``.
    dwell_min, spacing_m : at each stop [min], and between stops [m].
    stops : how many; 0 where there is no walk.
    males_expected, length_m : of the walk; its line has shape (k, 2) [m].
    """

    kind: PlainWalkKind
    towards: str = ""
    dwell_min: float = 0.0
    spacing_m: float = 0.0
    stops: int = 0
    males_expected: float = 0.0
    length_m: float = 0.0
    line_m: FloatArray | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True)
class Proof:
    """How good the plan is.

    Parameters
    ----------
    bound : the best possible for these posts, rounding and minutes is not above it; infinite without a proof.
    gap : how far the best possible could lie above the plan, as a share of the bound, 0..1.
    posts : it holds for.
    best : whether the plan is the best there is, to rounding.
    of_bouts : the part of the gap that comes from bouts: the bound counts stands as if they did not depend on each
        other, the plan does not.
    withheld : whether it was taken out for sharing.
    """

    bound: float
    gap: float
    posts: int
    best: bool = False
    of_bouts: float = 0.0
    withheld: bool = False

    @property
    def made(self) -> bool:
        """Whether a proof was asked for."""
        return isfinite(self.bound)


@dataclass(frozen=True)
class DisplayChance:
    """Chance of something to hear, each the mean over the stops, 0..1.

    Parameters
    ----------
    participation : that a male displays at all this morning.
    hour_factor : how active the hour is against the best.
    cue : that a displaying male displays in the minutes of a stop.
    together : all three.
    evening : whether the stops are those of an evening.
    """

    participation: float
    hour_factor: float
    cue: float
    together: float
    evening: bool = False


@dataclass(frozen=True)
class EvidenceLevel:
    """One level of evidence on how far one hears.

    Parameters
    ----------
    evidence : which.
    weight : that the plan gives it; the weights of all levels sum to 1.
    earshot_m : distance at which half are heard over level leafless hardwood [m].
    """

    evidence: Evidence
    weight: float
    earshot_m: float


@dataclass(frozen=True)
class ListeningOutlook:
    """What the listening rests on.

    Parameters
    ----------
    display : chance of something to hear; None without a stop.
    levels : of evidence, from the farthest hearing to the nearest.
    spacing : how far apart to stop.
    """

    display: DisplayChance | None
    levels: tuple[EvidenceLevel, ...]
    spacing: SpacingAdvice


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
    """One planned morning, ready to be drawn.

    Parameters
    ----------
    warnings : what makes the plan doubtful although every layer is sound.
    notices : what should be known of the layers.
    trust : how far the layers tell habitat apart, 0..1.
    evening : what is taken for granted of the hours before sunset; None for a morning.
    notes_effect, wish_effect : what field notes and wishes change; None where there are none, or the walk is shared.
    start : where one is set down; None at the car.
    closing, expected : how the day is worked, and what to expect of it; None where the walk is under way or shared.
    passage, region : what is known of where one may walk; of the species card, by which the ground is scored.
    males_passed : displaying males expected within 50 m of the legs, before one closes in; None where withheld.
    not_stood : stops of the plan under way that nobody may stand at by today's layers and notes.
    crossings : stops of the same minutes as those of a second person; none where one is alone.
    shared_grid_m : cells that every place was moved to so that it may be shown to others [m]; None for the real plan.
    """

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
    listening: ListeningOutlook | None = None
    warnings: tuple[MorningWarning, ...] = ()
    notices: tuple[str, ...] = ()
    trust: float = 1.0
    passage: PassageFacts | None = None
    region: BirdRegion | None = None
    assumptions: tuple[str, ...] = ()
    cautions: tuple[SiteCaution, ...] = ()
    layer_stories: tuple[str, ...] = ()
    source_keys: tuple[str, ...] = ()
    bail_outs: tuple[tuple[str, FloatArray], ...] = ()
    start: Place | None = None
    detections: Detections | None = None
    notes_effect: NotesEffect | None = None
    wish_effect: WishEffect | None = None
    closing: ClosingIn | None = None
    expected: ExpectedDay | None = None
    males_passed: float | None = None
    not_stood: tuple[str, ...] = ()
    shared_grid_m: float | None = None
    evening: EveningHours | None = None
    crossings: tuple[CrossingStop, ...] = ()

    @property
    def back_at_latest(self) -> datetime:
        """When one is back with all that is kept for closing in used; the planned time where nothing is kept."""
        kept = self.closing is not None and self.closing.working.kept_free_s > 0
        return self.closing.due if self.closing is not None and kept else self.back

    @property
    def length_m(self) -> float:
        """Length of the whole walk [m]."""
        return sum(leg.length_m for leg in self.legs)

    @property
    def climb_m(self) -> float:
        """Climb of the whole walk [m]."""
        return sum(leg.climb_m for leg in self.legs)
