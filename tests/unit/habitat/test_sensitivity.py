import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import DensityParams
from hushwalk.habitat.needs import Need
from hushwalk.habitat.sensitivity import swings
from hushwalk.habitat.suitability import SurfaceParams
from hushwalk.science.curves import Curve

IDENTITY = Curve((0.0, 1.0), (0.0, 1.0))

GRID = Grid(32615, 0.0, 0.0, 1000.0, 1, 2)  # two cells of one square kilometre
NEEDS = (
    Need("cover", "cover", "1", "limiting", 1.0, IDENTITY, "spring", "definition", "found"),
    Need("share", "share", "1", "compensating", 2.0, IDENTITY, "spring", "judgement: made up", "assumed"),
    Need("edge", "edge", "1", "compensating", 1.0, IDENTITY, "spring", "definition", "found"),
)
LAYERS = {
    "cover": Layer("cover", "1", GRID, np.array([[0.5, 0.5]])),
    "share": Layer("share", "1", GRID, np.array([[0.0, 0.0]])),
    "edge": Layer("edge", "1", GRID, np.array([[1.0, 1.0]])),
}
MALES = DensityParams(10.0, 1.0, 1.0, 0.7, 0.4, ("definition", "judgement: region", "judgement: year"))


def test_every_bar_is_what_the_formula_gives_by_hand() -> None:
    bars = {bar.label: bar for bar in swings(NEEDS, LAYERS, SurfaceParams(100.0, 0.5), MALES)}
    middle = 2 * 10 * 0.5 * (0.5 + 0.5 / 3)
    ends = {
        "what the region holds": (middle / np.exp(0.7), middle * np.exp(0.7)),
        "year of the cycle": (middle / np.exp(0.4), middle * np.exp(0.4)),
        "floor of the surroundings": (10 * (0.3 + 0.7 / 3), 10 * (0.7 + 0.3 / 3)),
        "radius of a home range": (middle, middle),
        "cover": (20 * (0.5 + 0.5 / 3), 5 * (0.5 + 0.5 / 3)),
        "share": (10 * 1.0, 10 * (0.5 + 0.5 / 5)),
        "edge": (10 * 0.5, 10 * (0.5 + 0.5 * 2 / 4)),
    }
    assert set(bars) == set(ends)
    for label, bar in bars.items():
        assert (bar.males_low, bar.males_high) == pytest.approx(ends[label]), label
        assert bar.males == pytest.approx(middle)


def test_the_widest_comes_first_and_assumptions_are_marked() -> None:
    bars = swings(NEEDS, LAYERS, SurfaceParams(100.0, 0.5), MALES)
    assert [bar.span for bar in bars] == sorted((bar.span for bar in bars), reverse=True)
    marked = {bar.label for bar in bars if bar.assumed}
    assert marked == {"what the region holds", "year of the cycle", "floor of the surroundings", "share"}
    assert next(bar.source for bar in bars if bar.label == "year of the cycle") == "judgement: year"


def test_an_ingredient_that_is_missing_moves_nothing() -> None:
    few = {key: layer for key, layer in LAYERS.items() if key != "edge"}
    assert "edge" not in {bar.label for bar in swings(NEEDS, few, SurfaceParams(100.0, 0.5), MALES)}
