"""Layers in sums, products and comparisons: cell by cell as numpy has it, with units by hand, on one grid only."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hushwalk.errors import GridMismatchError, InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.layer_arithmetic import unit_product

GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 2, 3)
HEIGHT = Layer("elevation", "m", GRID, np.array([[400.0, 420.0, np.nan], [380.0, 0.5, 410.0]]), ("read",))
SLOPE = Layer("slope", "1", GRID, np.array([[0.1, 0.2, 0.3], [0.0, 0.5, np.nan]]))
COVER = Layer("cover", "class", GRID, np.array([[41.0, 41.0, 90.0], [11.0, np.nan, 41.0]]))


@pytest.mark.parametrize(
    ("found", "values", "unit", "name"),
    [
        (HEIGHT * 2, HEIGHT.values * 2, "m", "elevation * 2"),
        (2 * HEIGHT, HEIGHT.values * 2, "m", "2 * elevation"),
        (HEIGHT + 5, HEIGHT.values + 5, "m", "elevation + 5"),
        (1 - SLOPE, 1 - SLOPE.values, "1", "1 - slope"),
        (HEIGHT * SLOPE, HEIGHT.values * SLOPE.values, "m", "elevation * slope"),
        (HEIGHT - HEIGHT * 0.5, HEIGHT.values / 2, "m", "elevation - (elevation * 0.5)"),
        (HEIGHT**2, HEIGHT.values**2, "m2", "elevation ** 2"),
        (np.sqrt(HEIGHT**2), HEIGHT.values, "m", "sqrt((elevation ** 2))"),
        (-HEIGHT, -HEIGHT.values, "m", "-elevation"),
        (np.maximum(HEIGHT, 400), np.maximum(HEIGHT.values, 400), "m", "maximum(elevation, 400)"),
        (HEIGHT / (2 * HEIGHT), np.where(HEIGHT.values == 0, np.nan, HEIGHT.values / HEIGHT.values / 2), "1", None),
        (
            1 / HEIGHT,
            np.where(HEIGHT.values == 0, np.nan, 1 / np.where(HEIGHT.values == 0, 1, HEIGHT.values)),
            "1/m",
            None,
        ),
        (HEIGHT + np.ones(GRID.shape), HEIGHT.values + 1, "m", "elevation + array"),
    ],
)
def test_layers_are_reckoned_with_cell_by_cell(found: Layer, values: np.ndarray, unit: str, name: str | None) -> None:
    assert isinstance(found, Layer)
    np.testing.assert_allclose(found.values, values, rtol=1e-15)
    assert (found.unit, found.grid) == (unit, GRID)
    assert name is None or (found.name, found.story[-1]) == (name, f"is {name}")
    assert not found.values.flags.writeable


def test_comparisons_give_masks_that_hold_nowhere_unknown() -> None:
    np.testing.assert_array_equal(HEIGHT >= 400, [[True, True, False], [False, False, True]])
    np.testing.assert_array_equal(COVER == 41, [[True, True, False], [False, False, True]])
    np.testing.assert_array_equal(COVER != 41, [[False, False, True], [True, False, False]])
    np.testing.assert_array_equal(HEIGHT > 400, HEIGHT > 400)
    np.testing.assert_array_equal(HEIGHT > HEIGHT * 2, np.zeros(GRID.shape, dtype=bool))
    mask = (HEIGHT > 390) & (SLOPE < 0.25)
    assert mask.dtype == bool
    assert mask.tolist() == [[True, True, False], [False, False, False]]
    kept = HEIGHT.where(mask)
    assert (kept.unit, np.nansum(kept), int(kept.known.sum())) == ("m", 820.0, 2)


def test_a_layer_stays_as_it_was_and_a_key() -> None:
    before = HEIGHT.values.copy()
    height = HEIGHT
    height *= 2
    np.testing.assert_array_equal(HEIGHT.values, before)
    np.testing.assert_array_equal(height.values, before * 2)
    assert {HEIGHT: "a", SLOPE: "b"}[HEIGHT] == "a"
    assert isinstance(np.exp(SLOPE), np.ndarray)
    assert not isinstance(np.exp(SLOPE), Layer)
    assert float(np.nanmax(HEIGHT)) == np.add.reduce(np.array([420.0]))


@pytest.mark.parametrize(
    ("work", "fault", "words"),
    [
        (lambda: HEIGHT + replace(HEIGHT, grid=replace(GRID, west_m=0.0)), GridMismatchError, "lie on different grids"),
        (
            lambda: replace(HEIGHT, grid=replace(GRID, cell_m=5.0)) < HEIGHT,
            GridMismatchError,
            "take both from one trip",
        ),
        (lambda: HEIGHT * np.ones(3), GridMismatchError, r"an array of \(3,\) values does not fit layer 'elevation'"),
        (lambda: HEIGHT.where(np.ones((3, 2), dtype=bool)), GridMismatchError, "give one value a cell"),
        (
            lambda: HEIGHT + SLOPE,
            InputError,
            "in m and 'slope' in 1 do not go together in elevation [+] slope",
        ),
        (lambda: HEIGHT < SLOPE, InputError, "bring them to one unit first"),
        (lambda: COVER * 2, InputError, "cover [*] 2: the layer holds codes of kinds"),
        (lambda: HEIGHT**0.5, InputError, "takes whole numbers as power"),
        (lambda: 2**HEIGHT, InputError, "a power has no unit"),
        (lambda: np.sqrt(HEIGHT), InputError, "m has no square root"),
    ],
)
def test_what_does_not_go_together_is_one_clear_error(work: object, fault: type[Exception], words: str) -> None:
    with pytest.raises(fault, match=words):
        work()


UNIT = st.lists(st.tuples(st.sampled_from(["m", "s", "km", "dB"]), st.integers(-3, 3)), max_size=3)


@given(first=UNIT, second=UNIT)
def test_units_multiply_as_powers_add(first: list[tuple[str, int]], second: list[tuple[str, int]]) -> None:
    """Against numbers in place of symbols: the value of a product of units is the product of their values."""
    sizes = {"m": 2.0, "s": 3.0, "km": 5.0, "dB": 7.0}

    def size(unit: str) -> float:
        found = 1.0
        for k, part in enumerate(unit.split("/")):
            for token in part.split():
                symbol = token.rstrip("0123456789")
                power = int(token[len(symbol) :] or 1) if symbol else 0
                found *= sizes.get(symbol, 1.0) ** (-power if k else power)
        return found

    one, two = (unit_product(parts) for parts in (first, second))
    assert size(one) == pytest.approx(np.prod([sizes[s] ** float(p) for s, p in first]))
    assert size(unit_product([(one, 1), (two, 1)])) == pytest.approx(size(one) * size(two))
    assert unit_product([(one, 1), (one, -1)]) == "1"
