"""How fast a window of wide ground and one car place are scored, beside two searches of scipy in the same run."""

import numpy as np
import pytest
from scipy.ndimage import distance_transform_edt

from hushwalk.files.tiles import Tile
from hushwalk.grid.grid import Grid
from hushwalk.habitat.areas import WalkParams
from hushwalk.regions.area_score import PlaceParams, Surroundings, score_place
from hushwalk.regions.window import ScoringConfig, score_window
from hushwalk.site.settings import WalkerSettings
from hushwalk.site.species_file import read_card_text

CODES = np.array([10, 11, 12, 14, 28, 40, 50], dtype=np.uint8)


def blotches(n: int) -> np.ndarray:
    rng = np.random.default_rng(1)
    return CODES[rng.integers(0, len(CODES), (n // 20, n // 20))].repeat(20, axis=0).repeat(20, axis=1)


@pytest.mark.benchmark(group="a window of a million cells")
def test_a_million_cells(benchmark) -> None:
    """A state of 150,000 km2 at 30 m has 170 such windows; the stated target for all of them is minutes."""
    n = 1000
    scoring = ScoringConfig(
        Grid(32615, 500_000.0, 5_000_000.0, 30.0, n, n),
        *read_card_text("ruffed_grouse"),
        "lake_states",
        "unknown",
        wet_known=True,
    )
    held = {"cover": blotches(n), "wet": np.zeros((n, n), dtype=bool), "water": np.zeros((n, n), dtype=bool)}
    tile = Tile(0, 0, 0, n, n, 0, 0, 0, 0)
    score_window(scoring, held, tile)  # compiled before the clock starts
    assert benchmark(score_window, scoring, held, tile) is not None


@pytest.mark.benchmark(group="a window of a million cells")
def test_a_million_cells_by_scipy(benchmark) -> None:
    """The named reference: scipy's exact distance transform of one class of the same window."""
    assert benchmark(distance_transform_edt, blotches(1000) != CODES[0]).max() > 0


@pytest.mark.benchmark(group="one car place")
def test_one_car_place(benchmark) -> None:
    """Two thousand places in ten minutes on two cores: 0.6 s each on one."""
    n = 280
    grid = Grid(32615, 500_000.0, 5_000_000.0, 30.0, n, n)
    hills = 300 + 40 * np.sin(np.arange(n) / 20)[:, None] * np.cos(np.arange(n) / 25)[None, :]
    nothing = np.zeros((n, n), dtype=bool)
    held = {"cover": blotches(n), "elevation": hills, "wet": nothing, "water": nothing, "closed": nothing}
    near = Surroundings((504_200.0, 4_995_800.0), grid, held, np.full((n, n), 2.0))
    walk = WalkParams(9000.0, 390.0, 1.0, 0.6, 0.4)
    place_params = PlaceParams(tuple(np.linspace(400, 200, 11).tolist()), walk, WalkerSettings(), "none", 8000.0, 4)
    score_place(place_params, near)
    assert benchmark(score_place, place_params, near).males > 1


@pytest.mark.benchmark(group="one car place")
def test_one_car_place_by_scipy(benchmark) -> None:
    """The named reference: scipy's exact distance transform of the same ground."""
    assert benchmark(distance_transform_edt, blotches(280) != CODES[0]).max() > 0
