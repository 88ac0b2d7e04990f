"""From layers on the grid and a species card to suitability and males: which layer answers which need.

How each ingredient is measured and joined is the habitat room's business.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import slope
from hushwalk.habitat.density import Density, density
from hushwalk.habitat.ingredients import (
    cover_quality,
    mixture,
    share_of_kinds,
    slope_position,
    water_edge,
    where_kinds,
    wide_mean,
)
from hushwalk.habitat.suitability import Suitability, suitability
from hushwalk.trip.cover import cover_kinds, kind_property
from hushwalk.trip.species import Cycle, SpeciesCard

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

BoolArray = NDArray[np.bool_]
YOUNG_BELOW_A = 25.0  # judgement: aspen is called good to 25 years in kubisiak_1985


@dataclass(frozen=True, eq=False)
class GroundLayers:
    """What is known of the ground, all on one grid.

    Parameters
    ----------
    elevation : [m].
    cover : codes of cover kinds, or None.
    water_edges : masks of streams, ponds and wetlands; none where no hydrography is given.
    stand_age : years since cut or fire, or None.
    canopy_cover : [%], or None.
    stems : small stems [1/ha], or None.
    confidence : how far the legend of the cover tells habitat apart, 0..1.
    """

    elevation: Layer
    cover: Layer | None = None
    water_edges: tuple[BoolArray, ...] = ()
    stand_age: Layer | None = None
    canopy_cover: Layer | None = None
    stems: Layer | None = None
    confidence: float = 1.0


def judge_ground(card: SpeciesCard, region: str, cycle: Cycle, ground: GroundLayers) -> tuple[Suitability, Density]:
    """Judge the ground for a bird.

    Parameters
    ----------
    card : the bird.
    region, cycle : region of the card, and the year of the cycle.
    ground : the layers at hand; what is missing is told in the notices.

    Returns
    -------
    tuple
        Suitability 0..1 with its ingredients, and displaying males per km2 with a low and a high figure.

    Raises
    ------
    SettingsError
        If the card has no such region.
    InputError
        If nothing that limits the bird is known.
    GridMismatchError
        If the layers lie on different grids.
    """
    surface = suitability(
        card.needs(region), measure_ingredients(card, region, ground), card.surface, confidence=ground.confidence
    )
    return surface, density(surface.layer, card.density(region, cycle))


def measure_ingredients(card: SpeciesCard, region: str, ground: GroundLayers) -> dict[str, Layer]:
    """Measure every ingredient that the card asks for and the layers can answer.

    Parameters
    ----------
    card, region : the bird, and the region whose cover qualities count.
    ground : the layers at hand.

    Returns
    -------
    dict
        key of the need -> measured layer, in the order of the card.
    """
    makers: Mapping[str, Callable[[], Layer | None]] = {
        "cover_quality": lambda: _quality(card, region, ground),
        "stand_age": lambda: _in_forest(ground.stand_age, ground.cover),
        "canopy_cover": lambda: _in_forest(ground.canopy_cover, ground.cover),
        "stems": lambda: ground.stems,
        "landscape_share": lambda: _landscape(card, ground),
        "water_edge": lambda: water_edge(ground.elevation, *_wet(ground)) if _wet(ground) else None,
        "ridge": lambda: slope_position(ground.elevation, card.radii.ridge_m),
        "mixture": lambda: _mixture(card, ground.cover),
        "conifer_share": lambda: _conifers(card, ground.cover),
        "slope": lambda: slope(ground.elevation),
    }
    wanted = [need for need in card.needs(region) if need.weight > 0 and need.key in makers]
    made = {need.key: makers[need.key]() for need in wanted}
    found = {key: layer for key, layer in made.items() if layer is not None}
    if not found:
        raise InputError(f"no layer answers a need of the {card.name}; add a layer of kind `cover`")
    return found


def _quality(card: SpeciesCard, region: str, ground: GroundLayers) -> Layer | None:
    if ground.cover is None:
        return None
    usual, best = card.cover_quality(region)
    return cover_quality(ground.cover, usual, best, ground.stand_age)


def _in_forest(measure: Layer | None, cover: Layer | None) -> Layer | None:
    """Keep canopy and age to forest: on a shrub swamp or a marsh they say nothing against the ground."""
    if measure is None or cover is None:
        return measure
    forest = frozenset(code for code, kind in cover_kinds().items() if kind.forest)
    return where_kinds(measure, cover, forest)


def _landscape(card: SpeciesCard, ground: GroundLayers) -> Layer | None:
    if ground.cover is None:
        return None
    shares = card.landscape_shares()
    if ground.stand_age is None:
        return share_of_kinds(ground.cover, shares, card.radii.landscape_m, "aspen and young forest")
    here = share_of_kinds(ground.cover, shares, 0.0, "aspen and young forest")
    young = _in_forest(ground.stand_age, ground.cover)
    values = here.values if young is None else np.where(young.values < YOUNG_BELOW_A, 1.0, here.values)
    wide = wide_mean(here.with_values(values), card.radii.landscape_m)
    return here.with_values(
        np.clip(wide, 0, 1), step=f"with forest under {YOUNG_BELOW_A:.0f} years, within {card.radii.landscape_m:.0f} m"
    )


def _wet(ground: GroundLayers) -> tuple[BoolArray, ...]:
    """Streams, ponds and wetlands as drawn, and as mapped by the cover."""
    if ground.cover is None:
        return ground.water_edges
    codes = [code for code, kind in cover_kinds().items() if kind.wet]
    mapped = np.isin(ground.cover.values, codes)
    return (*ground.water_edges, mapped) if mapped.any() else ground.water_edges


def _mixture(card: SpeciesCard, cover: Layer | None) -> Layer | None:
    if cover is None:
        return None
    land = {code: kind.group for code, kind in cover_kinds().items() if kind.group not in {"water", "built", "bare"}}
    return mixture(cover, land, card.radii.mixture_m)


def _conifers(card: SpeciesCard, cover: Layer | None) -> Layer | None:
    if cover is None:
        return None
    conifer = kind_property(cover, "conifer_share")
    return conifer.with_values(wide_mean(conifer, card.radii.conifer_m), name="share of conifers")
