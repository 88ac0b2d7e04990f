"""Where water gathers: closed forms of plane and cone, nothing lost, hollows that overflow, and unknown ground."""

import numpy as np
import pyflwdir
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hushwalk.errors import InputError
from hushwalk.grid.drainage import LEVEL, _filled, catchment, wetness
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer

ROWS, COLS = 121, 141
GRID = Grid(32615, 500_000.0, 5_000_000.0, 10.0, ROWS, COLS)
DOWN, RIGHT = np.indices(GRID.shape)


def heights(values: np.ndarray) -> Layer:
    return Layer("elevation", "m", GRID, np.asarray(values, dtype=float))


def test_on_a_plane_the_catchment_is_the_length_of_the_slope_above() -> None:
    found = catchment(heights(300 - 2.0 * DOWN)).values
    middle = found[:60, 70]
    assert middle == pytest.approx(10.0 * np.arange(1, 61))
    wet = wetness(heights(300 - 2.0 * DOWN)).values[:60, 70]
    assert wet == pytest.approx(np.log(10.0 * np.arange(1, 61) / 0.2))  # ln(a / tan b), Beven and Kirkby 1979


def test_on_a_cone_the_catchment_is_half_the_distance_from_its_top() -> None:
    """A sector of angle t holds t r^2 / 2 above a rim of t r, so a = r / 2 whatever the direction."""
    away_m = np.hypot(DOWN - 60, RIGHT - 70) * 10.0
    found = catchment(heights(900 - 0.4 * away_m)).values
    ring = (away_m > 300) & (away_m < 550)
    share = found[ring] / (away_m[ring] / 2)
    assert np.median(share) == pytest.approx(1.0, abs=0.08)
    assert np.abs(share - 1).max() < 0.15  # no direction is favoured by the lattice


def test_hollows_fill_to_the_heights_of_an_independent_library() -> None:
    z = np.random.default_rng(5).integers(0, 5000, (60, 70)) / 4  # the library fills in single precision
    assert np.array_equal(_filled(z)[0], pyflwdir.dem.fill_depressions(z, nodata=-9999.0)[0])


def test_water_that_leaves_by_one_neighbour_misses_the_closed_form_of_a_cone() -> None:
    """Why the sharing of water is ours: the library sends all of it to the steepest neighbour."""
    away_m = np.hypot(DOWN - 60, RIGHT - 70) * 10.0
    z = 900 - 0.4 * away_m
    ring = (away_m > 300) & (away_m < 550)
    steepest_m = pyflwdir.from_dem(z, nodata=-9999.0).upstream_area("cell")[ring] * GRID.cell_m
    shared_m = catchment(heights(z)).values[ring]
    assert np.abs(steepest_m / (away_m[ring] / 2) - 1).max() > 0.9
    assert np.abs(shared_m / (away_m[ring] / 2) - 1).max() < 0.1


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10_000), holes=st.floats(0.0, 0.2), steps=st.booleans())
def test_every_drop_leaves_at_the_edge_or_at_unknown_ground(seed: int, holes: float, steps: bool) -> None:
    rng = np.random.default_rng(seed)
    grid = Grid(32615, 0.0, 0.0, 10.0, 14, 17)
    z = rng.random(grid.shape) * 50
    z = np.rint(z / 10) * 10 if steps else z  # level ground and hollows everywhere
    z[rng.random(grid.shape) < holes] = np.nan
    if np.isnan(z).all():
        return
    area = catchment(Layer("elevation", "m", grid, z)).values / grid.cell_m
    assert np.array_equal(np.isnan(area), np.isnan(z))
    assert np.nanmin(area) >= 1.0
    padded = np.pad(z, 1, constant_values=np.nan)
    rim = np.zeros(grid.shape, dtype=bool)
    for i in range(3):
        for j in range(3):
            rim |= np.isnan(padded[i : i + grid.n_rows, j : j + grid.n_cols])
    # what gathers on the rim is at least all there is: nothing is lost inside, some of it runs along the rim
    assert np.nansum(area[rim & np.isfinite(z)]) >= np.isfinite(z).sum() - 1e-6
    assert np.nanmax(area) <= np.isfinite(z).sum() + 1e-6


def test_a_hollow_fills_and_runs_over_at_its_lowest_lip() -> None:
    z = 500 + 0.0 * DOWN
    z[40:81, 40:81] = 480.0 + np.hypot(DOWN - 60, RIGHT - 60)[40:81, 40:81] * 0.1  # a bowl in level ground
    z[60, 81:] = 495.0 - 0.1 * np.arange(COLS - 81)  # a ditch leads out of it
    found = catchment(heights(z)).values / GRID.cell_m
    assert found[60, 85] > 41 * 41  # the whole bowl, and some of the level ground round about
    assert found[60, -1] >= found[60, 85]


def test_a_valley_is_wetter_than_its_sides_and_level_ground_is_finite() -> None:
    z = np.abs(RIGHT - 70) * 3.0 - DOWN * 0.5
    wet = wetness(heights(z)).values
    assert (wet[40:100, 70] > wet[40:100, 50] + 2).all()
    level = wetness(heights(np.full(GRID.shape, 12.0))).values
    assert np.isfinite(level).all()
    assert level.min() >= np.log(GRID.cell_m / LEVEL) - 1e-9


def test_ground_without_a_height_is_refused() -> None:
    with pytest.raises(InputError, match="no height is known"):
        catchment(heights(np.full(GRID.shape, np.nan)))
