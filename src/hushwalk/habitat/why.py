"""Why a place is good or poor: each ingredient's value, score, weight and part in the answer, in words.

The surface itself is made in suitability.py.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.habitat.needs import Need, Role
from hushwalk.habitat.suitability import Suitability
from hushwalk.types import BoolArray, FloatArray

GOOD, FAIR = 0.7, 0.35  # judgement: thirds of the scale, so that three words cover it


@dataclass(frozen=True)
class Reason:
    """One ingredient at one place.

    Parameters
    ----------
    key, label, unit, role : of the need.
    value : as measured; NaN where it was not.
    score, weight : 0..1, and the weight as it was used.
    factor : what it multiplies the answer by; for a compensating need, if the others stayed as they are.
    words : one clause.
    """

    key: str
    label: str
    unit: str
    value: float
    score: float
    weight: float
    factor: float
    words: str
    role: Role


@dataclass(frozen=True)
class Why:
    """Why one place is as good as it is.

    Parameters
    ----------
    xy_m : the place.
    suitability : 0..1, NaN where nothing is known.
    reasons : those that count most come first.
    home : mean of the ground within the home range, 0..1.
    sentence : the whole in words.
    """

    xy_m: tuple[float, float]
    suitability: float
    reasons: tuple[Reason, ...]
    home: float
    sentence: str


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
    return Why(xy_m, worth, ordered, home, _sentence(worth, home, ordered, surface))


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
        words = f"{need.label} {score:.2f} of 1"
        lines.append(Reason(need.key, need.label, need.unit, np.nan, score, weight, factor, words, need.role))
    return tuple(sorted(lines, key=lambda reason: reason.factor))


def _reason(surface: Suitability, need: Need, cell: tuple[int, int]) -> Reason:
    score = float(surface.scores[need.key].values[cell])
    measured = surface.measured.get(need.key)
    value = float("nan") if measured is None else float(measured.values[cell])
    weight = surface.weights[need.key]
    factor = float(_factor(surface, need, np.array(score)))
    return Reason(need.key, need.label, need.unit, value, score, weight, factor, _words(need, value, score), need.role)


def _factor(surface: Suitability, need: Need, score: FloatArray) -> FloatArray:
    if need.role == "limiting":
        taken = score**need.weight
    else:
        taken = 1.0 - (1.0 - surface.params.floor) * surface.weights[need.key] * (1.0 - score)
    return np.where(np.isfinite(score), taken, 1.0)


def _words(need: Need, value: float, score: float) -> str:
    if not np.isfinite(score):
        return f"{need.label}: not known here"
    lines = "good" if score >= GOOD else "fair" if score >= FAIR else "poor"
    mark = ", assumed" if need.assumed else ""
    if not np.isfinite(value):
        return f"{need.label}: taken as {score:.2f} of 1, no layer ({lines}{mark})"
    measured = f"{value:.2f}" if need.unit == "1" else f"{value:.0f} {need.unit}"
    return f"{need.label}: {measured}, scored {score:.2f} ({lines}{mark})"


def _sentence(worth: float, home: float, reasons: tuple[Reason, ...], surface: Suitability) -> str:
    if not np.isfinite(worth):
        return "Nothing is known of this ground."
    held = [r for r in reasons if np.isfinite(r.score)]
    good = [r.label for r in held if r.score >= GOOD and r.weight > 0]
    poor = [r.label for r in held if r.score < FAIR and r.weight > 0]
    parts = [f"Worth {worth:.2f} of the best ground"]
    parts += [f"for it: {', '.join(good)}"] if good else []
    parts += [f"against it: {', '.join(poor)}"] if poor else []
    parts.append(f"the ground within {surface.params.home_radius_m:.0f} m averages {home:.2f}")
    return "; ".join(parts) + "."
