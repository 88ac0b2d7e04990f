"""Horn 1981, Proc. IEEE 69:14-47: slope from eight neighbours with weights 1 2 1 (from memory).

Held against scipy.ndimage.sobel, whose kernel is the same stencil, and against surfaces whose gradient is known.
"""

import numpy as np
import pytest
import rasterio
from scipy import ndimage

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import aspect, gradient, hillshade, slope

GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 20, 30)


def heights(values: np.ndarray) -> Layer:
    return Layer("elevation", "m", GRID, values)


def metres() -> tuple[np.ndarray, np.ndarray]:
    rows, cols = np.indices(GRID.shape)
    xy = GRID.xy(rows.ravel(), cols.ravel()).reshape(*GRID.shape, 2)
    return xy[..., 0] - 500_000.0, xy[..., 1] - 5_200_000.0


def test_the_stencil_is_that_of_an_independent_library() -> None:
    z = np.random.default_rng(1).normal(300, 20, GRID.shape)
    east, north = gradient(heights(z))
    inner = (slice(1, -1), slice(1, -1))
    assert east[inner] == pytest.approx(ndimage.sobel(z, axis=1)[inner] / 80)
    assert north[inner] == pytest.approx(-ndimage.sobel(z, axis=0)[inner] / 80)


def test_a_plane_is_exact_up_to_the_corners() -> None:
    e, n = metres()
    plane = heights(0.3 * e - 0.4 * n)
    assert slope(plane).values == pytest.approx(np.full(GRID.shape, np.degrees(np.arctan(0.5))))
    # the ground falls to the west (0.3) and to the north (0.4): atan2(-0.3, 0.4) from north
    assert aspect(plane).values == pytest.approx(np.full(GRID.shape, 360 - np.degrees(np.arctan2(0.3, 0.4))))


def test_a_quadratic_bowl_is_exact_inside() -> None:
    e, n = metres()
    east, north = gradient(heights(0.001 * e**2 + 0.002 * e * n - 0.003 * n**2))
    assert east[1:-1, 1:-1] == pytest.approx((0.002 * e + 0.002 * n)[1:-1, 1:-1])
    assert north[1:-1, 1:-1] == pytest.approx((0.002 * e - 0.006 * n)[1:-1, 1:-1])


def test_hillshade_is_the_cosine_between_the_normal_and_the_light() -> None:
    e, n = metres()
    shade = hillshade(heights(0.3 * e - 0.4 * n), azimuth_deg=300.0, altitude_deg=40.0)
    normal = np.array([-0.3, 0.4, 1.0]) / np.sqrt(1.25)
    azimuth, altitude = np.radians([300.0, 40.0])
    light = np.array([np.sin(azimuth) * np.cos(altitude), np.cos(azimuth) * np.cos(altitude), np.sin(altitude)])
    assert shade.values == pytest.approx(np.full(GRID.shape, normal @ light))


@pytest.mark.real_layers
def test_the_slope_band_of_a_published_landscape(shared_data) -> None:
    """LANDFIRE, Bitterroot Mountains: band 2 is the publisher's own slope in whole degrees.

    It was made before the file was put on another grid, so single cells differ by a few degrees; on the whole they
    must agree.
    """
    with rasterio.open(shared_data / "areas" / "bitterroot_mt" / "example_lcp.tif") as layers:
        z, published = layers.read(1).astype(float), layers.read(2).astype(float)
        cell_m = layers.res[0]
    grid = Grid(32611, 0.0, 0.0, cell_m, *z.shape)
    ours = slope(Layer("elevation", "m", grid, z)).values[1:-1, 1:-1]
    theirs = published[1:-1, 1:-1]
    assert abs(np.mean(ours - theirs)) < 0.5
    assert np.corrcoef(ours.ravel(), theirs.ravel())[0, 1] > 0.96
