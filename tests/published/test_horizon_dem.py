"""Skylines: closed forms of the curved earth, and the sky-view raster of the Mammoth Lakes basin.

The raster was made by the authors of the public-domain package topocalc (US Department of Agriculture) with a terrain
program of their own, on a 50 m grid (CC0). Curvature: worked values of surveying texts. Refraction: Allen (1976).
"""

from pathlib import Path

import numpy as np
import pytest
import rasterio

from hushwalk.filming.skyline import SkylineParams, sky_view, skyline_at
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import aspect, slope
from hushwalk.science.horizon import curvature_drop_m, refraction_deg

# rise, distance -> flat earth, curvature alone, with k = 0.13; the exact sphere without air
ANGLES = {
    (20, 100): (11.3099, 11.3095, 11.3096),
    (100, 1000): (5.7106, 5.7061, 5.7067),
    (200, 5000): (2.2906, 2.2682, 2.2711),
    (300, 10_000): (1.7184, 1.6734, 1.6793),
    (500, 30_000): (0.9548, 0.8200, 0.8375),
}


def rise_angle_deg(rise_m: float, distance_m: float, refraction_k: float) -> np.ndarray:
    return np.degrees(np.arctan2(rise_m - curvature_drop_m(distance_m, refraction_k), distance_m))


@pytest.mark.parametrize("case", ANGLES)
def test_angles_over_a_round_earth(case: tuple[float, float]) -> None:
    flat, bare, air = ANGLES[case]
    assert float(rise_angle_deg(*case, 1.0)) == pytest.approx(flat, abs=0.0006)
    assert float(rise_angle_deg(*case, 0.0)) == pytest.approx(bare, abs=0.0006)
    assert float(rise_angle_deg(*case, 0.13)) == pytest.approx(air, abs=0.0006)


def test_the_exact_sphere() -> None:
    """Angle between the eye's level and the chord to a point at radius R + rise, d along the surface."""
    radius = 6_371_000.0
    for (rise, d), (_, bare, _) in ANGLES.items():
        turn = d / radius
        up, along = (radius + rise) * np.cos(turn) - radius, (radius + rise) * np.sin(turn)
        exact = np.degrees(np.arctan2(up, along))
        assert float(rise_angle_deg(rise, d, 0.0)) == pytest.approx(exact, abs=0.001)
        assert bare == pytest.approx(exact, abs=0.001)


def test_worked_drops() -> None:
    assert float(curvature_drop_m(900, 0)) == pytest.approx(0.063, abs=0.001)
    assert float(curvature_drop_m(2500, 0)) == pytest.approx(0.49, abs=0.005)
    assert float(curvature_drop_m(1000, 1 / 7)) == pytest.approx(0.0673, abs=1e-4)


def test_refraction_by_the_printed_table() -> None:
    """Allen: horizon 35.4', 2 degrees 18.4', 5 degrees 9.9', 10 degrees 5.3' on the apparent altitude."""
    for apparent, minutes in ((0.0, 35.4), (2.0, 18.4), (5.0, 9.9), (10.0, 5.3)):
        airless = apparent - minutes / 60
        ours = float(refraction_deg(airless, pressure_hpa=1013)) * 60
        assert ours == pytest.approx(minutes, abs=1.0 if apparent == 0 else 0.2)


@pytest.mark.parametrize(("cell_m", "tolerance"), [(10.0, 0.001), (30.0, 0.09)])
def test_a_ridge_of_200_m_five_kilometres_north(cell_m: float, tolerance: float) -> None:
    """2.2539 deg for an eye 1.5 m up, from the closed form; coarse cells smooth the crest."""
    n = round(11_000 / cell_m) + 1
    grid = Grid(32615, 500_000 - n * cell_m / 2, 5_200_000 + n * cell_m / 2, cell_m, n, n)
    rows = np.arange(n)[:, None] * np.ones(n)
    north = grid.north_m - (rows + 0.5) * cell_m - 5_200_000
    crest = Layer("elevation", "m", grid, 400 + np.maximum(200 - 0.2 * np.abs(north - 5000), 0))
    got = skyline_at(crest, (500_000.0, 5_200_000.0), params=SkylineParams(eye_m=1.5, reach_m=6000))
    exact = np.degrees(np.arctan2(198.5 - 5000**2 * 0.87 / (2 * 6_371_000), 5000))
    assert exact == pytest.approx(2.2539, abs=1e-4)
    assert got.terrain_deg[0] == pytest.approx(exact, abs=tolerance)


@pytest.mark.real_layers
def test_sky_view_of_the_mammoth_lakes_basin(shared_data: Path) -> None:
    """On sloping ground by the equation of Dozier and Frew (1990); notes by other code: r = 0.90 for level."""
    folder = shared_data / "areas" / "mammoth_lakes_ca"
    with rasterio.open(folder / "reference_sky_view_factor.tif") as data:
        reference = data.read(1)
    with rasterio.open(f"netcdf:{folder / 'topo.nc'}:dem") as data:
        heights = data.read(1).astype(float)
    grid = Grid(32611, 319_975.0, 4_166_675.0, 50.0, *heights.shape)
    dem = Layer("elevation", "m", grid, heights)
    rng = np.random.default_rng(1)
    rows, cols = rng.integers(5, grid.n_rows - 5, 600), rng.integers(5, grid.n_cols - 5, 600)
    steep, falls = slope(dem).values[rows, cols], np.nan_to_num(aspect(dem).values[rows, cols])
    params = SkylineParams(eye_m=0.0, azimuths=32, reach_m=12_000)
    lines = [skyline_at(dem, (x, y), params=params) for x, y in grid.xy(rows, cols).tolist()]
    tilted = np.array([sky_view(*item) for item in zip(lines, steep.tolist(), falls.tolist(), strict=True)])
    off = tilted - reference[rows, cols]
    assert abs(off.mean()) < 0.006
    assert np.quantile(np.abs(off), 0.95) < 0.016
    assert np.corrcoef(tilted, reference[rows, cols])[0, 1] > 0.99
    level = np.array([sky_view(line) for line in lines])
    assert 0.85 < np.corrcoef(level, reference[rows, cols])[0, 1] < 0.95
