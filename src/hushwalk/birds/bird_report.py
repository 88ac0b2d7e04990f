"""What the field notes gave, ready to be drawn: birds and logs.

located_birds.py and season/story.py fill these values; nothing is left to compute here.
"""

from dataclasses import dataclass, field
from datetime import date
from enum import Enum

from hushwalk.birds.fix import FixWarning, Refusal
from hushwalk.birds.next_bearing import Stand
from hushwalk.birds.stands_on_foot import NoStand
from hushwalk.logs.observations import Observation
from hushwalk.site.place import Place
from hushwalk.types import FloatArray


@dataclass(frozen=True, eq=False)
class SearchGround:
    """The smallest ground that holds a bird with chance ``share``: its area [ha] and outlines, each (k, 2) [m]."""

    share: float
    area_ha: float
    rings: tuple[FloatArray, ...] = field(repr=False)


@dataclass(frozen=True, eq=False)
class NextStand:
    """Where to stand for one more bearing.

    Parameters
    ----------
    place : to stand at.
    towards_deg, towards_magnetic_deg : to the bird's median place, from true and from magnetic north [deg].
    worth : what the bearing is worth there, and how far it is on foot.
    """

    place: Place
    towards_deg: float
    towards_magnetic_deg: float
    worth: Stand

    @property
    def minutes(self) -> float:
        """Minutes to it on foot."""
        return self.worth.travel_s / 60


@dataclass(frozen=True, eq=False)
class LocatedBird:
    """Where one bird probably is.

    Parameters
    ----------
    name : of the bird.
    middle : its median place, to steer by.
    grounds : for a chance of 50, 80 and 95 %.
    lines : bearings as drawn, each from the stop to as far as the bird may be, shape (2, 2) [m].
    refusal : why there is no point, or None.
    warnings : what to bear in mind.
    point : where the lines cross, or None.
    stand : the next best bearing, or None.
    no_stand : why there is none, or None where none was looked for.
    one_bird : chance that all its bearings are of one bird; None where names are kept as noted.
    male : what is known of it over the season, or None where the morning stands alone.
    """

    name: str
    middle: Place
    grounds: tuple[SearchGround, ...]
    lines: tuple[FloatArray, ...] = field(repr=False)
    refusal: Refusal | None = None
    warnings: tuple[FixWarning, ...] = ()
    point: Place | None = None
    stand: NextStand | None = None
    no_stand: NoStand | None = None
    one_bird: float | None = None
    male: "SeasonMale | None" = None


@dataclass(frozen=True, eq=False)
class SeasonMale:
    """One male of the season.

    Parameters
    ----------
    number : for the season.
    mornings : day, and the name it had that morning.
    logs : names of its logs with droppings.
    middle : median place of its main log.
    area_ha : of the 80 % ground of its main log.
    one_bird : chance that all of this is of one male.
    """

    number: int
    mornings: tuple[tuple[date, str], ...]
    logs: tuple[str, ...]
    middle: Place
    area_ha: float
    one_bird: float


@dataclass(frozen=True, eq=False)
class OneOrTwo:
    """Two birds of the list that may be one.

    Parameters
    ----------
    names : of the two.
    chance : that they are one.
    place : stand whose bearing decides it, or None where none is reached.
    minutes : to it on foot.
    towards_one_deg, towards_two_deg : where one bird would be, and where two, from true north [deg].
    right : chance that one more bearing from there decides rightly.
    looked : whether a stand was looked for at all.
    """

    names: tuple[str, str]
    chance: float
    place: Place | None = None
    minutes: float = 0.0
    towards_one_deg: float = 0.0
    towards_two_deg: tuple[float, float] = (0.0, 0.0)
    right: float = 0.5
    looked: bool = True


class LogRole(Enum):
    """Which log of its male a log is."""

    MAIN = "main log"
    LESSER = "lesser log"
    BETTER_SET = "lesser log, the better film set"


@dataclass(frozen=True)
class ScoredLog:
    """One log, scored: how surely it is in use, how good a film set it is, both 0..1, and why.

    Parameters
    ----------
    territory : number of the male that it belongs to, the surest first.
    role : which log of its male it is.
    film_from_deg : azimuth from the log to the camera, from true north.
    camera_m : where the camera could stand, easting and northing [m].
    seen : day of the note.
    observed : what speaks for and against it.
    """

    name: str
    place: Place
    territory: int
    role: LogRole
    use: float
    film: float
    score: float
    film_from_deg: float
    camera_m: tuple[float, float]
    seen: date
    observed: tuple[Observation, ...]


@dataclass(frozen=True, eq=False)
class Detections:
    """All that the notes gave: birds of one morning, which is ``day``, and every log of the season."""

    day: date | None
    birds: tuple[LocatedBird, ...] = ()
    logs: tuple[ScoredLog, ...] = ()
