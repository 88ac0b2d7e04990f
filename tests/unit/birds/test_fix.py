import numpy as np
import pytest

from hushwalk.birds.credible_ground import credible_ground, middle_m
from hushwalk.birds.fix import FixParams, find_bird, point_of
from hushwalk.birds.posterior import EarshotParams, chance_to_hear, displayed_share, log_heard, window
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening
from hushwalk.science.crossing import azimuth_to
from hushwalk.wording.bird_words import refusal_words, warning_words

GRID = Grid(32615, -1500.0, 1500.0, 10.0, 300, 300)
ROUGH = FixParams(earshot=EarshotParams(cell_m=10.0))
PLACE = np.array([200.0, 250.0])


def bearings(*stops, sd_deg=12.0, place=PLACE, **more):
    return [
        Bearing(f"{i}", s, float(azimuth_to(np.array(s), place)), sd_deg, f"P{i}", "B1", **more)
        for i, s in enumerate(stops)
    ]


def test_two_bearings_give_ground_and_a_point():
    fix = find_bird(bearings((0.0, 0.0), (400.0, 0.0)), [], GRID, params=ROUGH)
    assert fix.refusal is None
    assert fix.point.xy_m == pytest.approx(PLACE, abs=0.01)
    assert fix.chance.values.sum() == pytest.approx(1)
    areas = [g.area_m2 for g in fix.grounds]
    assert areas == sorted(areas)
    assert all(g.holds(PLACE)[0] for g in fix.grounds)
    assert fix.ground(0.8) is fix.grounds[1]
    assert len(fix.bearings) == 2
    with pytest.raises(InputError, match=r"0\.9"):
        fix.ground(0.9)


@pytest.mark.parametrize(
    ("azimuths", "stops", "words"),
    [
        ([40], [(0.0, 0.0)], "one place"),
        ([40, 50], [(0.0, 0.0), (0.0, 0.0)], "one place"),
        ([0, 10], [(0.0, 0.0), (60.0, 0.0)], "nearly parallel"),
        ([330, 30], [(0.0, 0.0), (400.0, 0.0)], "behind a listener"),
        ([0, 337], [(0.0, 0.0), (800.0, 0.0)], "do not meet"),
    ],
)
def test_geometry_that_cannot_fix_is_refused_with_the_reason(azimuths, stops, words):
    taken = [Bearing(f"{i}", s, float(a), 12.0) for i, (s, a) in enumerate(zip(stops, azimuths, strict=True))]
    point, refusal = point_of(taken)
    assert point is None
    assert words in refusal_words(refusal)


def test_one_bearing_gives_a_wedge_cut_by_earshot_and_habitat():
    one = bearings((0.0, 0.0), place=np.array([0.0, 300.0]))
    wedge = find_bird(one, [], GRID, params=ROUGH)
    assert wedge.point is None
    assert "not a point" in refusal_words(wedge.refusal)
    inside = np.argwhere(wedge.ground(0.8).inside)
    places = wedge.chance.grid.xy(inside[:, 0], inside[:, 1])
    assert np.abs((azimuth_to(np.zeros(2), places) + 180) % 360 - 180).max() < 40
    assert np.hypot(*places.T).max() < 800
    habitat = np.zeros(GRID.shape)
    habitat[:130] = 5.0  # north of 200 m only
    cut = find_bird(one, [], GRID, habitat=Layer("density", "1/km2", GRID, habitat), params=ROUGH)
    south = wedge.chance.grid.xy(np.arange(100), np.full(100, 80))[:, 1] < 200
    assert cut.chance.values[:100][south].sum() < 0.2 * wedge.chance.values[:100][south].sum()
    assert cut.median_m[1] > wedge.median_m[1] + 30


def test_silence_distance_and_closed_ground_tell_too():
    one = bearings((0.0, 0.0), place=np.array([0.0, 300.0]))
    plain = find_bird(one, [], GRID, params=ROUGH)
    silent = find_bird(one, [Listening("P9", (0.0, 500.0), 10.0, heard=False)], GRID, params=ROUGH)
    assert silent.median_m[1] < plain.median_m[1] - 20
    own = find_bird(one, [Listening("P0", (0.0, 0.0), 10.0)], GRID, params=ROUGH)
    assert own.median_m == pytest.approx(plain.median_m)
    near = find_bird(bearings((0.0, 0.0), place=np.array([0.0, 300.0]), distance="near"), [], GRID, params=ROUGH)
    far = find_bird(bearings((0.0, 0.0), place=np.array([0.0, 300.0]), distance="far"), [], GRID, params=ROUGH)
    assert near.median_m[1] < plain.median_m[1] < far.median_m[1]
    pond = np.zeros(GRID.shape)
    pond[:130] = 1.0
    dry = find_bird(one, [], GRID, closed=Layer("water", "1", GRID, pond), params=ROUGH)
    assert max(dry.chance.at(np.array([[0.0, 250.0], [0.0, 400.0]]))) == 0


def test_an_audible_layer_takes_the_place_of_the_plain_curve():
    deaf = np.full(GRID.shape, 0.9)
    deaf[:, 150:] = 0.01  # east of 0 m nothing is heard
    said = {"P0": Layer("audible", "1", GRID, deaf)}
    fix = find_bird(bearings((0.0, 0.0), place=np.array([0.0, 300.0])), [], GRID, audible=said, params=ROUGH)
    assert fix.median_m[0] < -20


def test_the_plain_curve_halves_where_it_says():
    # Acoustics notes, R50 300 m (s 254.8): 100/200/300/400 m -> 0.9259/0.7349/0.5000/0.2916.
    places = np.array([[100.0, 0.0], [200.0, 0.0], [300.0, 0.0], [400.0, 0.0]])
    heard = chance_to_hear(Listening("P0", (0.0, 0.0)), places, None, EarshotParams())
    assert heard == pytest.approx([0.9259, 0.7349, 0.5000, 0.2916], abs=1e-4)
    # and the availability table: 5 minutes at 0.2578 a minute -> 0.7245.
    assert displayed_share(Listening("P0", (0.0, 0.0), 5.0), EarshotParams()) == pytest.approx(0.7245, abs=1e-4)


def test_hearing_at_several_stops_against_closed_forms():
    apart = EarshotParams(shared_loudness=0.0)
    p, q = np.array([0.3]), np.array([0.6])
    assert np.exp(log_heard([p, q], [], apart)) == pytest.approx([0.18])
    assert np.exp(log_heard([p], [(q, 0.5)], apart)) == pytest.approx([0.3 * 0.7])
    # However much is shared, one stop alone hears with its own chance, and heard + not heard is the whole.
    shared = EarshotParams(shared_loudness=0.6)
    assert np.exp(log_heard([p], [], shared)) == pytest.approx(p, abs=2e-4)
    both, only = np.exp(log_heard([p, q], [], shared)), np.exp(log_heard([p], [(q, 1.0)], shared))
    assert both + only == pytest.approx(p, abs=2e-4)
    assert both > 0.18


def test_a_shared_turn_of_the_compass_widens_the_ground():
    taken = bearings((0.0, 0.0), (200.0, 0.0), (400.0, 0.0))
    unsure = FixParams(earshot=EarshotParams(cell_m=10.0, shared_sd_deg=10.0))
    wide, tight = (find_bird(taken, [], GRID, params=p).ground(0.95).area_m2 for p in (unsure, ROUGH))
    assert wide > 1.2 * tight


def test_the_window_lines_up_with_the_grid_of_the_trip():
    fine = window(Grid(32615, 5.0, 1005.0, 10.0, 100, 100), np.array([[123.0, 456.0]]), EarshotParams())
    assert fine.cell_m == 5.0
    assert ((fine.west_m - 5.0) % 10, (fine.north_m - 1005.0) % 10) == (0, 0)
    assert fine.contains(np.array([[123.0 + 799, 456.0 + 799], [123.0 - 799, 456.0 - 799]])).all()


def test_the_smallest_ground_by_hand():
    values = np.array([[0.4, 0.3], [0.2, 0.1]])
    ground = credible_ground(Layer("chance", "1", Grid(32615, 0, 20, 10.0, 2, 2), values), 0.7)
    assert ground.inside.tolist() == [[True, True], [False, False]]
    assert ground.area_m2 == 200
    assert len(ground.rings) == 1
    with pytest.raises(InputError, match=r"1\.5"):
        credible_ground(Layer("chance", "1", ground.grid, values), 1.5)


def test_the_middle_is_not_carried_off_by_a_far_tail():
    values = np.zeros((1, 101))
    values[0, :3], values[0, 100] = 0.3, 0.1
    assert middle_m(Layer("chance", "1", Grid(32615, 0, 10, 10.0, 1, 101), values))[0] == pytest.approx(15, abs=2)


def test_a_bearing_that_does_not_fit_is_named():
    taken = bearings((0.0, 0.0), (200.0, 0.0), (400.0, 0.0), (400.0, 300.0))
    wild = [*taken[:3], Bearing("x", (400.0, 300.0), 150.0, 12.0, "P3", "B1")]
    assert any("from P3 does not fit" in warning_words(w) for w in find_bird(wild, [], GRID, params=ROUGH).warnings)
    assert find_bird(taken, [], GRID, params=ROUGH).warnings == ()
    with pytest.raises(InputError, match="at least one"):
        find_bird([], [], GRID)
