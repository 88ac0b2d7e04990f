from dataclasses import replace

import numpy as np
import pytest

from hushwalk.errors import GridMismatchError, InputError, PlaceError, SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.coverage import target_places
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.soundscape import FootprintParams, Soundscape

STOP_M = (500_803.0, 5_199_688.0)
NEAR = FootprintParams(reach_m=250.0, target_cell_m=30.0, chance_floor=0.0, threads=1)


@pytest.fixture(scope="module")
def hills(flat: Layer) -> AcousticGround:
    rows, cols = np.indices(flat.grid.shape)
    rng = np.random.default_rng(8)
    height = 300 + 20 * np.sin(cols / 9) + 15 * np.cos(rows / 7)
    cover = rng.choice([0.0, 0.25, 0.5, 1.0], flat.grid.shape)
    water = rng.uniform(30, 60, flat.grid.shape)
    return AcousticGround(
        flat.with_values(height),
        flat.with_values(cover, name="foliage", unit="1"),
        flat.with_values(water, name="water noise", unit="dB(A)"),
    )


def near(ground: AcousticGround, call: Call) -> Soundscape:
    return Soundscape(ground, Conditions(), call, Listener(), NEAR)


def test_the_footprint_says_what_the_budget_says(hills: AcousticGround, call: Call) -> None:
    air, listener = Conditions(wind_at_ear_ms=1.5, air="neutral"), Listener(6.0)
    soundscape = Soundscape(hills, air, call, listener, NEAR)
    chance = soundscape.footprint(STOP_M)
    rng = np.random.default_rng(9)
    rows, cols = np.nonzero(chance.values > 0)
    for pick in rng.choice(len(rows), 60, replace=False):
        bird = tuple(chance.grid.xy([rows[pick]], [cols[pick]])[0])
        if np.hypot(bird[0] - STOP_M[0], bird[1] - STOP_M[1]) < 12:
            continue  # nearer, the footprint's table of distances is coarser than 0.01 dB
        budget = soundscape.path(bird, STOP_M)
        assert chance.values[rows[pick], cols[pick]] == pytest.approx(budget.chance, abs=5e-4)


def test_beyond_reach_there_is_nothing(hills: AcousticGround, call: Call) -> None:
    chance = near(hills, call).footprint(STOP_M)
    places = chance.grid.xy(*(part.ravel() for part in np.indices(chance.grid.shape)))
    far = np.hypot(places[:, 0] - STOP_M[0], places[:, 1] - STOP_M[1]) > 250
    assert np.all(chance.values.ravel()[far] == 0)
    assert chance.values.max() <= 1


def test_coverage_is_the_footprint_at_its_cells(hills: AcousticGround, call: Call) -> None:
    posts = np.array([STOP_M, (500_300.0, 5_199_500.0)])
    cover = near(hills, call).coverage(posts)
    assert cover.chance.shape == (2, cover.grid.n_cells)
    assert cover.grid.cell_m == 30
    assert cover.unknown_share == 0
    chance = near(hills, call).footprint(STOP_M)
    cells = target_places(cover.grid, chance.grid)
    row = cover.chance[[0], :].toarray().ravel()
    whole = np.flatnonzero(row > 0)
    # the middle of a 30 m cell is the centre of a 10 m cell, except where the grid cuts it
    inside = whole[np.all(np.abs(cells[whole] - cover.grid.xy(*np.divmod(whole, cover.grid.n_cols))) < 1e-6, axis=1)]
    assert len(inside) > 100
    assert row[inside] == pytest.approx(chance.at(cells[inside]))


def test_two_threads_say_the_same(hills: AcousticGround, call: Call) -> None:
    posts = np.random.default_rng(2).uniform([500_100, 5_199_450], [501_500, 5_199_950], (12, 2))
    one = near(hills, call).coverage(posts)
    two = replace(near(hills, call), params=FootprintParams(250.0, 30.0, 0.0, 2)).coverage(posts)
    assert (one.chance != two.chance).nnz == 0


def test_small_chances_are_dropped(hills: AcousticGround, call: Call) -> None:
    kept = Soundscape(hills, Conditions(), call, Listener(-10), FootprintParams(250.0, 30.0, 0.2)).coverage(
        np.array([STOP_M])
    )
    assert kept.chance.nnz > 0
    assert kept.chance.data.min() >= 0.2


def test_no_posts_give_an_empty_matrix(hills: AcousticGround, call: Call) -> None:
    none = near(hills, call).coverage(np.zeros((0, 2)))
    assert none.chance.shape[0] == 0
    assert none.unknown_share == 0


def test_unknown_ground_is_counted_and_never_heard(hills: AcousticGround, call: Call) -> None:
    holes = hills.elevation.values.copy()
    holes[:, 95:97] = np.nan
    broken = near(AcousticGround(hills.elevation.with_values(holes), hills.foliage), call)
    chance = broken.footprint(STOP_M)
    assert np.all(np.isnan(chance.values[25:35, 98:102]))
    assert np.all(np.isfinite(chance.values[25:35, 70:90]))
    found = broken.coverage(np.array([STOP_M]))
    assert 0.1 < found.unknown_share < 0.5
    assert np.all(np.isfinite(found.chance.data))
    with pytest.raises(InputError, match="unknown at the stop"):
        broken.footprint((500_955.0, 5_199_688.0))


def test_inputs_that_cannot_be(flat: Layer, call: Call) -> None:
    dense = flat.with_values(np.full(flat.grid.shape, 1.5), name="foliage")
    with pytest.raises(InputError, match=r"foliage.*1\.5"):
        AcousticGround(flat, dense)
    with pytest.raises(PlaceError):
        near(AcousticGround(flat), call).footprint((0.0, 0.0))
    with pytest.raises(InputError, match="pairs"):
        near(AcousticGround(flat), call).coverage(np.zeros(3))
    coarse = flat.grid.coarsened(2)
    with pytest.raises(GridMismatchError):
        AcousticGround(flat, Layer("foliage", "1", coarse, np.zeros(coarse.shape)))
    with pytest.raises(SettingsError):
        FootprintParams(threads=8)
    with pytest.raises(SettingsError, match="ground_factor"):
        AcousticGround(flat, ground_factor=2.0)


def test_a_coverage_of_some_posts_is_the_rows_of_all(hills: AcousticGround, call: Call) -> None:
    posts = np.random.default_rng(4).uniform([500_100, 5_199_450], [501_500, 5_199_950], (6, 2))
    soundscape = near(hills, call)
    some = soundscape.coverage(posts).of_posts([4, 1])
    again = soundscape.coverage(posts[[4, 1]])
    assert some.grid == again.grid
    assert (some.chance != again.chance).nnz == 0


def test_another_level_of_evidence_changes_only_the_listener(hills: AcousticGround, call: Call) -> None:
    focal = near(hills, call)
    pessimistic = focal.at_evidence("pessimistic")
    assert pessimistic.ground is focal.ground
    assert np.all(pessimistic.footprint(STOP_M).values <= focal.footprint(STOP_M).values)
    assert pessimistic.level.earshot_m(0.25) < focal.level.earshot_m(0.25)
