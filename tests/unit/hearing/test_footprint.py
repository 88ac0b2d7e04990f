import numpy as np
import pytest

from hushwalk.errors import GridMismatchError, InputError, PlaceError, SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.coverage import coverage, target_places
from hushwalk.hearing.earshot import earshot
from hushwalk.hearing.footprint import FootprintParams, footprint
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.path import sound_path

STOP_M = (500_803.0, 5_199_688.0)
NEAR = FootprintParams(reach_m=250.0, target_cell_m=30.0, chance_floor=0.0, threads=1)


@pytest.fixture(scope="module")
def hills(flat: Layer) -> tuple[Layer, Layer, Layer]:
    rows, cols = np.indices(flat.grid.shape)
    rng = np.random.default_rng(8)
    height = 300 + 20 * np.sin(cols / 9) + 15 * np.cos(rows / 7)
    cover = rng.choice([0.0, 0.25, 0.5, 1.0], flat.grid.shape)
    water = rng.uniform(30, 60, flat.grid.shape)
    return (
        flat.with_values(height),
        flat.with_values(cover, name="foliage", unit="1"),
        flat.with_values(water, name="water noise", unit="dB(A)"),
    )


def test_the_footprint_says_what_the_ledger_says(hills: tuple[Layer, Layer, Layer], call: Call) -> None:
    elevation, cover, water = hills
    conditions, listener = Conditions(wind_at_ear_ms=1.5, air="neutral"), Listener(6.0)
    chance = footprint(STOP_M, elevation, cover, water, call, conditions, listener, NEAR)
    rng = np.random.default_rng(9)
    rows, cols = np.nonzero(chance.values > 0)
    for pick in rng.choice(len(rows), 60, replace=False):
        bird = tuple(chance.grid.xy([rows[pick]], [cols[pick]])[0])
        if np.hypot(bird[0] - STOP_M[0], bird[1] - STOP_M[1]) < 12:
            continue  # nearer, the footprint's table of distances is coarser than 0.01 dB
        told = sound_path(bird, STOP_M, elevation, cover, water, call, conditions, listener)
        assert chance.values[rows[pick], cols[pick]] == pytest.approx(told.chance, abs=5e-4)


def test_beyond_reach_there_is_nothing(hills: tuple[Layer, Layer, Layer], call: Call) -> None:
    chance = footprint(STOP_M, *hills, call, Conditions(), Listener(), NEAR)
    places = chance.grid.xy(*(part.ravel() for part in np.indices(chance.grid.shape)))
    far = np.hypot(places[:, 0] - STOP_M[0], places[:, 1] - STOP_M[1]) > 250
    assert np.all(chance.values.ravel()[far] == 0)
    assert chance.values.max() <= 1


def test_coverage_is_the_footprint_at_its_cells(hills: tuple[Layer, Layer, Layer], call: Call) -> None:
    posts = np.array([STOP_M, (500_300.0, 5_199_500.0)])
    cover = coverage(posts, *hills, call, Conditions(), Listener(), NEAR)
    assert cover.chance.shape == (2, cover.grid.n_cells)
    assert cover.grid.cell_m == 30
    assert cover.unknown_share == 0
    chance = footprint(STOP_M, *hills, call, Conditions(), Listener(), NEAR)
    cells = target_places(cover.grid, chance.grid)
    row = cover.chance[[0], :].toarray().ravel()
    whole = np.flatnonzero(row > 0)
    # the middle of a 30 m cell is the centre of a 10 m cell, except where the grid cuts it
    inside = whole[np.all(np.abs(cells[whole] - cover.grid.xy(*np.divmod(whole, cover.grid.n_cols))) < 1e-6, axis=1)]
    assert len(inside) > 100
    assert row[inside] == pytest.approx(chance.at(cells[inside]))


def test_two_threads_say_the_same(hills: tuple[Layer, Layer, Layer], call: Call) -> None:
    posts = np.random.default_rng(2).uniform([500_100, 5_199_450], [501_500, 5_199_950], (12, 2))
    one = coverage(posts, *hills, call, Conditions(), Listener(), NEAR)
    two = coverage(posts, *hills, call, Conditions(), Listener(), FootprintParams(250.0, 30.0, 1.0, 0.0, 2))
    assert (one.chance != two.chance).nnz == 0


def test_small_chances_are_dropped(hills: tuple[Layer, Layer, Layer], call: Call) -> None:
    kept = coverage(
        np.array([STOP_M]), *hills, call, Conditions(), Listener(-10), FootprintParams(250.0, 30.0, 1.0, 0.2)
    )
    assert kept.chance.nnz > 0
    assert kept.chance.data.min() >= 0.2


def test_no_posts_give_an_empty_matrix(hills: tuple[Layer, Layer, Layer], call: Call) -> None:
    none = coverage(np.zeros((0, 2)), *hills, call, Conditions(), Listener(), NEAR)
    assert none.chance.shape[0] == 0
    assert none.unknown_share == 0


def test_unknown_ground_is_counted_and_never_heard(hills: tuple[Layer, Layer, Layer], call: Call) -> None:
    elevation, cover, _ = hills
    holes = elevation.values.copy()
    holes[:, 95:97] = np.nan
    broken = elevation.with_values(holes)
    chance = footprint(STOP_M, broken, cover, None, call, Conditions(), Listener(), NEAR)
    assert np.all(np.isnan(chance.values[25:35, 98:102]))
    assert np.all(np.isfinite(chance.values[25:35, 70:90]))
    found = coverage(np.array([STOP_M]), broken, cover, None, call, Conditions(), Listener(), NEAR)
    assert 0.1 < found.unknown_share < 0.5
    assert np.all(np.isfinite(found.chance.data))
    with pytest.raises(InputError, match="unknown at the stop"):
        footprint((500_955.0, 5_199_688.0), broken, cover, None, call, Conditions(), Listener(), NEAR)


def test_inputs_that_cannot_be(flat: Layer, call: Call) -> None:
    dense = flat.with_values(np.full(flat.grid.shape, 1.5), name="foliage")
    with pytest.raises(InputError, match=r"foliage.*1\.5"):
        footprint(STOP_M, flat, dense, None, call, Conditions(), Listener())
    with pytest.raises(PlaceError):
        footprint((0.0, 0.0), flat, None, None, call, Conditions(), Listener())
    with pytest.raises(InputError, match="pairs"):
        coverage(np.zeros(3), flat, None, None, call, Conditions(), Listener())
    coarse = flat.grid.coarsened(2)
    with pytest.raises(GridMismatchError):
        footprint(
            STOP_M, flat, Layer("foliage", "1", coarse, np.zeros(coarse.shape)), None, call, Conditions(), Listener()
        )
    with pytest.raises(SettingsError):
        FootprintParams(threads=8)


def test_earshot_on_open_level_ground_is_a_circle(flat: Layer, call: Call) -> None:
    quiet = Conditions(wind_at_ear_ms=4.0)
    chance = footprint(STOP_M, flat, None, None, call, quiet, Listener(), FootprintParams(reach_m=300))
    edge = earshot(chance, STOP_M)
    assert edge.radius_m == pytest.approx(np.full(72, edge.median_m), abs=3)
    assert len(edge.rings) == 1
    assert np.hypot(*(edge.rings[0] - STOP_M).T) == pytest.approx(np.full(len(edge.rings[0]), edge.median_m), abs=3)
    assert "all round" in edge.sentence


def test_earshot_says_where_a_wall_closes_it(flat: Layer, call: Call) -> None:
    wall = flat.values.copy()
    wall[:, 84:86] += 40  # east of the stop
    chance = footprint(STOP_M, flat.with_values(wall), None, None, call, Conditions(), Listener(), NEAR)
    assert "least to the" in earshot(chance, STOP_M).sentence
    assert earshot(chance, STOP_M).radius_m[18] < 100 < earshot(chance, STOP_M).radius_m[54]
    with pytest.raises(SettingsError, match="level"):
        earshot(chance, STOP_M, 1.0)


def test_rings_close_at_the_rim_of_the_grid(flat: Layer, call: Call) -> None:
    corner = (500_015.0, 5_199_985.0)
    edge = earshot(footprint(corner, flat, None, None, call, Conditions(), Listener(), NEAR), corner)
    assert all(np.allclose(ring[0], ring[-1]) for ring in edge.rings)
