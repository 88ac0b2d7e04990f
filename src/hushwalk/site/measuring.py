"""What can be measured of the ground for a bird from the layers at hand, the same for a trip and for a wide region.

What a measure is worth is on the species card; the measuring itself is the habitat room's.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, lcm

import numpy as np

from hushwalk.errors import InputError
from hushwalk.grid.drainage import wetness
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import northness, slope
from hushwalk.habitat.ingredients import (
    cover_quality,
    mixture,
    share_of_kinds,
    slope_position,
    water_edge,
    where_kinds,
    wide_mean,
)
from hushwalk.habitat.surroundings import coarsening
from hushwalk.site.reading.cover_kinds import cover_kinds
from hushwalk.site.species import SpeciesCard
from hushwalk.types import BoolArray, FloatArray

Way = Callable[[], Layer]

GROWTH = ("stand_age", "canopy_height")
"""Definition: ingredients that tell how far a stand has grown; the second where the first says nothing."""

PERCENT = 100.0  # definition
LEAST_SEEN = 0.5  # judgement: with half of its surroundings unknown, what a place lies in is anybody's guess
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
    canopy_height : [m].
    streams_mapped : whether a layer of streams was given; else the lie of the land tells where water gathers.
    open_share : share of each cell without roads and houses, 0..1; None where the cover tells it everywhere.
    """

    elevation: Layer | None = None
    cover: Layer | None = None
    stand_age: Layer | None = None
    canopy_cover: Layer | None = None
    wet: BoolArray | None = None
    canopy_height: Layer | None = None
    streams_mapped: bool = True
    open_share: FloatArray | None = None

    @property
    def unclassed(self) -> FloatArray:
        """Share of each cell that counts as unknown ground where no cover is known; NaN where there is no ground."""
        share = np.ones(self.any.grid.shape) if self.open_share is None else self.open_share
        ground = self.elevation is not None and self.cover is not None
        known = self.elevation.known & ~self.cover.known if ground else self.cover is None  # type: ignore[union-attr]
        return np.where(known, share, np.nan)

    @property
    def any(self) -> Layer:
        """Give a layer that lies on the ground, whichever is there.

        Raises
        ------
        InputError
            If there is none.
        """
        for layer in (self.cover, self.elevation, self.stand_age, self.canopy_cover, self.canopy_height):
            if layer is not None:
                return layer
        raise InputError("nothing is known of this ground; name a layer of kind `cover`")


def measure(seen: Seen, card: SpeciesCard, region: str) -> dict[str, Layer]:
    """Measure every ingredient that the bird asks for and the layers at hand allow.

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
    ways = {**_of_heights(seen, card), **_of_cover(seen, card, region)}
    if seen.wet is not None:
        marks = seen.wet
        ways["water_edge"] = lambda: water_edge(seen.any, marks)
    found = {key: way() for key, way in ways.items() if key in _wanted(card, region)}
    if seen.cover is not None:
        grown = [found[key] for key in GROWTH if key in found]
        found["cover_quality"] = cover_quality(seen.cover, *card.cover_quality(region), *grown)
    return found


def _wanted(card: SpeciesCard, region: str) -> frozenset[str]:
    """Needs with a weight; the others are not worth their time."""
    return frozenset(need.key for need in card.needs(region) if need.weight > 0)


def _of_heights(seen: Seen, card: SpeciesCard) -> dict[str, Way]:
    if seen.elevation is None:
        return {}
    heights = seen.elevation
    found: dict[str, Way] = {
        "slope": lambda: slope(heights),
        "northness": lambda: northness(heights),
        "ridge": lambda: slope_position(heights, card.radii.ridge_m),
    }
    if not seen.streams_mapped:
        found["wetness"] = lambda: wetness(heights)
    return found


def _of_cover(seen: Seen, card: SpeciesCard, region: str) -> dict[str, Way]:
    if seen.cover is None:
        return {}
    cover, kinds, radii = seen.cover, tuple(cover_kinds().values()), card.radii
    age, canopy, height = seen.stand_age, seen.canopy_cover, seen.canopy_height
    forest = frozenset(card.cover_quality(region)[1])
    young = None if age is None else cover.checked_against(age).values <= YOUNG_YEARS
    groups = {kind.code: kind.group for kind in kinds if kind.group not in {"water", "built", "bare"}}
    conifer = {kind.code: kind.conifer_share for kind in kinds if kind.group not in {"", "water"}}
    shares = card.landscape_shares(region)
    found: dict[str, Way] = {
        "landscape_share": lambda: _where_seen(
            share_of_kinds(cover, shares, radii.landscape_m, "aspen and young forest", young), cover, radii.landscape_m
        ),
        "mixture": lambda: _where_seen(mixture(cover, groups, radii.mixture_m), cover, radii.mixture_m),
        "conifer_share": lambda: _where_seen(
            share_of_kinds(cover, conifer, radii.conifer_m, "conifers"), cover, radii.conifer_m
        ),
    }
    if age is not None:
        found["stand_age"] = lambda: where_kinds(age, cover, forest)
    if canopy is not None:
        percent = canopy.with_values(canopy.values * PERCENT, unit="%")
        found["canopy_cover"] = lambda: where_kinds(percent, cover, forest)
    if height is not None:
        undated = (
            height
            if age is None
            else height.with_values(np.where(height.checked_against(age).known, np.nan, height.values))
        )
        found["canopy_height"] = lambda: where_kinds(undated, cover, forest)
    return found


def _where_seen(layer: Layer, cover: Layer, radius_m: float) -> Layer:
    """Keep a measure of the surroundings where most of them have a class: a few marshes tell nothing of the woods."""
    if cover.known.all():
        return layer
    seen = wide_mean(cover.with_values(cover.known.astype(float), name="known cover", unit="1"), radius_m)
    return layer.with_values(np.where(seen >= LEAST_SEEN, layer.values, np.nan), step="unknown where cover mostly is")


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
