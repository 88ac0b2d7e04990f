"""The frozen bundle of filming sessions that words and sheets are made from: nothing is left to compute.

How it is filled is story.py's business.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from hushwalk.filming.framing import Framing, Room
from hushwalk.filming.log_light import Chance, LogLight, Shot
from hushwalk.filming.log_places import Facing
from hushwalk.filming.sessions import Session
from hushwalk.filming.sky_day import SkyDay, Spell
from hushwalk.filming.skyline import Skyline
from hushwalk.logs.sides import Side
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
    """The walk from the car to the log in the dark; ``back_s`` is by daylight.

    Parameters
    ----------
    seconds, back_s : there, and back to the car [s].
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


@dataclass(frozen=True, eq=False)
class DayAtLog:
    """One day at one log: sky, spells of sun and shade, light, and the session, None where the sun does not rise."""

    day: date
    sky: SkyDay = field(repr=False)
    spells: tuple[Spell, ...] = field(repr=False)
    light: LogLight = field(repr=False)
    session: Session | None

    @property
    def score(self) -> float:
        """Worth of the session in hours; -1 where there is none."""
        return -1.0 if self.session is None else self.session.score

    def sun_span(self) -> tuple[datetime, datetime] | None:
        """First minute in sun and first minute no longer in sun, or None."""
        lit = [spell for spell in self.spells if spell.state == "sun"]
        return (self.sky.at(lit[0].start_min), self.sky.at(lit[-1].end_min)) if lit else None


@dataclass(frozen=True)
class ExposureRow:
    """One picture: from when it is possible, and the ISO (middle, dark end, bright end) at each time of the table."""

    chance: Chance
    iso: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, eq=False)
class LogPlan:
    """One log as a film set.

    Parameters
    ----------
    name, place : of the log.
    facing_deg : where the bird faces, if known [deg].
    comes_from_deg : azimuth from the log to where one comes from, if known [deg].
    skyline : round it.
    sides : to sit on, the best first.
    room : for the hide.
    framings : of every lens, those that fit first.
    main_shot, field_m : the picture that decides how good the light is, and the width of the field [m].
    walk : from the car in the dark.
    days : every day of the span, in order; ``best`` is the one most worth sitting, None if the sun never rises.
    exposure_times : of the best day; ``exposure`` are the rows.
    facing : whether it is known where the bird faces.
    """

    name: str
    place: Place
    facing_deg: tuple[float, ...]
    comes_from_deg: float | None
    skyline: Skyline = field(repr=False)
    sides: tuple[Side, ...]
    room: Room
    framings: tuple[Framing, ...]
    main_shot: Shot
    field_m: float
    walk: WalkIn
    days: tuple[DayAtLog, ...] = field(repr=False)
    best: DayAtLog | None = field(repr=False)
    exposure_times: tuple[datetime, ...]
    exposure: tuple[ExposureRow, ...]
    facing: Facing

    @property
    def side(self) -> Side:
        """The best side to sit on."""
        return self.sides[0]

    @property
    def framing(self) -> Framing | None:
        """The best framing that fits the room, or None."""
        return next((row for row in self.framings if row.fits), None)


@dataclass(frozen=True)
class SessionReport:
    """Sessions at one or more logs.

    Parameters
    ----------
    title : of the trip.
    species : name of the bird.
    car : where the walk starts.
    north : how the norths lie.
    sky, canopy : the light reckoned with; ``transmittance`` as measured replaces that of the canopy.
    iso_max : the highest ISO put up with.
    air_c, chill_c : of the air, and the wind chill at the face [degrees C].
    evening : whether evenings are planned instead of mornings.
    lens_named : whether the trip file names a lens.
    cautions : that fit the weather.
    logs : the best first.
    """

    title: str
    species: str
    car: Place
    north: North
    sky: str
    canopy: str
    transmittance: float | None
    iso_max: float
    air_c: float
    chill_c: float
    evening: bool
    lens_named: bool
    cautions: tuple[SessionCaution, ...]
    logs: tuple[LogPlan, ...]
