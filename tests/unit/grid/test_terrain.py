import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import aspect, gradient, hillshade, slope

GRID = Grid(32615, 0.0, 0.0, 10.0, 4, 5)


def test_level_ground_has_no_aspect_and_the_brightness_of_the_light() -> None:
    level = Layer("elevation", "m", GRID, np.full(GRID.shape, 7.0))
    assert np.all(slope(level).values == 0)
    assert np.all(np.isnan(aspect(level).values))
    assert hillshade(level, altitude_deg=30.0).values == pytest.approx(np.full(GRID.shape, 0.5))


def test_convergence_turns_the_aspect_to_true_north() -> None:
    falls_east = Layer("elevation", "m", GRID, -np.indices(GRID.shape)[1].astype(float))
    assert aspect(falls_east).values == pytest.approx(np.full(GRID.shape, 90.0))
    assert aspect(falls_east, convergence_deg=1.5).values == pytest.approx(np.full(GRID.shape, 91.5))


def test_only_unknown_cells_are_unknown() -> None:
    z = np.indices(GRID.shape)[1] * 3.0
    z[1, 2] = np.nan
    east, north = gradient(Layer("elevation", "m", GRID, z))
    known = np.isfinite(z)
    assert np.array_equal(np.isfinite(east), known)
    assert east[known] == pytest.approx(np.full(known.sum(), 0.3))
    assert north[known] == pytest.approx(np.zeros(known.sum()))
    assert np.isnan(hillshade(Layer("elevation", "m", GRID, z)).values[1, 2])


@pytest.mark.parametrize("wrong", [{"altitude_deg": 91.0}, {"altitude_deg": -1.0}, {"exaggeration": 0.0}])
def test_a_light_out_of_range_is_an_error(wrong: dict[str, float]) -> None:
    with pytest.raises(SettingsError, match="hillshade"):
        hillshade(Layer("elevation", "m", GRID, np.zeros(GRID.shape)), **wrong)


def test_names_units_and_story() -> None:
    layer = slope(Layer("elevation", "m", GRID, np.zeros(GRID.shape), ("heights from a file",)))
    assert (layer.name, layer.unit) == ("slope", "deg")
    assert layer.story == ("heights from a file", "slope by Horn's method")
