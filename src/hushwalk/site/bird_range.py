"""Which region of a species card a place lies in, and whether the bird lives there at all.

The outlines stand on the card; where the trip or area file names a region, that holds. Else one rule holds for both:
all the ground is scored by the region that its middle lies in. The middle of a trip is its car.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_lonlat
from hushwalk.site.outlines import distance_km
from hushwalk.site.species import SpeciesCard

MARGIN_KM = 50.0  # judgement: how far off the coarse outlines may be
LOOKS = 5  # judgement: rows and columns of places that are looked up over a ground, besides its middle


@dataclass(frozen=True)
class BirdRegion:
    """The region that a place is scored by.

    Parameters
    ----------
    key, label : of the region on the species card.
    named : whether the trip file names it; else it is taken from the place.
    off_km : how far outside its outline the place lies, 0 within; None where the card draws none.
    out_of_range_km : how far outside the bird's range the place lies, 0 within or near its edge; None where the card
        tells no range.
    others : keys of the regions that parts of the ground lie in besides; none where the file names the region.
    """

    key: str
    label: str
    named: bool
    off_km: float | None
    out_of_range_km: float | None
    others: tuple[str, ...] = ()

    @property
    def out_of_range(self) -> bool:
        """Whether the bird does not live there, as far as its card knows."""
        return bool(self.out_of_range_km)


def bird_region(card: SpeciesCard, named: str | None, lon_deg: float, lat_deg: float) -> BirdRegion:
    """Choose the region of a card for a place: the one named, else the first that holds it, else the nearest.

    Parameters
    ----------
    card : species card.
    named : region that the trip file names, or None.
    lon_deg, lat_deg : of the place.

    Returns
    -------
    BirdRegion

    Raises
    ------
    SettingsError
        If the card has no region of that name.
    """
    regions = card.file.region
    away = {key: distance_km(table.outlines, lon_deg, lat_deg) for key, table in regions.items() if table.outlines}
    key = named or (min(away, key=lambda one: away[one]) if away else next(iter(regions)))
    ranged = card.file.range
    outside = None if ranged is None else distance_km(ranged.outlines, lon_deg, lat_deg)
    if outside is not None and outside <= MARGIN_KM:
        outside = 0.0
    return BirdRegion(key, card.region(key).label, named is not None, away.get(key), outside)


def region_of_ground(card: SpeciesCard, named: str | None, grid: Grid) -> BirdRegion:
    """Choose the region that all of a ground is scored by: the one named, else that of its middle.

    Parameters
    ----------
    card : species card.
    named : region that the file names, or None.
    grid : the ground of a trip or of an area file.

    Returns
    -------
    BirdRegion
        With the regions that other parts of the ground lie in.

    Raises
    ------
    SettingsError
        If the card has no region of that name.
    """
    middle, *around = places_over(grid)
    chosen = bird_region(card, named, *middle)
    if chosen.named:
        return chosen
    met = dict.fromkeys(bird_region(card, None, *place).key for place in around)
    return replace(chosen, others=tuple(key for key in met if key != chosen.key))


def places_over(grid: Grid) -> Sequence[tuple[float, float]]:
    """Give longitude and latitude of the middle of a ground, and of places in even rows over it with its corners."""
    west, south, east, north = grid.bounds
    rows = ((x, y) for x in np.linspace(west, east, LOOKS) for y in np.linspace(south, north, LOOKS))
    places = np.array([((west + east) / 2, (south + north) / 2), *rows])
    return [(lon, lat) for lon, lat in to_lonlat(grid.epsg, places).tolist()]
