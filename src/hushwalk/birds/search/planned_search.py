"""The search of a late morning, ready to be drawn: areas in order, lines through each, and what they promise.

search_report.py fills these values; nothing is left to compute here.
"""

from dataclasses import dataclass, field
from datetime import date, datetime

import numpy as np

from hushwalk.birds.bird_report import Detections
from hushwalk.birds.search.search_plan import LeftOut, SearchParams
from hushwalk.grid.grid import Grid
from hushwalk.notes.ledger import UnreadRow
from hushwalk.site.cautions import SiteCaution
from hushwalk.site.country import Country
from hushwalk.site.norths import North
from hushwalk.site.place import Place
from hushwalk.types import FloatArray


@dataclass(frozen=True, eq=False)
class SearchPass:
    """Lines to walk over one piece of ground.

    Parameters
    ----------
    line_m : from line to line, shape (k, 2) [m].
    lines : how many.
    towards_magnetic_deg : where the first one leads, from magnetic north [deg].
    area_ha : of the ground.
    rings : its outlines, each (k, 2) [m].
    """

    line_m: FloatArray = field(repr=False)
    lines: int
    towards_magnetic_deg: float
    area_ha: float
    rings: tuple[FloatArray, ...] = field(repr=False)


@dataclass(frozen=True, eq=False)
class SearchLeg:
    """One area of a search: how to come to it, the lines through it, and when.

    Parameters
    ----------
    number, bird : in walking order, and whose ground it most likely is.
    entry : where the path begins.
    arrive, leave : planned.
    chance : to find the log of that bird here, 0..1.
    logs : expected to be found here, of all birds.
    also : other birds whose log may well be found here.
    approach_m : the walk to it, shape (k, 2) [m].
    passes : the first over all of the ground, the second over its best part again, across.
    azimuth_deg, magnetic_deg, distance_m, minutes : of the walk to the entry, straight and in time.
    """

    number: int
    bird: str
    entry: Place
    arrive: datetime
    leave: datetime
    chance: float
    logs: float
    approach_m: FloatArray = field(repr=False)
    passes: tuple[SearchPass, ...] = field(repr=False)
    azimuth_deg: float = 0.0
    magnetic_deg: float = 0.0
    distance_m: float = 0.0
    minutes: float = 0.0
    also: tuple[str, ...] = ()

    @property
    def path_m(self) -> FloatArray:
        """All passes as one line, shape (k, 2) [m]."""
        return np.concatenate([self.passes[0].line_m, *(one.line_m[1:] for one in self.passes[1:])])

    @property
    def area_ha(self) -> float:
        """Ground that is walked [ha]."""
        return self.passes[0].area_ha

    @property
    def twice_ha(self) -> float:
        """Ground that is walked a second time [ha]."""
        return sum(one.area_ha for one in self.passes[1:])

    @property
    def rings(self) -> tuple[FloatArray, ...]:
        """Outlines of the ground, each (k, 2) [m]."""
        return self.passes[0].rings


@dataclass(frozen=True, eq=False)
class Search:
    """The search of a late morning, how it is done, the birds left out, and how many earlier searches count."""

    start: Place
    not_before: datetime
    back: datetime
    back_by: datetime
    legs: tuple[SearchLeg, ...]
    way_back_m: FloatArray = field(repr=False)
    logs_expected: float = 0.0
    params: SearchParams = field(default_factory=SearchParams)
    left_out: tuple[LeftOut, ...] = ()
    searched_before: int = 0


@dataclass(frozen=True, eq=False)
class SearchReport:
    """The search of one late morning, ready to be drawn.

    Parameters
    ----------
    title, grid, car, north, country : a scene.
    species : of the bird.
    day : of the search.
    search, findings : the areas in order, and all that the notes gave.
    cautions, notices : one sentence each.
    unread : rows of the notes with a word that this version does not know.
    """

    title: str
    grid: Grid
    car: Place
    north: North
    country: Country = field(repr=False)
    species: str
    day: date
    search: Search
    detections: Detections
    cautions: tuple[SiteCaution, ...] = ()
    notices: tuple[str, ...] = ()
    unread: tuple[UnreadRow, ...] = ()
