import numpy as np
import pytest

from hushwalk.birds.group_likelihood import GroupLikelihood, HeardMorning, log_males
from hushwalk.birds.posterior import EarshotParams, centres_m, chance_of_place, window
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing, Listening, stations_m
from hushwalk.science.crossing import azimuth_to

GRID = Grid(32615, -1000.0, 1000.0, 20.0, 100, 100)
EAR = EarshotParams(cell_m=20.0)
PLACE = np.array([150.0, 250.0])
STOPS = [Listening("P1", (0.0, 0.0), 6.0), Listening("P2", (300.0, 0.0), 6.0), Listening("P3", (0.0, 500.0), 6.0)]


def taken(*stops):
    return tuple(
        Bearing(w.stop, w.xy_m, float(azimuth_to(np.array(w.xy_m), PLACE)), 15.0, w.stop)
        for w in STOPS
        if w.stop in stops
    )


def evidence(*mornings, places=None):
    fine = window(GRID, stations_m([b for m in mornings for b in m]), EAR)
    places = centres_m(fine)
    heard = [HeardMorning(m, tuple(STOPS), {}, 0.5) for m in mornings]
    return GroupLikelihood(heard, places, log_males(None, None, places, 0.002, EAR), EAR), fine


def test_the_place_of_a_group_is_that_of_a_fix():
    found, fine = evidence(taken("P1", "P2"))
    near, total = found.by_place(frozenset([0, 1]))
    chance = np.zeros(fine.n_cells)
    chance[near] = np.exp(total - total.max())
    known = chance_of_place(taken("P1", "P2"), STOPS, GRID, params=EAR)
    assert known.grid == fine
    assert chance / chance.sum() == pytest.approx(known.values.ravel(), abs=1e-9)


def test_silence_on_a_second_morning_counts_with_the_chance_that_he_is_silent():
    one, _ = evidence(taken("P1", "P2"))
    two, _ = evidence(taken("P1", "P2"), ())
    a, b = (e.by_place(frozenset([0, 1]))[1] for e in (one, two))
    # He is silent that morning with 1 - 0.5, so no place loses more than half, and near the stops most.
    assert (b - a).max() <= 0
    assert (b - a).min() > np.log(0.5)


def test_two_mornings_that_agree_gain_and_two_that_do_not_lose():
    found, _ = evidence(taken("P1", "P2"), taken("P2", "P3"))
    apart = found(frozenset([0, 1])) + found(frozenset([2, 3]))
    assert found(frozenset([0, 1, 2, 3])) > apart
    away = tuple(Bearing(b.uid, b.xy_m, (b.grid_azimuth_deg + 90) % 360, 15.0, b.stop) for b in taken("P2", "P3"))
    other, _ = evidence(taken("P1", "P2"), away)
    assert other(frozenset([0, 1, 2, 3])) < other(frozenset([0, 1])) + other(frozenset([2, 3]))


def test_no_bird_stands_in_water():
    pond = Layer("water", "1", GRID, np.ones(GRID.shape))
    assert (log_males(None, pond, np.zeros((2, 2)), 1.0, EAR) < -100).all()
