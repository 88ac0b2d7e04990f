"""Males that no stop heard, as the search counts on them: by hand for one stop, one grid and one density."""

from types import SimpleNamespace

import numpy as np
import pytest

from hushwalk.birds.posterior import EarshotParams
from hushwalk.birds.search.search_story import unheard_males
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Listening

GRID = Grid(32615, 0.0, 2000.0, 20.0, 100, 100)


def test_silence_tells_nothing_of_males_that_are_far_off_or_do_not_display() -> None:
    water = np.zeros(GRID.shape, dtype=bool)
    water[:, :5] = True
    ground = SimpleNamespace(water=water, closed=np.zeros(GRID.shape, dtype=bool))
    density = Layer("density", "1/km2", GRID, np.full(GRID.shape, 4.0))
    site = SimpleNamespace(grid=GRID, density=density, ground=ground)
    stop = Listening("P01", (1010.0, 1010.0), 8.0)
    earshot = EarshotParams(shared_loudness=0.0)
    fixed = SimpleNamespace(listening=(stop,), earshot=earshot, audible={})
    left = unheard_males(site, fixed, 0.6)
    at = left.at(np.array([[1010.0, 1010.0], [1310.0, 1010.0], [1990.0, 1990.0], [50.0, 1010.0]]))
    displayed = 1 - np.exp(-earshot.rate_per_min * 8)
    # Heard with chance 1 at the stop, with a half at half_m = 300 m, hardly ever at 1,386 m; nobody lives in water.
    assert at == pytest.approx([4 * (1 - 0.6 * displayed), 4 * (1 - 0.6 * displayed / 2), 4.0, 0.0], abs=0.01)
