import numpy as np
import pytest
from scipy import optimize, stats

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import DensityParams, density, refit_region

GRID = Grid(32615, 0.0, 0.0, 100.0, 1, 2)
PARAMS = DensityParams(10.0, 0.5, 0.6, 0.7, 0.4)


def test_density_is_best_times_region_times_year_times_suitability() -> None:
    males = density(Layer("suitability", "1", GRID, np.array([[0.5, np.nan]])), PARAMS)
    assert males.middle.values[0, 0] == pytest.approx(1.5)
    assert np.isnan(males.middle.values[0, 1])
    assert males.middle.unit == "1/km2"
    assert males.males()[1] == pytest.approx(0.015)


def test_low_and_high_are_the_tenths_of_a_log_normal() -> None:
    males = density(Layer("suitability", "1", GRID, np.array([[1.0, 1.0]])), PARAMS)
    error = stats.lognorm(s=np.hypot(0.7, 0.4), scale=3.0)
    assert males.low.values[0, 0] == pytest.approx(error.ppf(0.1))
    assert males.high.values[0, 0] == pytest.approx(error.ppf(0.9))


def test_another_middle_keeps_the_range() -> None:
    males = density(Layer("suitability", "1", GRID, np.array([[1.0, 0.5]])), PARAMS)
    fewer = males.with_middle(males.middle.values / 3, "a third was heard")
    assert fewer.low.values == pytest.approx(males.low.values / 3)
    assert fewer.high.values == pytest.approx(males.high.values / 3)
    assert fewer.middle.unit == "1/km2"


@pytest.mark.parametrize(("heard", "expected"), [(0.0, 4.0), (1.0, 4.0), (9.0, 4.0), (400.0, 100.0), (3.0, 3.0)])
def test_a_count_moves_the_region_as_far_as_an_independent_optimiser_says(heard: float, expected: float) -> None:
    def loss(u: float) -> float:
        return float(-(stats.poisson.logpmf(heard, expected * np.exp(u)) + stats.norm.logpdf(u, scale=0.7)))

    best = optimize.minimize_scalar(loss, bounds=(-5, 5), method="bounded", options={"xatol": 1e-10}).x
    assert refit_region(PARAMS, heard, expected) == pytest.approx(0.5 * np.exp(best), rel=1e-5)


def test_many_birds_bring_the_plain_ratio_and_certainty_stays_put() -> None:
    assert refit_region(PARAMS, 2e6, 1e6) == pytest.approx(1.0, rel=1e-4)
    assert refit_region(DensityParams(10.0, 0.5, 0.6, 0.0, 0.4), 50.0, 1.0) == 0.5


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(SettingsError, match="above 0"):
        DensityParams(0.0, 1.0, 1.0, 0.1, 0.1)
    with pytest.raises(SettingsError, match="standard deviations"):
        DensityParams(1.0, 1.0, 1.0, -0.1, 0.1)
    with pytest.raises(SettingsError, match="expected > 0"):
        refit_region(PARAMS, 1.0, 0.0)
