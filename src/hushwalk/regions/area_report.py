"""Ranked areas as a frozen bundle that the outputs draw: places, scores, and a closer look at the best.

How places are ranked is story.py's business, the closer look area_plates.py's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from hushwalk.grid.layer import Layer
from hushwalk.regions.area_score import PlaceParams, PlaceScore
from hushwalk.regions.car_places import CarPlace
from hushwalk.regions.region_file import AreaSettings
from hushwalk.regions.surface import JudgedRegion
from hushwalk.site.cautions import SiteCaution
from hushwalk.site.country import Geometry
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
    reasons : in words.
    """

    rank: int
    place: CarPlace
    lon_deg: float
    lat_deg: float
    score: PlaceScore = field(repr=False)
    new_males: float
    drive_min: float | None
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class AreaWords:
    """What speaks for a place and against it, what is known of the land, and how one comes there."""

    good: tuple[str, ...]
    held_back: tuple[str, ...]
    land: str
    access: str


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
    words : what to think of it.
    """

    area: Area
    usng: str
    suitability: Layer = field(repr=False)
    reach: Geometry = field(repr=False)
    shapes: Mapping[str, tuple[Geometry, ...]] = field(repr=False)
    words: AreaWords

    @property
    def stops_m(self) -> FloatArray:
        """Where a walk would listen, shape (n, 2) [m]."""
        return self.area.score.stops_m


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
    left_out : places that were left out, and why, in words.
    notices : what a person should know.
    cautions : that go with every report.
    """

    settings: AreaSettings
    region: JudgedRegion
    place_params: PlaceParams = field(repr=False)
    areas: tuple[Area, ...]
    plates: tuple[Plate, ...] = field(repr=False)
    overview: Layer = field(repr=False)
    left_out: tuple[str, ...]
    notices: tuple[str, ...]
    cautions: tuple[SiteCaution, ...]
