import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.needs import Need, Role
from hushwalk.science.curves import Curve

GRID = Grid(32615, 0.0, 0.0, 10.0, 1, 3)


def need(weight: float = 1.0, role: Role = "limiting", when_absent: float | None = None, source: str = "") -> Need:
    curve = Curve((0.0, 10.0), (0.0, 1.0))
    return Need("wood", "woodiness", "m", role, weight, curve, "spring", "definition", "assumed", when_absent, source)


def test_a_measure_becomes_a_score() -> None:
    scored = need().score(Layer("wood", "m", GRID, np.array([[5.0, 20.0, np.nan]])))
    assert scored.values == pytest.approx(np.array([[0.5, 1.0, np.nan]]), nan_ok=True)
    assert scored.unit == "1"
    assert "scored as woodiness" in scored.story


def test_only_a_limiting_need_with_a_stand_in_is_the_main_one() -> None:
    assert need(when_absent=0.3, source="definition").main
    assert not need(role="compensating", when_absent=0.3, source="definition").main
    assert not need().main
    assert need().assumed


def test_numbers_that_cannot_be_are_refused() -> None:
    with pytest.raises(SettingsError, match="weight"):
        need(weight=-1.0)
    with pytest.raises(SettingsError, match="when_absent"):
        need(when_absent=2.0, source="definition")
    with pytest.raises(SettingsError, match="absent_source"):
        need(when_absent=0.2)
