"""The frozen bundle of filming sessions that words and sheets are made from: nothing is left to compute.

How it is filled is story.py's business.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from hushwalk.filming.bird_parts import BirdPart
from hushwalk.filming.crowns import Crowns
from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.framing import Framing, Room
from hushwalk.filming.log_light import Chance, Shot
from hushwalk.filming.log_places import Facing
from hushwalk.filming.seats import Seat
from hushwalk.filming.sessions import When
from hushwalk.filming.shot_list import ShotList
from hushwalk.filming.skyline import Skyline
from hushwalk.logs.log import Log
from hushwalk.logs.log_worth import LogWorth
from hushwalk.logs.sides import Side
from hushwalk.logs.sight_line import SightLine
from hushwalk.site.manifest import Credit
from hushwalk.site.norths import North
from hushwalk.site.place import Place


class SessionCaution(StrEnum):
    """A caution for sitting at a log."""

    FROSTBITE = "frostbite"
    LEAVE_WORD = "tell"
    ICE = "ice"
    COLD = "cold"
    DARK = "dark"
    BIRD = "bird"
    REST = "rest"
    HUNTING = "hunting"
    PERMITS = "permits"
    PLACE = "place"


@dataclass(frozen=True)
class WalkIn:
    """The walk from the car to the log, in the dark and by day.

    Parameters
    ----------
    seconds, back_s : there in the dark, and back to the car by daylight [s].
    day_s, back_dark_s : there by daylight, and back in the dark [s].
    length_m, off_trail_m : of the walk, and of its part off trails [m].
    on_trail_share : share on trails and roads, 0..1.
    fords, bridges : streams to wade off trails, and streams crossed on the trail.
    wet_m : through wet ground off trails [m].
    """

    seconds: float
    back_s: float
    length_m: float
    off_trail_m: float
    on_trail_share: float
    fords: int
    bridges: int
    wet_m: float = 0.0
    day_s: float = 0.0
    back_dark_s: float = 0.0


@dataclass(frozen=True)
class ExposureRow:
    """One picture: from when it is possible, and the ISO (middle, dark end, bright end) at each time of the table.

    ``part`` is the part of the bird that is exposed for; None for the whole of it.
    """

    chance: Chance
    iso: tuple[tuple[float, float, float], ...]
    part: BirdPart | None = None


@dataclass(frozen=True, eq=False)
class LogPlan:
    """One log as a film set.

    Parameters
    ----------
    name, place : of the log.
    facing_deg : where the bird faces, if known [deg].
    comes_from_deg : azimuth from the log to where one comes from, if known [deg].
    skyline : round it.
    seats : sides to sit on with room and lenses, the best first.
    sight : from the lens on the best side to the log, over the ground between.
    main_shot : the picture that decides how good the light is.
    worth : what a morning there is worth, part by part.
    crowns : over the log on the best day.
    walk : from the car in the dark.
    days : every day of the span, in order; ``best`` is the one most worth sitting, None if the sun never rises.
    other_days : the evenings of the span where mornings are planned, and the other way round; ``other`` is the best.
    evening : whether evenings are planned.
    exposure_times : of the best day; ``exposure`` are the rows.
    facing : whether it is known where the bird faces.
    log : what was noted of it.
    shots : the best day by the clock, or None without a session.
    """

    name: str
    place: Place
    facing_deg: tuple[float, ...]
    comes_from_deg: float | None
    skyline: Skyline = field(repr=False)
    seats: tuple[Seat, ...]
    sight: SightLine
    main_shot: Shot
    worth: LogWorth
    crowns: Crowns
    walk: WalkIn
    days: tuple[DayAtLog, ...] = field(repr=False)
    best: DayAtLog | None = field(repr=False)
    other_days: tuple[DayAtLog, ...] = field(repr=False)
    evening: bool
    exposure_times: tuple[datetime, ...]
    exposure: tuple[ExposureRow, ...]
    facing: Facing
    log: Log
    shots: ShotList | None = field(repr=False)

    @property
    def other(self) -> DayAtLog:
        """The best day for the half of the day that is not planned."""
        return max(self.other_days, key=lambda day: day.score)

    def half(self, when: When) -> tuple[DayAtLog, ...]:
        """Give the mornings or the evenings of the span."""
        return self.days if self.evening == (when == "evening") else self.other_days

    @property
    def seat(self) -> Seat:
        """The best side to sit on."""
        return self.seats[0]

    @property
    def sides(self) -> tuple[Side, ...]:
        """The sides, the best first."""
        return tuple(seat.side for seat in self.seats)

    @property
    def side(self) -> Side:
        """The best side."""
        return self.seat.side

    @property
    def room(self) -> Room:
        """Where the hide may stand on the best side."""
        return self.seat.room

    @property
    def framing(self) -> Framing | None:
        """The picture of the best lens, or None if no lens shows the whole bird."""
        return self.seat.video if self.seat.video.fits else None

    @property
    def field_m(self) -> float:
        """Width of the field of the best lens [m]."""
        return self.seat.video.field_m


@dataclass(frozen=True)
class SessionReport:
    """Sessions at one or more logs.

    Parameters
    ----------
    title : of the trip.
    species : name of the bird.
    car : where the walk starts.
    north : how the norths lie.
    sky : cloud reckoned with.
    iso_max : the highest ISO put up with.
    air_c, chill_c : of the air, and the wind chill at the face [degrees C].
    evening : whether evenings are planned instead of mornings.
    lens_named : whether the trip file names a lens.
    cautions : that fit the weather.
    logs : the best first.
    peak : day on which most males display there.
    credits : owed on everything that is made of the layers.
    """

    title: str
    species: str
    car: Place
    north: North
    sky: str
    iso_max: float
    air_c: float
    chill_c: float
    evening: bool
    lens_named: bool
    cautions: tuple[SessionCaution, ...]
    logs: tuple[LogPlan, ...]
    peak: date
    credits: tuple[Credit, ...]
