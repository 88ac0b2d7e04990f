"""Blomberg, Tefft, Endrulat and McWilliams 2009, Wildlife Biology 15(4): 11,463 ha of 735 km2 are good ground, printed
as 15.5 % of the land, at a grain of 1 ha (abstract)."""

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import density
from hushwalk.habitat.ingredients import share_of_kinds
from hushwalk.habitat.patches import PatchParams, patches
from hushwalk.site.species import read_card

GRID = Grid(32619, 0.0, 0.0, 100.0, 245, 300)  # cells of 1 ha, their finer grain
HABITAT_HA = 11_463


def ground(seed: int) -> np.ndarray:
    """Good ground of the printed area, scattered over the printed land."""
    marks = np.zeros(GRID.n_cells)
    marks[np.random.default_rng(seed).permutation(GRID.n_cells)[:HABITAT_HA]] = 1.0
    return marks.reshape(GRID.shape)


def test_the_share_of_the_land_is_the_printed_one() -> None:
    assert GRID.n_cells * GRID.cell_area_km2 == 735.0
    cover = Layer("cover", "class", GRID, 1.0 + ground(1))
    share = share_of_kinds(cover, {1: 0.0, 2: 1.0}, 60_000.0, "good ground").values
    assert share == pytest.approx(np.full(GRID.shape, 0.156), abs=5e-4)  # of the two printed areas
    assert share[0, 0] == pytest.approx(0.155, abs=1.1e-3)  # as printed, from numbers that were rounded before


def test_patches_of_it_sum_to_the_printed_area() -> None:
    surface = Layer("suitability", "1", GRID, ground(2))
    males = density(surface, read_card("ruffed_grouse").density("new_england", "unknown"))
    found = patches(surface, males, PatchParams(0.5, 0.0, 50.0, 170.0)).patches
    assert sum(patch.area_ha for patch in found) == pytest.approx(HABITAT_HA)
