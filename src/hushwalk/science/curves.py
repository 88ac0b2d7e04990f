"""Response curves: what a measured value is worth to an animal, between 0 and 1.

Which curve belongs to which animal is on its species card; how scores are joined is blending.py's business.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import ArrayLike

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray


@dataclass(frozen=True)
class Curve:
    """Straight lines between knees, level beyond the first and the last.

    Parameters
    ----------
    values : of the variable at the knees, rising.
    scores : at the knees, 0..1.

    Raises
    ------
    SettingsError
        If the knees do not rise, are fewer than two, or a score lies outside 0..1.

    Examples
    --------
    >>> Curve((0.0, 30.0, 60.0), (0.0, 0.5, 1.0))([15.0, 45.0, 90.0]).tolist()
    [0.25, 0.75, 1.0]
    """

    values: tuple[float, ...]
    scores: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.values) != len(self.scores) or len(self.values) < 2:  # noqa: PLR2004  a line has two ends
            raise SettingsError(
                f"a curve needs two knees or more, got {len(self.values)} values and {len(self.scores)} scores"
            )
        if not np.all(np.isfinite(self.values)) or not np.all(np.diff(self.values) > 0):
            raise SettingsError(f"the values of a curve must rise, got {list(self.values)}")
        if not all(0 <= score <= 1 for score in self.scores):
            raise SettingsError(f"the scores of a curve lie between 0 and 1, got {list(self.scores)}")

    def __call__(self, values: ArrayLike) -> FloatArray:
        """Give the scores of values of any shape; NaN stays NaN."""
        field = np.asarray(values, dtype=float)
        knees, scores = np.array(self.values, dtype=float), np.array(self.scores, dtype=float)
        return np.asarray(_between(np.ravel(field), knees, scores)).reshape(field.shape)

    def mean(self, low: float, high: float) -> float:
        """Give the mean score over an interval, exactly.

        Parameters
        ----------
        low, high : ends of the interval, low below high.
        """
        knees = np.array([low, *(v for v in self.values if low < v < high), high])
        return float(np.trapezoid(self(knees), knees) / (high - low))


@njit(cache=True, nogil=True)
def _between(values: FloatArray, knees: FloatArray, scores: FloatArray) -> FloatArray:  # pragma: no cover  compiled
    last = len(knees) - 1
    steep = (scores[1:] - scores[:-1]) / (knees[1:] - knees[:-1])
    found = np.full(values.size, np.nan)
    for k in range(values.size):
        value = values[k]
        if value <= knees[0]:
            found[k] = scores[0]
        elif value >= knees[last]:
            found[k] = scores[last]
        elif value == value:  # noqa: PLR0124  false for NaN only
            at = 0
            while value >= knees[at + 1]:
                at += 1
            found[k] = steep[at] * (value - knees[at]) + scores[at]
    return found
