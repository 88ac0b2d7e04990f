"""Habitat of a trip: which ingredients its layers can give, the suitability they make, and the males it holds.

Curves and weights are on the species card; measuring and joining is the habitat room's.
"""

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from hushwalk.grid.align import burn
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import Density, density
from hushwalk.habitat.suitability import Suitability, suitability
from hushwalk.site.country import Ingredient
from hushwalk.site.cover import crosswalk
from hushwalk.site.inputs import Inputs
from hushwalk.site.measuring import Seen, measure
from hushwalk.site.settings import TripSettings
from hushwalk.site.species import SpeciesCard
from hushwalk.site.surfaces import Surfaces

if TYPE_CHECKING:
    pass

SURE = 0.8  # judgement: above this share the doubts of region and year outweigh those of the layers


@dataclass(frozen=True, eq=False)
class HabitatHere:
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
        told = list(self.surface.notices)
        if "wetness" in self.surface.measured:
            told.append(
                "no streams were given: where the ground is wet was worked out from the heights, which only hint"
            )
        if sure < SURE:
            told.append(
                f"the suitability is to be trusted {sure:.0%}: the layers at hand tell habitat apart only so far"
            )
        return tuple(told)

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


def habitat_here(settings: TripSettings, inputs: Inputs, ground: Surfaces, card: SpeciesCard) -> HabitatHere:
    """Score the ground of a trip.

    Raises
    ------
    SettingsError
        If the card has no such region.
    InputError
        If nothing is known of what limits the bird; a cover layer is needed.
    """
    region = settings.ground.region
    needs = card.needs(region)
    wanted = {need.key for need in needs}
    seen = _seen(settings, inputs, ground)
    measured = {key: layer for key, layer in measure(seen, card, region).items() if key in wanted}
    surface = suitability(needs, measured, card.surface, confidence=_confidence(settings))
    dry = surface.layer.with_values(np.where(ground.water, 0.0, surface.layer.values), step="0 on open water")
    surface = replace(surface, layer=dry)
    return HabitatHere(surface, density(dry, card.density(region, settings.ground.cycle)))


def _confidence(settings: TripSettings) -> float:
    """How far the cover legends can tell habitat apart, the worst of them."""
    legends = [spec.legend for spec in settings.layers if spec.kind == "cover" and spec.legend]
    return min((crosswalk(legend).confidence for legend in legends), default=1.0)


def _seen(settings: TripSettings, inputs: Inputs, ground: Surfaces) -> Seen:
    wet = [burn(inputs.shapes(kind), inputs.grid, touched=True) for kind in ("streams", "water", "wetlands")]
    return Seen(
        elevation=inputs.elevation,
        cover=inputs.cover,
        stand_age=inputs.measures.get("stand_age"),
        canopy_cover=inputs.measures.get("canopy_cover"),
        canopy_height=inputs.measures.get("canopy_height"),
        streams_mapped=any(spec.kind == "streams" for spec in settings.layers),
        wet=np.logical_or.reduce([ground.water, *wet]) if any(mask.any() for mask in wet) else None,
    )
