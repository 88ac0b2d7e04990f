"""Why a place is good or poor: each ingredient's value, score, weight and part in the answer, in words.

The surface itself is made in suitability.py.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.habitat.needs import Need
from hushwalk.habitat.suitability import Suitability

GOOD, FAIR = 0.7, 0.35  # judgement: thirds of the scale, so that three words cover it


@dataclass(frozen=True)
class Reason:
    """One ingredient at one place.

    Parameters
    ----------
    key, label, unit : of the need.
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


def _reason(surface: Suitability, need: Need, cell: tuple[int, int]) -> Reason:
    score = float(surface.scores[need.key].values[cell])
    measured = surface.measured.get(need.key)
    value = float("nan") if measured is None else float(measured.values[cell])
    weight = surface.weights[need.key]
    return Reason(
        need.key, need.label, need.unit, value, score, weight, _factor(surface, need, score), _words(need, value, score)
    )


def _factor(surface: Suitability, need: Need, score: float) -> float:
    if not np.isfinite(score):
        return 1.0
    if need.role == "limiting":
        return float(score**need.weight)
    return 1.0 - (1.0 - surface.params.floor) * surface.weights[need.key] * (1.0 - score)


def _words(need: Need, value: float, score: float) -> str:
    if not np.isfinite(score):
        return f"{need.label}: not known here"
    told = "good" if score >= GOOD else "fair" if score >= FAIR else "poor"
    mark = ", assumed" if need.assumed else ""
    if not np.isfinite(value):
        return f"{need.label}: taken as {score:.2f} of 1, no layer ({told}{mark})"
    measured = f"{value:.2f}" if need.unit == "1" else f"{value:.0f} {need.unit}"
    return f"{need.label}: {measured}, scored {score:.2f} ({told}{mark})"


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
