import numpy as np
import pytest

from hushwalk.birds.association import AssociationParams, associate
from hushwalk.birds.averaged_place import averaged_place
from hushwalk.birds.posterior import EarshotParams, chance_of_place
from hushwalk.grid.grid import Grid
from hushwalk.notes.bearing import Bearing, Listening
from hushwalk.science.crossing import azimuth_to

GRID = Grid(32615, -1500.0, 1500.0, 20.0, 150, 150)
FINE = EarshotParams(cell_m=10.0)
STOPS = {"P1": (0.0, 0.0), "P2": (300.0, 0.0), "P3": (600.0, 0.0)}
LISTENED = [Listening(n, xy, 6.0) for n, xy in STOPS.items()]


def heard(uid, stop, place, off=0.0):
    azimuth = (float(azimuth_to(np.array(STOPS[stop]), np.array(place))) + off) % 360
    return Bearing(uid, STOPS[stop], azimuth, 12.0, stop)


def shared(taken):
    return associate(taken, LISTENED, GRID, params=AssociationParams(earshot=EarshotParams(cell_m=20.0)))


def test_a_single_group_gives_the_place_of_its_bearings():
    taken = [heard("a", "P1", (150.0, 250.0), 5), heard("b", "P2", (150.0, 250.0), -4)]
    sharing = shared(taken).sharing
    mean = averaged_place(sharing, {frozenset([0, 1]): 1.0}, GRID, FINE)
    known = chance_of_place(taken, LISTENED, GRID, params=FINE)
    assert mean.grid == known.grid
    assert np.abs(mean.values - known.values).sum() < 0.02


def test_the_mean_is_that_of_the_groups_by_their_chance():
    taken = [heard("a", "P1", (150.0, 250.0)), heard("b", "P3", (500.0, 250.0))]
    sharing = shared(taken).sharing
    groups = sharing.groups_of(["a"])
    assert set(groups) <= {frozenset([0]), frozenset([0, 1])}
    assert sum(groups.values()) == pytest.approx(1)
    both = averaged_place(sharing, {frozenset([0]): 0.3, frozenset([0, 1]): 0.7}, GRID, FINE)
    alone, crossed = (chance_of_place(own, LISTENED, GRID, params=FINE) for own in (taken[:1], taken))
    rows, cols = np.indices(both.grid.shape).reshape(2, -1)
    places = both.grid.xy(rows, cols)
    wanted = 0.3 * np.nan_to_num(alone.at(places)) + 0.7 * np.nan_to_num(crossed.at(places))
    assert np.abs(both.values.ravel() - wanted).sum() < 0.03
