"""How good the ground is for an animal, 0..1, and what is missing to say so.

Males come from density.py; the reasons for one place from why.py.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from hushwalk.errors import InputError, SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.grid.nearby import disc_mean
from hushwalk.habitat.needs import Need
from hushwalk.science.blending import compensating_mean, lift, limiting_product
from hushwalk.sources import cite
from hushwalk.types import FloatArray


@dataclass(frozen=True)
class SurfaceParams:
    """How scores become one surface.

    Parameters
    ----------
    home_radius_m : of the disc that one male uses, over which the limiting needs are averaged [m].
    floor : share of its worth that good ground keeps where every compensating need fails, 0..1.
    confidence_kept : share of the confidence that is left for each need that had to be left out.
    """

    home_radius_m: float
    floor: float
    confidence_kept: float = 0.7

    def __post_init__(self) -> None:
        if not (self.home_radius_m >= 0 and 0 <= self.floor <= 1 and 0 <= self.confidence_kept <= 1):
            raise SettingsError(f"a surface needs home_radius_m >= 0, floor and confidence_kept in 0..1, got {self}")


@dataclass(frozen=True, eq=False)
class Suitability:
    """The worth of the ground, and all it was made from.

    Parameters
    ----------
    layer : 0..1 of the best ground there is; NaN where nothing is known.
    needs : those that were answered, in the order of the card.
    measured : key -> what was measured, in the unit of the need.
    scores : key -> 0..1.
    local : the limiting needs joined, before they are averaged over the home range.
    home : the same, averaged.
    lifted : the factor of the compensating needs.
    missing : needs that were not answered.
    confidence : 0..1.
    notices : what a person should know, one sentence each.
    params : what it was made with.
    unclassed : share of each cell that counts where the main need is unknown; NaN where such a cell stays unknown.
    """

    layer: Layer
    needs: tuple[Need, ...]
    measured: Mapping[str, Layer] = field(repr=False)
    scores: Mapping[str, Layer] = field(repr=False)
    local: Layer = field(repr=False)
    home: Layer = field(repr=False)
    lifted: Layer = field(repr=False)
    missing: tuple[Need, ...]
    confidence: float
    notices: tuple[str, ...]
    params: SurfaceParams
    unclassed: FloatArray | None = field(default=None, repr=False)

    @property
    def weights(self) -> Mapping[str, float]:
        """Weights as they were used: those of missing compensating needs are shared by the others."""
        total = sum(need.weight for need in self.needs if need.role == "compensating")
        return MappingProxyType(
            {
                need.key: need.weight / total if need.role == "compensating" and total > 0 else need.weight
                for need in self.needs
            }
        )


def suitability(
    needs: Sequence[Need],
    ingredients: Mapping[str, Layer],
    params: SurfaceParams,
    *,
    confidence: float = 1.0,
    unclassed: FloatArray | None = None,
) -> Suitability:
    """Join the scores of the ingredients at hand.

    Parameters
    ----------
    needs : of the animal.
    ingredients : key of a need -> measured layer, all on one grid; needs without a layer are left out and told.
    params : home range and floor.
    confidence : how far the layers themselves can be trusted to tell habitat apart, 0..1.
    unclassed : shape of the grid; share of each cell, 0..1, that counts as unknown ground where the main need is
        unknown; NaN, or None for all, where such a cell stays unknown.

    Returns
    -------
    Suitability

    Raises
    ------
    InputError
        If no limiting need can be answered, or an ingredient answers no need.
    GridMismatchError
        If the ingredients lie on different grids.

    Notes
    -----
    ``S = home mean of the product of limiting scores  x  (floor + (1 - floor) x mean of compensating scores)``.
    The product, because the published multipliers of type, age, canopy and understorey are made to be multiplied
    and one fault cannot be made good; the mean, because surroundings can stand for each other. Ground whose own
    product is 0 - water, crop, roofs - stays 0 even beside good cover: nobody displays there.
    """
    answered, missing = _answered(needs, ingredients)
    scores = {need.key: need.score(ingredients[need.key]) for need in answered if need.key in ingredients}
    first = _same_grid(list(scores.values()))
    for need in answered:
        if need.key not in scores:
            share = np.ones(first.grid.shape) if unclassed is None else np.nan_to_num(unclassed, nan=1.0)
            values = np.multiply(share, need.when_absent or 0.0)
            scores[need.key] = first.with_values(values, name=f"score of {need.label}", unit="1")
    sure = _confidence(confidence, answered, missing, scores, ingredients, params.confidence_kept)
    scores, filled = _with_unclassed(answered, scores, ingredients, unclassed)
    local = _limited(answered, scores)
    home = disc_mean(local, params.home_radius_m, first.grid)
    home = np.where(local == 0, 0.0, np.where(np.isfinite(local), home, np.nan))
    lifted = _lifted(answered, scores, params.floor, first)
    return Suitability(
        layer=first.with_values(np.clip(home * lifted, 0, 1), name="suitability", unit="1"),
        needs=tuple(answered),
        measured=MappingProxyType({need.key: ingredients[need.key] for need in answered if need.key in ingredients}),
        scores=MappingProxyType(scores),
        local=first.with_values(local, name="ground itself", unit="1"),
        home=first.with_values(home, name="ground of one home range", unit="1"),
        lifted=first.with_values(lifted, name="surroundings", unit="1"),
        missing=tuple(missing),
        confidence=sure,
        notices=(*_notices(answered, missing, ingredients), *filled),
        params=params,
        unclassed=unclassed,
    )


def _with_unclassed(
    needs: Sequence[Need],
    scores: Mapping[str, Layer],
    ingredients: Mapping[str, Layer],
    unclassed: FloatArray | None,
) -> tuple[dict[str, Layer], tuple[str, ...]]:
    """Take ground of which the main need says nothing as it is taken where nothing is known at all."""
    found, lines = dict(scores), []
    for need in needs if unclassed is not None else ():
        score = scores[need.key]
        holes = ~score.known & np.isfinite(unclassed)  # type: ignore[arg-type]
        if not (need.main and need.key in ingredients and holes.any()):
            continue
        values = np.where(holes, np.multiply(unclassed, need.when_absent or 0.0), score.values)  # type: ignore[arg-type]
        found[need.key] = score.with_values(values)
        lines.append(
            f"{holes.mean():.0%} of the ground has no class of {need.label}: it is taken as {need.when_absent:g} of 1 "
            f"there ({cite(need.absent_source)})"
        )
    return found, tuple(lines)


def _answered(needs: Sequence[Need], ingredients: Mapping[str, Layer]) -> tuple[list[Need], list[Need]]:
    foreign = sorted(set(ingredients) - {need.key for need in needs})
    if foreign:
        known = ", ".join(need.key for need in needs)
        raise InputError(f"ingredient {foreign[0]!r} answers no need of this animal; its needs are {known}")
    answered = [n for n in needs if n.key in ingredients or n.when_absent is not None]
    if not ingredients or not any(need.role == "limiting" for need in answered):
        limiting = ", ".join(need.label for need in needs if need.role == "limiting")
        raise InputError(f"nothing is known of what limits this animal ({limiting}); add a layer of kind `cover`")
    return answered, [need for need in needs if need not in answered]


def _same_grid(layers: Sequence[Layer]) -> Layer:
    for layer in layers[1:]:
        layers[0].checked_against(layer)
    return layers[0].with_values(layers[0].values, name="suitability", unit="1")


def _limited(needs: Sequence[Need], scores: Mapping[str, Layer]) -> FloatArray:
    limiting = [need for need in needs if need.role == "limiting"]
    product = limiting_product([scores[need.key].values for need in limiting], [need.weight for need in limiting])
    for need in limiting:
        if need.main:
            product = np.where(scores[need.key].known, product, np.nan)
    return product


def _lifted(needs: Sequence[Need], scores: Mapping[str, Layer], floor: float, like: Layer) -> FloatArray:
    others = [need for need in needs if need.role == "compensating"]
    if not others:
        return np.ones(like.grid.shape)
    mean = compensating_mean([scores[need.key].values for need in others], [need.weight for need in others])
    return lift(mean, floor)


def _confidence(
    start: float,
    answered: Sequence[Need],
    missing: Sequence[Need],
    scores: Mapping[str, Layer],
    ingredients: Mapping[str, Layer],
    kept: float,
) -> float:
    """Each limiting need that was not measured takes its part; one measured here and there takes part of it."""
    confidence, needs = start, (*answered, *missing)
    for need in needs:
        substitutes = [other.key for other in needs if other.stands_in_for == need.key and other.key in ingredients]
        absent = need.key not in ingredients
        if need.role != "limiting" or need.stands_in_for or (need.optional and absent and not substitutes):
            continue
        known = [scores[key].known for key in (need.key, *substitutes) if key in ingredients]
        share = float(np.logical_or.reduce(known).mean()) if known else 0.0
        confidence *= kept + (1 - kept) * share
    return confidence


def _notices(answered: Sequence[Need], missing: Sequence[Need], ingredients: Mapping[str, Layer]) -> tuple[str, ...]:
    lines = [
        f"no layer for {need.label}: it is taken as {need.when_absent:g} of 1 everywhere ({cite(need.absent_source)})"
        for need in answered
        if need.key not in ingredients
    ]
    shared = "its weight is shared by the other surroundings"
    alone = "the ground is judged without it"
    for need in missing:
        if need.optional or need.weight == 0:
            continue
        others = [other.label for other in answered if other.stands_in_for == need.key and other.key in ingredients]
        instead = f"{' and '.join(others)} stands in for it"
        lines.append(
            f"no layer for {need.label}: {instead if others else shared if need.role == 'compensating' else alone}"
        )
    return tuple(lines)
