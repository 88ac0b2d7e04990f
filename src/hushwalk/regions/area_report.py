"""Ranked areas as a frozen bundle that the outputs draw: places, scores, and a closer look at the best.

How places are ranked is story.py's business, the closer look area_plates.py's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from hushwalk.grid.layer import Layer
from hushwalk.habitat.why import Reason
from hushwalk.regions.area_score import PlaceParams, PlaceScore
from hushwalk.regions.car_places import CarPlace
from hushwalk.regions.region_file import AreaSettings
from hushwalk.regions.surface import JudgedRegion
from hushwalk.site.bird_range import places_over
from hushwalk.site.cautions import SiteCaution
from hushwalk.site.country import Geometry
from hushwalk.site.manifest import Credit
from hushwalk.site.time_zone import wrong_zone
from hushwalk.types import FloatArray


@dataclass(frozen=True, eq=False)
class Area:
    """One place in the ranking.

    Parameters
    ----------
    rank : 1 is the best.
    place, lon_deg, lat_deg : where the car stands.
    score : what a dawn walk from there is worth.
    new_males : of the males heard, those that neither scouted ground nor better places hold.
    drive_min : from home; None if no drive was asked for.
    """

    rank: int
    place: CarPlace
    lon_deg: float
    lat_deg: float
    score: PlaceScore = field(repr=False)
    new_males: float
    drive_min: float | None

    @property
    def new_share(self) -> float:
        """How much of what is heard is new, 0..1."""
        return self.new_males / self.score.males if self.score.males > 0 else 0.0


@dataclass(frozen=True)
class Look:
    """What a closer look at one area finds.

    Parameters
    ----------
    good_km2 : good ground in reach.
    ingredients : of the ground in reach, that which takes most first.
    closed_known : whether a layer of closed ground was named.
    closed_names : of the closed ground round about, where it has names.
    road : kind of the road that the car stands at, or empty.
    """

    good_km2: float
    ingredients: tuple[Reason, ...] = field(repr=False)
    closed_known: bool
    closed_names: tuple[str, ...]
    road: str


@dataclass(frozen=True, eq=False)
class Plate:
    """A closer look at one area.

    Parameters
    ----------
    area : which.
    usng : of the car.
    suitability : of the ground that a walk from there can reach or hear, 0..1.
    reach : ground from which one is back in time, as one geometry [m].
    shapes : kind of layer -> what lies on that ground [m]; every kind is there.
    elevation : heights there [m]; None where none were given.
    names : of waters, roads and trails there, with a place on each [m].
    look : what was found there.
    """

    area: Area
    usng: str
    suitability: Layer = field(repr=False)
    reach: Geometry = field(repr=False)
    shapes: Mapping[str, tuple[Geometry, ...]] = field(repr=False)
    look: Look
    elevation: Layer | None = field(default=None, repr=False)
    names: tuple[tuple[str, tuple[float, float]], ...] = ()

    @property
    def stops_m(self) -> FloatArray:
        """Where a walk would listen, shape (n, 2) [m]."""
        return self.area.score.stops_m


class PlaceFault(Enum):
    """Why a place is not ranked."""

    NO_WALKING = "nobody can walk"
    SILENT = "nothing is heard"
    CLOSED = "too much is closed"
    LONG_DRIVE = "the drive is too long"


@dataclass(frozen=True)
class Unranked:
    """How many of the places one fault leaves out, and what the first of them are called."""

    fault: PlaceFault
    places: int
    of_places: int
    names: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Areas:
    """Ranked places of a region.

    Parameters
    ----------
    settings, region : what was asked, and the ground.
    place_params : the morning, the same for all places.
    areas : the best first.
    plates : a closer look at the first of them.
    overview : mean suitability of the whole region in coarse blocks.
    unranked : how many places were left out, and why.
    notices : what a person should know.
    cautions : that go with every report.
    credits : owed on everything that is made of the layers.
    """

    settings: AreaSettings
    region: JudgedRegion
    place_params: PlaceParams = field(repr=False)
    areas: tuple[Area, ...]
    plates: tuple[Plate, ...] = field(repr=False)
    overview: Layer = field(repr=False)
    unranked: tuple[Unranked, ...]
    notices: tuple[str, ...]
    cautions: tuple[SiteCaution, ...]
    credits: tuple[Credit, ...] = ()

    @property
    def wrong_zone(self) -> tuple[float, str] | None:
        """How far the clock is off that of the middle of the region [h], and the zone there; None where it fits."""
        middle = places_over(self.region.grid)[0]
        return wrong_zone(self.settings.morning.date, self.settings.morning.time_zone, *middle)
