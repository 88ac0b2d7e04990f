"""Ground shared out to birds, lowered by what was searched: no cell twice, nothing cleared."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from hushwalk.birds.fix import Fix
from hushwalk.birds.search.search_effort import EffortParams
from hushwalk.birds.search.search_ground import Searched, grounds_to_search, search_remark, searched_ground
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import to_lonlat
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import SessionNote

GRID = Grid(32615, 600000.0, 5300000.0, 5.0, 80, 120)
AT = datetime(2027, 4, 25, 16, tzinfo=UTC)


def a_fix(bird: str, x: float, sd_m: float = 30.0) -> Fix:
    rows, cols = np.divmod(np.arange(GRID.n_cells), GRID.n_cols)
    away = ((GRID.xy(rows, cols) - (x, 5299800.0)) ** 2).sum(axis=1)
    chance = np.exp(-away / (2 * sd_m**2)).reshape(GRID.shape)
    return Fix(bird, (), Layer("chance", "1", GRID, chance / chance.sum()), (), (x, 5299800.0), None)


def test_each_cell_goes_to_the_likelier_bird_and_nothing_counts_twice() -> None:
    grounds = grounds_to_search([a_fix("B1", 600150.0), a_fix("B2", 600250.0)])
    assert [g.bird for g in grounds] == ["B1", "B2"]
    cells = [tuple(xy) for g in grounds for xy in g.xy_m.round(1).tolist()]
    assert len(cells) == len(set(cells))
    assert max(x for x, _ in cells if (x, 5299797.5) in {tuple(c) for c in grounds[0].xy_m.tolist()}) < 600202.0
    for bird in ("B1", "B2"):
        assert sum(g.by_bird.get(bird, np.zeros(1)).sum() for g in grounds) == pytest.approx(1.0, abs=0.01)
    assert sum(g.chance.sum() for g in grounds) == pytest.approx(2.0, abs=0.02)


def test_males_that_nobody_heard_are_found_too() -> None:
    density = Layer("others", "1/km2", GRID, np.full(GRID.shape, 10.0))
    (alone,), (more,) = grounds_to_search([a_fix("B1", 600200.0)]), grounds_to_search([a_fix("B1", 600200.0)], density)
    ground_km2 = len(more.xy_m) * 25 / 1e6
    assert more.chance.sum() - alone.chance.sum() == pytest.approx(10 * ground_km2)
    assert more.by_bird["B1"] == pytest.approx(alone.by_bird["B1"])


def test_ground_without_a_path_is_left_out() -> None:
    seconds = np.full(GRID.shape, np.nan)
    seconds[:, :40] = 60.0
    near = Layer("walking time", "s", GRID, seconds)
    (ground,) = grounds_to_search([a_fix("B1", 600190.0), a_fix("B2", 600560.0)], reachable=near)
    assert ground.bird == "B1"
    assert ground.xy_m[:, 0].max() < 600200.0


def test_searched_ground_is_lowered_and_never_cleared() -> None:
    y = 5299800.0
    strips = np.array([(600150.0 + 100 * (k // 2 % 2 == k % 2), y - 48 + 12 * (k // 2)) for k in range(18)])
    before = Searched(strips, 9.6, float(np.hypot(*np.diff(strips, axis=0).T).sum()))
    inside = before.coverage(np.array([[600200.0, y], [600180.0, y + 17.0]]))
    assert inside == pytest.approx(9.6 / 12.0, rel=0.15)  # W L / A of strips 12 m apart
    assert before.coverage(np.array([[600400.0, y]])) == pytest.approx(0.0)
    (fresh,), (again,) = (grounds_to_search([a_fix("B1", 600200.0)], searched=earlier) for earlier in ((), (before,)))
    middle = int(np.argmax(fresh.chance))
    assert 0.4 < again.chance[middle] / fresh.chance[middle] < 1.0
    assert (again.chance > 0).all()
    assert again.chance.sum() == pytest.approx(fresh.chance.sum(), abs=0.002)


def test_what_was_walked_is_read_back_from_the_remark() -> None:
    line = np.array([[600100.0, 5299900.0], [600200.0, 5299900.0], [600200.0, 5299888.0]])
    lonlat = [(float(lon), float(lat)) for lon, lat in to_lonlat(32615, line)]
    notes = [
        SessionNote(AT, "searched area 1", lonlat[1], AT + timedelta(minutes=30), "search", "", "B1", remark)
        for remark in (search_remark(lonlat, 9.6), "nothing")
    ]
    rows = [LedgerRow(str(k), note, AT, "typed") for k, note in enumerate(notes)]
    rows.append(LedgerRow("w", SessionNote(AT, "a walk", lonlat[0], session="walk"), AT, "typed"))
    drawn, place = searched_ground(rows, 32615, EffortParams())
    assert drawn.line_m == pytest.approx(line, abs=1.0)
    assert drawn.sweep_m == 9.6
    assert drawn.length_m == pytest.approx(112.0, abs=2.0)
    assert place.length_m == pytest.approx(30 * 60 * 0.42)
    radius = np.sqrt(place.length_m * 12.0 / np.pi)
    inside, outside = place.line_m[0] + (radius - 1, 0), place.line_m[0] + (radius + 1, 0)
    assert place.coverage(np.array([inside, outside])) == pytest.approx([0.8, 0.0])
