"""A male has one main log and at times displays on another near it: where he may be, given his main log.

How mornings are put together is group_likelihood.py's business.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from hushwalk.birds.loudness import TINY
from hushwalk.grid.grid import Grid
from hushwalk.notes.figures import figure
from hushwalk.types import FloatArray

REACH_SD = 3.0  # judgement: the kernel is cut off at three standard deviations


@dataclass(frozen=True)
class AlternateLogs:
    """How a male changes logs from morning to morning.

    Parameters
    ----------
    grid : that the places lie on, row by row.
    share : chance that he displays on another than his main log, on one morning.
    away_m : distance of the other log [m].
    sd_m : its spread [m].

    Notes
    -----
    The other log lies in any direction, at a distance that is normal round ``away_m``.
    """

    grid: Grid
    share: float = field(default_factory=lambda: figure("alternate", "share"))
    away_m: float = field(default_factory=lambda: figure("alternate", "away_m"))
    sd_m: float = field(default_factory=lambda: figure("alternate", "sd_m"))

    def spread(self, near: NDArray[np.int64], log_chance: FloatArray, count: int) -> FloatArray:
        """Log chance of a morning for a bird by its main log, from that by the log it displays on.

        Parameters
        ----------
        near : shape (k,), places on the grid, row by row.
        log_chance : shape (k,), at these places, by the log displayed on.
        count : number of all places.

        Returns
        -------
        ndarray
            Shape (k,), by the main log.
        """
        top = float(log_chance.max(initial=-np.inf))
        if not np.isfinite(top):
            return log_chance
        whole = np.zeros(count)
        whole[near] = np.exp(log_chance - top)
        other = _spread(whole.reshape(self.grid.shape), self.kernel()).ravel()[near]
        mixed = (1 - self.share) * whole[near] + self.share * np.maximum(other, 0.0)
        return np.asarray(np.log(np.maximum(mixed, TINY)) + top, dtype=np.float64)

    def kernel(self) -> FloatArray:
        """Chance of each cell round the main log to hold the other log; sums to 1."""
        half = int(np.ceil((self.away_m + REACH_SD * self.sd_m) / self.grid.cell_m))
        y, x = np.mgrid[-half : half + 1, -half : half + 1] * self.grid.cell_m
        away = np.hypot(x, y)
        ring = np.exp(-0.5 * ((away - self.away_m) / self.sd_m) ** 2) / np.maximum(away, self.grid.cell_m / 2)
        return np.asarray(ring / ring.sum(), dtype=np.float64)


def _spread(values: FloatArray, kernel: FloatArray) -> FloatArray:
    """Convolve, in the shape of the values; scipy.signal does the same and takes a second to load."""
    whole = [n + k - 1 for n, k in zip(values.shape, kernel.shape, strict=True)]
    padded = [fft.next_fast_len(n, True) for n in whole]  # noqa: FBT003  real values
    spread = fft.irfftn(fft.rfftn(values, padded) * fft.rfftn(kernel, padded), padded)
    top, left = ((n - m) // 2 for n, m in zip(whole, values.shape, strict=True))
    return np.asarray(spread[top : top + values.shape[0], left : left + values.shape[1]])
