import numpy as np
import pytest

from hushwalk.birds.fix import FixParams, find_bird
from hushwalk.birds.next_bearing import StandParams, clear_of_birds, next_stands, possible_places
from hushwalk.birds.posterior import EarshotParams, log_heard
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.notes.bearing import Bearing, Listening
from hushwalk.wording.bird_words import stand_words

GRID = Grid(32615, -1500.0, 1500.0, 10.0, 300, 300)
PARAMS = FixParams(earshot=EarshotParams(cell_m=10.0))
WEDGE = find_bird([Bearing("a", (0.0, 0.0), 0.0, 12.0, "P1", "B1")], [], GRID, params=PARAMS)
PLACES = np.array([(x, y) for x in range(-400, 401, 100) for y in range(-200, 601, 100)], dtype=float)


def test_the_next_bearing_shrinks_the_ground():
    stands = next_stands(WEDGE, PLACES, np.hypot(*PLACES.T))
    best = stands[0]
    assert best.area_m2 < 0.6 * best.area_now_m2
    assert [s.area_m2 for s in stands] == sorted(s.area_m2 for s in stands)
    assert "ground to search goes from" in stand_words(best)
    behind = [s for s in stands if abs(s.xy_m[0]) < 1 and s.xy_m[1] < 0]
    checked_against = [s for s in stands if abs(s.xy_m[0]) == 200 and s.xy_m[1] == 200]
    assert len(checked_against) == 2
    assert all(b.area_m2 > s.area_m2 for b in behind for s in checked_against)
    assert all(s.crossing_deg > 60 for s in checked_against)


def test_no_stand_is_near_to_where_the_bird_probably_is():
    inside = np.argwhere(WEDGE.grounds[0].inside)
    likely = WEDGE.chance.grid.xy(inside[:, 0], inside[:, 1])
    for stand in next_stands(WEDGE, PLACES, np.ones(len(PLACES))):
        assert np.hypot(*(likely - np.array(stand.xy_m)).T).min() >= 80
    other = find_bird([Bearing("b", (300.0, 0.0), 0.0, 12.0, "P2", "B2")], [], GRID, params=PARAMS)
    both = next_stands(WEDGE, PLACES, np.ones(len(PLACES)), others=[other])
    assert {s.xy_m for s in both} < {s.xy_m for s in next_stands(WEDGE, PLACES, np.ones(len(PLACES)))}


@pytest.mark.parametrize(
    "fix", [WEDGE, find_bird([Bearing("c", (1450.0, 1450.0), 225.0, 12.0)], [], GRID, params=PARAMS)]
)
def test_a_place_is_clear_just_where_few_cells_within_the_stand_off_may_hold_the_bird(fix):
    params = StandParams()
    rng = np.random.default_rng(3)
    grid, values = fix.chance.grid, fix.chance.values.ravel()
    cells = grid.xy(*np.divmod(np.arange(grid.n_cells), grid.n_cols))
    found = []
    edge = np.array([[grid.west_m - 30.0, grid.north_m + 30.0], [grid.west_m - 5000.0, 0.0], [grid.west_m + 5.0, 0.0]])
    for place in np.vstack([np.asarray(fix.median_m) + rng.uniform(-600, 600, (150, 2)), edge]):
        near = (np.hypot(*(cells - place).T) < params.stand_off_m) & (values > values.max() * 1e-5)
        held = values[near].sum() > params.stand_off_chance_max or fix.grounds[0].holds(cells[near]).any()
        beside = np.hypot(*(np.asarray(fix.median_m) - place)) < params.stand_off_m
        found.append(clear_of_birds(place, [(fix, possible_places(fix.chance))], params))
        assert found[-1] == (not held and not beside)
    assert 10 < sum(found) < 143


def test_what_cannot_be_reached_is_not_proposed():
    seconds = np.where(PLACES[:, 0] > 0, np.inf, 100.0)
    assert all(s.xy_m[0] <= 0 for s in next_stands(WEDGE, PLACES, seconds))
    assert next_stands(WEDGE, PLACES, np.full(len(PLACES), np.nan)) == ()
    assert next_stands(WEDGE, PLACES, np.ones(len(PLACES)), params=StandParams(stand_off_m=2000.0)) == ()
    with pytest.raises(InputError, match="do not fit"):
        next_stands(WEDGE, PLACES, np.ones(3))


@pytest.mark.parametrize("place", [(0.0, 600.0), (300.0, 250.0)])
def test_the_area_foretold_is_what_a_simulation_finds(place):
    # Birds and errors drawn at random and worked out by the whole machinery, silence as well.
    dice, here = np.random.default_rng(5), np.array(place)
    (stand,) = next_stands(WEDGE, here[None, :], np.ones(1))
    weight, ear = WEDGE.chance.values.ravel(), PARAMS.earshot
    rows, cols = np.divmod(dice.choice(weight.size, 60, p=weight), WEDGE.chance.grid.n_cols)
    quiet = find_bird(WEDGE.bearings, [Listening("P2", place, 8.0)], GRID, params=PARAMS).ground(0.8).area_m2
    areas = []
    for bird in WEDGE.chance.grid.xy(rows, cols):
        first, second = (
            np.exp(-((bird - s) ** 2).sum(keepdims=True) * np.log(2) / 300**2) for s in (np.zeros(2), here)
        )
        chance = np.exp(log_heard([first, second], [], ear) - log_heard([first], [], ear)) * -np.expm1(-0.2578 * 8)
        if dice.random() > chance[0]:
            areas.append(quiet)
            continue
        azimuth = np.degrees(np.arctan2(*(bird - here))) + dice.normal(0, 12)
        heard = Bearing("b", place, azimuth % 360, 12.0, "P2", "B1")
        areas.append(find_bird([*WEDGE.bearings, heard], [], GRID, params=PARAMS).ground(0.8).area_m2)
    assert stand.area_m2 == pytest.approx(np.mean(areas), rel=0.25)
