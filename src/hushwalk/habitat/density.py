"""Displaying males per square kilometre, from how good the ground is, with a low and a high figure.

Which density the best ground of a region holds is on the species card.
"""

from dataclasses import dataclass

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.types import FloatArray

NORMAL_90 = 1.281_551_565_5
"""The 90 % point of the standard normal distribution, by definition."""


@dataclass(frozen=True)
class DensityParams:
    """What the best ground holds.

    Parameters
    ----------
    best_per_km2 : displaying males on the best ground of the best region in a peak year [1/km2].
    region_factor : share of it that the best ground of this region holds.
    cycle_factor : share of it in a year such as this.
    region_log_sd, cycle_log_sd : how uncertain the two factors are, as standard deviations of their logarithm.
    sources : where the numbers come from.
    """

    best_per_km2: float
    region_factor: float
    cycle_factor: float
    region_log_sd: float
    cycle_log_sd: float
    sources: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not (self.best_per_km2 > 0 and self.region_factor > 0 and self.cycle_factor > 0):
            raise SettingsError(f"density, region and cycle factors lie above 0, got {self}")
        if not (self.region_log_sd >= 0 and self.cycle_log_sd >= 0):
            raise SettingsError(f"standard deviations are 0 or more, got {self}")

    @property
    def middle_per_km2(self) -> float:
        """Males on the best ground here and now [1/km2]."""
        return self.best_per_km2 * self.region_factor * self.cycle_factor

    @property
    def spread(self) -> float:
        """Factor between the middle and the high figure, and between the low and the middle."""
        return float(np.exp(NORMAL_90 * np.hypot(self.region_log_sd, self.cycle_log_sd)))


@dataclass(frozen=True, eq=False)
class Density:
    """Displaying males by cell [1/km2]; eight times of ten the truth should lie between low and high."""

    low: Layer
    middle: Layer
    high: Layer
    params: DensityParams

    def males(self) -> tuple[float, float, float]:
        """Low, middle and high number of males on all the ground."""
        area = self.middle.grid.cell_area_km2
        low, middle, high = (float(np.nansum(layer.values)) * area for layer in (self.low, self.middle, self.high))
        return low, middle, high

    def with_middle(self, values: FloatArray, step: str) -> "Density":
        """Give other figures for the same region and year.

        Parameters
        ----------
        values : of the middle figure, shape of the grid [1/km2]; low and high keep their factors to it.
        step : how they were made.
        """
        middle, spread = self.middle.with_values(values, step=step), self.params.spread
        low, high = self.low.with_values(values / spread), self.high.with_values(values * spread)
        return Density(low, middle, high, self.params)


def density(suitability: Layer, params: DensityParams) -> Density:
    """Turn suitability into displaying males per square kilometre.

    Parameters
    ----------
    suitability : 0..1, NaN where unknown.
    params : what the best ground holds.

    Returns
    -------
    Density

    Notes
    -----
    ``D = best x region x cycle x S``. Low and high are the 10 % and 90 % points of a log-normal error in region and
    year, which outweigh every other doubt.
    """
    middle = suitability.with_values(
        suitability.values * params.middle_per_km2,
        name="displaying males",
        unit="1/km2",
        step=f"best ground here holds {params.middle_per_km2:.2f} males per km2",
    )
    low, high = (
        middle.with_values(middle.values * factor, name=f"displaying males, {word}")
        for word, factor in (("low", 1 / params.spread), ("high", params.spread))
    )
    return Density(low, middle, high, params)


def refit_region(params: DensityParams, heard: float, expected: float) -> float:
    """Learn the factor of a region from a count.

    Parameters
    ----------
    params : with the factor believed before.
    heard : males counted, 0 or more.
    expected : males that the count should have given with that factor, above 0.

    Returns
    -------
    float
        The most probable factor.

    Raises
    ------
    SettingsError
        If the counts cannot be.

    Notes
    -----
    A Poisson count with a log-normal prior. With ``u`` the logarithm of the correction, the answer solves
    ``heard - expected exp(u) - u / sd^2 = 0``, by Newton steps. Few birds move the factor little; many bring it to
    ``region_factor x heard / expected``.
    """
    if not (heard >= 0 and expected > 0):
        raise SettingsError(f"a count needs heard >= 0 and expected > 0, got {heard} and {expected}")
    if params.region_log_sd == 0:
        return params.region_factor
    precision = params.region_log_sd**-2
    step = min(0.0, float(np.log(max(heard, 1e-9) / expected)))
    for _ in range(100):
        slope = expected * np.exp(step) + precision
        move = (heard - expected * np.exp(step) - step * precision) / slope
        step += float(np.clip(move, -1.0, 1.0))
        if abs(move) < 1e-12:  # noqa: PLR2004  far below what a count can tell
            break
    return float(params.region_factor * np.exp(step))


def males_on(density_per_km2: Layer, coarse: Grid) -> FloatArray:
    """Displaying males on each cell of a coarser grid with the same corner, shape (coarse.n_cells,)."""
    grid = density_per_km2.grid
    rows, cols = np.indices(grid.shape)
    factor = round(coarse.cell_m / grid.cell_m)
    cell = (rows // factor) * coarse.n_cols + cols // factor
    per_cell = np.nan_to_num(density_per_km2.values) * grid.cell_area_km2
    males: FloatArray = np.bincount(cell.ravel(), weights=per_cell.ravel(), minlength=coarse.n_cells).astype(float)
    return males
