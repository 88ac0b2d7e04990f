"""How much of the way back lies on the way out, on walks drawn by hand."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from hushwalk.morning.walked_twice import walked_twice

FAR_EAST = (1000.0, 0.0)


def walk(stops: list[tuple[float, float]], by: dict[int, list[tuple[float, float]]] | None = None) -> tuple[Any, Any]:
    """A walk from a car at the origin over stops, straight from each to the next but for the legs given ``by``."""
    places = np.array([(0.0, 0.0), *stops])

    def path(a: int, b: int, *, dark: bool) -> Any:
        assert not dark
        bends = (by or {}).get(a, []) if b == 0 else []
        return SimpleNamespace(line_m=np.array([places[a], *bends, places[b]]))

    problem = SimpleNamespace(
        problem=SimpleNamespace(start=0),
        posts_xy=places[1:],
        times=SimpleNamespace(path=path),
        in_dark=lambda *_: False,
    )
    visits = tuple(SimpleNamespace(leave_s=0.0) for _ in stops)
    return problem, SimpleNamespace(visits=visits, posts=tuple(range(1, len(places))), depart_s=0.0)


def test_there_and_back_is_walked_twice_and_a_loop_is_not() -> None:
    assert walked_twice(*walk([FAR_EAST])) == 1.0
    assert walked_twice(*walk([FAR_EAST, (500.0, 0.0)])) == 1.0
    assert walked_twice(*walk([FAR_EAST, (500.0, 600.0)])) < 0.1


def test_a_leg_that_turns_back_half_way_is_walked_twice_by_half() -> None:
    # out along the axis; back on it from 1000 to 500 m, then 100 m north of it: of the 850 m of way that lie more than
    # 150 m from the car (500 on the axis, 50 to 100 up, some 390 along), the 550 within 50 m of the axis count
    share = walked_twice(*walk([FAR_EAST], {1: [(500.0, 0.0), (500.0, 100.0), (0.0, 100.0)]}))
    assert share == pytest.approx(550 / (500 + 100 + 500 - np.sqrt(150**2 - 100**2)), abs=0.02)


def test_no_walk_is_not_walked_twice() -> None:
    assert walked_twice(*walk([])) == 0.0
