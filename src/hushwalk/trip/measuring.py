"""What can be measured of the ground for a bird from the layers at hand, the same for a trip and for a wide region.

What a measure is worth is on the species card; the measuring itself is the habitat room's.
"""

from dataclasses import dataclass
from math import ceil, lcm

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import slope
from hushwalk.habitat.ingredients import (
    cover_quality,
    mixture,
    share_of_kinds,
    slope_position,
    water_edge,
    where_kinds,
)
from hushwalk.habitat.surroundings import coarsening
from hushwalk.trip.kinds import cover_kinds
from hushwalk.trip.species import SpeciesCard

BoolArray = NDArray[np.bool_]

PERCENT = 100.0  # definition
YOUNG_YEARS = 25.0  # found: forest counts as young to this age (kubisiak_1985)


@dataclass(frozen=True, eq=False)
class Seen:
    """What is known of a piece of ground; None for what is not.

    Parameters
    ----------
    elevation : heights [m].
    cover : codes of cover kinds.
    stand_age : [a].
    canopy_cover : 0..1.
    wet : cells of streams, ponds and wetlands; None if none is known anywhere.
    """

    elevation: Layer | None = None
    cover: Layer | None = None
    stand_age: Layer | None = None
    canopy_cover: Layer | None = None
    wet: BoolArray | None = None

    @property
    def any(self) -> Layer:
        """Give a layer that lies on the ground, whichever is there.

        Raises
        ------
        InputError
            If there is none.
        """
        for layer in (self.cover, self.elevation, self.stand_age, self.canopy_cover):
            if layer is not None:
                return layer
        raise InputError("nothing is known of this ground; name a layer of kind `cover`")


def measure(seen: Seen, card: SpeciesCard, region: str) -> dict[str, Layer]:
    """Measure every ingredient that the layers at hand allow.

    Parameters
    ----------
    seen : the ground.
    card : of the bird.
    region : whose curves and qualities hold.

    Returns
    -------
    dict
        Key of an ingredient -> what was measured.

    Raises
    ------
    SettingsError
        If the card has no such region.
    """
    found = {}
    if seen.elevation is not None:
        found["slope"] = slope(seen.elevation)
        if card.region(region).weights.get("ridge", 0) > 0:
            found["ridge"] = slope_position(seen.elevation, card.radii.ridge_m)
    if seen.wet is not None:
        found["water_edge"] = water_edge(seen.any, seen.wet)
    if seen.cover is not None:
        found |= _of_cover(seen, seen.cover, card, region)
    return found


def _of_cover(seen: Seen, cover: Layer, card: SpeciesCard, region: str) -> dict[str, Layer]:
    kinds = tuple(cover_kinds().values())
    usual, best = card.cover_quality(region)
    forest, age, canopy = frozenset(best), seen.stand_age, seen.canopy_cover
    young = None if age is None else cover.beside(age).values <= YOUNG_YEARS
    groups = {kind.code: kind.group for kind in kinds if kind.group not in {"water", "built", "bare"}}
    conifer = {kind.code: kind.conifer_share for kind in kinds if kind.group not in {"", "water"}}
    landscape = card.landscape_shares(region)
    found = {
        "cover_quality": cover_quality(cover, usual, best, age),
        "landscape_share": share_of_kinds(cover, landscape, card.radii.landscape_m, "aspen and young forest", young),
        "mixture": mixture(cover, groups, card.radii.mixture_m),
        "conifer_share": share_of_kinds(cover, conifer, card.radii.conifer_m, "conifers"),
    }
    if age is not None:
        found["stand_age"] = where_kinds(age, cover, forest)
    if canopy is not None:
        percent = canopy.with_values(canopy.values * PERCENT, unit="%")
        found["canopy_cover"] = where_kinds(percent, cover, forest)
    return found


def overlap_of(card: SpeciesCard, region: str, cell_m: float) -> tuple[int, int]:
    """How far a window must look beyond its rim, so that it is judged as the whole ground would be.

    Parameters
    ----------
    card, region : of the bird.
    cell_m : size of a cell [m].

    Returns
    -------
    tuple
        Overlap, and the step that windows must begin on, both in cells; the first is a multiple of the second.

    Notes
    -----
    The widest disc or distance of an ingredient, the home range that their product is averaged over, and the rim of a
    patch, one after the other. Discs on coarser cells need windows that begin on a whole coarse cell.
    """
    radii = (card.radii.landscape_m, card.radii.mixture_m, card.radii.conifer_m)
    step = lcm(*(coarsening(radius, cell_m) for radius in radii))
    water = [need.curve.values[-1] for need in card.needs(region) if need.key == "water_edge"]
    ridge = [card.radii.ridge_m] if card.region(region).weights.get("ridge", 0) > 0 else []
    farthest_m = max(*radii, *water, *ridge) + card.surface.home_radius_m + card.patch.edge_m
    cells = ceil(farthest_m / cell_m) + 2 + step
    return ceil(cells / step) * step, step
