"""Why a place is good or poor: each ingredient's value, score, weight and part in the answer.

The surface itself is made in suitability.py; the sentences are wording/habitat_words.py's.
"""

from dataclasses import dataclass
from enum import Enum

import numpy as np

from hushwalk.habitat.needs import Need
from hushwalk.habitat.suitability import Suitability
from hushwalk.types import BoolArray, FloatArray

GOOD, FAIR = 0.7, 0.35  # judgement: thirds of the scale, so that three words cover it


class Rating(Enum):
    """How good a score is."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"
    UNKNOWN = "not known"


@dataclass(frozen=True)
class Reason:
    """One ingredient at one place.

    Parameters
    ----------
    need : that it answers.
    value : as measured, in the unit of the need; NaN where it was not.
    score, weight : 0..1 (NaN where it is not known), and the weight as it was used.
    factor : what it multiplies the answer by; for a compensating need, if the others stayed as they are.
    """

    need: Need
    value: float
    score: float
    weight: float
    factor: float

    @property
    def rating(self) -> Rating:
        """How good the score is."""
        if not np.isfinite(self.score):
            return Rating.UNKNOWN
        return Rating.GOOD if self.score >= GOOD else Rating.FAIR if self.score >= FAIR else Rating.POOR


@dataclass(frozen=True)
class Why:
    """Why one place is as good as it is.

    Parameters
    ----------
    xy_m : the place.
    suitability : 0..1, NaN where nothing is known.
    reasons : those that count most come first.
    home : mean of the ground within the home range, 0..1.
    home_radius_m : of the home range.
    """

    xy_m: tuple[float, float]
    suitability: float
    reasons: tuple[Reason, ...]
    home: float
    home_radius_m: float


def why(surface: Suitability, xy_m: tuple[float, float]) -> Why:
    """Explain the suitability of one place.

    Parameters
    ----------
    surface : from :func:`hushwalk.habitat.suitability.suitability`.
    xy_m : easting and northing [m].

    Returns
    -------
    Why

    Raises
    ------
    PlaceError
        If the place lies off the grid.
    """
    cell = surface.layer.grid.cell_at(xy_m, "the place asked about")
    reasons = sorted(
        (_reason(surface, need, cell) for need in surface.needs), key=lambda r: abs(np.log(max(r.factor, 1e-9)))
    )
    ordered = tuple(reversed(reasons))
    worth, home = float(surface.layer.values[cell]), float(surface.home.values[cell])
    return Why(xy_m, worth, ordered, home, surface.params.home_radius_m)


def why_over(surface: Suitability, where: BoolArray) -> tuple[Reason, ...]:
    """Explain the suitability of a piece of ground.

    Parameters
    ----------
    surface : from :func:`hushwalk.habitat.suitability.suitability`.
    where : shape of the grid, the cells of the ground.

    Returns
    -------
    tuple of Reason
        With the mean score and the mean factor over the cells where an ingredient is known, that which takes most
        first; ingredients that are known nowhere are left out.
    """
    lines = []
    for need in surface.needs:
        scores = surface.scores[need.key].values[where]
        scores = scores[np.isfinite(scores)]
        if not scores.size:
            continue
        score, weight = float(scores.mean()), surface.weights[need.key]
        factor = float(_factor(surface, need, scores).mean())
        lines.append(Reason(need, np.nan, score, weight, factor))
    return tuple(sorted(lines, key=lambda reason: reason.factor))


def _reason(surface: Suitability, need: Need, cell: tuple[int, int]) -> Reason:
    score = float(surface.scores[need.key].values[cell])
    measured = surface.measured.get(need.key)
    value = float("nan") if measured is None else float(measured.values[cell])
    factor = float(_factor(surface, need, np.array(score)))
    return Reason(need, value, score, surface.weights[need.key], factor)


def _factor(surface: Suitability, need: Need, score: FloatArray) -> FloatArray:
    if need.role == "limiting":
        taken = score**need.weight
    else:
        taken = 1.0 - (1.0 - surface.params.floor) * surface.weights[need.key] * (1.0 - score)
    return np.where(np.isfinite(score), taken, 1.0)
