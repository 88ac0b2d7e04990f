"""Habitat of a window of ground: which ingredients its layers give, the suitability they make, the males it holds.

Curves and weights are on the species card; measuring and joining is the habitat room's.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import Density, density
from hushwalk.habitat.suitability import Suitability, suitability
from hushwalk.site.country import Ingredient
from hushwalk.site.inputs import Inputs
from hushwalk.site.measuring import Seen, measure
from hushwalk.site.reading.cover import crosswalk
from hushwalk.site.reading.cover_shapes import TAGS, by_tags
from hushwalk.site.reading.layers import UNITS, as_layer
from hushwalk.site.settings import TripSettings
from hushwalk.site.species import SpeciesCard
from hushwalk.types import BoolArray

SURE = 0.8  # judgement: above this share the doubts of region and year outweigh those of the layers


@dataclass(frozen=True, eq=False)
class SiteHabitat:
    """What the ground of a trip is worth to the bird.

    Parameters
    ----------
    surface : suitability with its ingredients.
    males : density of displaying males, low, middle and high.
    """

    surface: Suitability = field(repr=False)
    males: Density = field(repr=False)

    @property
    def suitability(self) -> Layer:
        """How good each cell is, 0..1."""
        return self.surface.layer

    @property
    def density_per_km2(self) -> Layer:
        """Displaying males, middle figure [1/km2]."""
        return self.males.middle

    @property
    def density_range(self) -> tuple[float, float]:
        """Low and high density as shares of the middle."""
        spread = self.males.params.spread
        return 1 / spread, spread

    @property
    def notices(self) -> tuple[str, ...]:
        """What was missing for the suitability, and how far it can be trusted."""
        sure = self.surface.confidence
        lines = list(self.surface.notices)
        if "wetness" in self.surface.measured:
            lines.append(
                "no streams were given: where the ground is wet was worked out from the heights, which only hint"
            )
        if sure < SURE:
            lines.append(
                f"the layers tell good ground from poor only so far: by {100 * sure:.0f} % of what full layers would"
            )
        return tuple(lines)

    @property
    def ingredients(self) -> tuple[Ingredient, ...]:
        """Every ingredient with its score, as outputs draw it."""
        return tuple(
            Ingredient(
                key=need.key,
                label=need.label,
                layer=self.surface.scores[need.key],
                weight=self.surface.weights[need.key],
                role=need.role,
                source=need.source,
                assumed=need.assumed,
            )
            for need in self.surface.needs
            if need.key in self.surface.measured and self.surface.weights[need.key] > 0
        )


def score_habitat(settings: TripSettings, inputs: Inputs, card: SpeciesCard, region: str) -> SiteHabitat:
    """Score the ground of a trip.

    Parameters
    ----------
    settings : what the trip file says.
    inputs : layers as read.
    card, region : of the species, and which region of the card holds.

    Returns
    -------
    SiteHabitat
        Suitability, males and what they rest on.

    Raises
    ------
    SettingsError
        If the card has no such region.
    InputError
        If nothing is known of what limits the bird; a cover layer is needed.
    """
    streams = any(spec.kind == "streams" for spec in settings.layers)
    seen = seen_of(inputs.cells, inputs.grid, wet_known=inputs.wet_known, streams_mapped=streams)
    water = inputs.cells["water"]
    surface = score_ground(seen, water, card, region, confidence=_confidence(settings))
    return SiteHabitat(surface, density(surface.layer, card.density(region, settings.ground.cycle)))


def seen_of(cells: Mapping[str, NDArray[Any]], grid: Grid, *, wet_known: bool, streams_mapped: bool = True) -> Seen:
    """Give the cells of a window the form in which ingredients are measured.

    Parameters
    ----------
    cells : as :meth:`hushwalk.site.reading.layers.Layers.read` gives them.
    grid : of the window.
    wet_known : whether any layer tells where water and wet ground lie.
    streams_mapped : whether a layer of streams was given; else the lie of the land tells where water gathers.

    Returns
    -------
    Seen
    """
    layer = {kind: as_layer(kind, np.asarray(cells[kind]), grid) for kind in UNITS if kind in cells}
    return Seen(
        elevation=layer.get("elevation"),
        cover=layer.get("cover"),
        stand_age=layer.get("stand_age"),
        canopy_cover=layer.get("canopy_cover"),
        canopy_height=layer.get("canopy_height"),
        streams_mapped=streams_mapped,
        wet=np.asarray(cells["wet"], dtype=bool) if wet_known else None,
        open_share=cells.get("open_share"),
    )


def score_ground(
    seen: Seen, water: BoolArray, card: SpeciesCard, region: str, *, confidence: float = 1.0
) -> Suitability:
    """Measure every ingredient of a window, score them and join the scores; open water is worth nothing.

    Parameters
    ----------
    seen : what is known of the window.
    water : cells of open water, shape of the window.
    card, region : of the bird.
    confidence : how far the layers can be trusted to tell habitat apart, 0..1.

    Returns
    -------
    Suitability

    Raises
    ------
    SettingsError
        If the card has no such region.
    InputError
        If nothing is known of what limits the bird; a cover layer is needed.

    Notes
    -----
    Heights are taken as they were read, holes left open: what was filled in for walking and hearing is a guess that
    no habitat is scored on, and a hole may reach beyond the window.
    """
    needs = card.needs(region)
    wanted = {need.key for need in needs}
    measured = {key: layer for key, layer in measure(seen, card, region).items() if key in wanted}
    surface = suitability(needs, measured, card.surface, confidence=confidence, unclassed=seen.unclassed)
    dry = surface.layer.with_values(np.where(water, 0.0, surface.layer.values), step="0 on open water")
    return replace(surface, layer=dry)


def _confidence(settings: TripSettings) -> float:
    """How far the cover legends can tell habitat apart, the worst of them."""
    covers = [spec for spec in settings.layers if spec.kind == "cover"]
    legends = [TAGS if by_tags(spec) else spec.legend for spec in covers if by_tags(spec) or spec.legend]
    return min((crosswalk(legend).confidence for legend in legends), default=1.0)
