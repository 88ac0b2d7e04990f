"""Lewis and others 2022, Wildlife Biology: 2,675 to 18,714 males on 858,000 ha of northern Georgia, printed as 0.003
and 0.022 males per hectare (abstract)."""

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import density
from hushwalk.site.species import read_card

LOW, HIGH = 2_675 / 8_580, 18_714 / 8_580  # per km2


def test_what_was_printed() -> None:
    assert (round(LOW / 100, 3), round(HIGH / 100, 3)) == (0.003, 0.022)


@pytest.mark.parametrize("suitability", [0.2, 0.3, 0.5])
def test_middling_ground_of_the_southern_mountains_holds_what_was_found_there(suitability: float) -> None:
    grid = Grid(32617, 0.0, 0.0, 30.0, 2, 2)
    ground = Layer("suitability", "1", grid, np.full(grid.shape, suitability))
    card = read_card("ruffed_grouse")
    males = density(ground, card.density("appalachians_south", "unknown"))
    assert males.low.values.max() < HIGH
    assert males.high.values.min() > LOW
    assert density(ground, card.density("appalachians_south", "peak")).middle.values.max() <= HIGH
