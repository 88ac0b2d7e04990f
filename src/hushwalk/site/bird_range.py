"""Which region of a species card a place lies in, and whether the bird lives there at all.

The outlines stand on the card; where the trip file names a region, that holds.
"""

from dataclasses import dataclass

from hushwalk.site.outlines import distance_km
from hushwalk.site.species import SpeciesCard

MARGIN_KM = 50.0  # judgement: how far off the coarse outlines may be


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
    """

    key: str
    label: str
    named: bool
    off_km: float | None
    out_of_range_km: float | None

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
