import numpy as np
import pytest

from hushwalk.birds.group_likelihood import GroupLikelihood, log_males
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


def evidence(bearings):
    fine = window(GRID, stations_m(bearings), EAR)
    places = centres_m(fine)
    return GroupLikelihood(bearings, STOPS, places, log_males(None, None, places, 0.001, EAR), EAR), fine


def test_the_place_of_a_group_is_that_of_a_fix():
    found, fine = evidence(taken("P1", "P2"))
    near, number = found.by_place(frozenset([0, 1]))
    chance = np.zeros(fine.n_cells)
    chance[near] = number
    known = chance_of_place(taken("P1", "P2"), STOPS, GRID, params=EAR)
    assert known.grid == fine
    assert chance / chance.sum() == pytest.approx(known.values.ravel(), abs=1e-9)


def test_bearings_of_one_stop_are_one_hearing_and_its_silence_is_taken_off_once():
    # The same stop under its name but a few metres off, as a receiver has it: two places, one silence.
    near_by = Bearing("b", (4.0, 3.0), 31.0, 15.0, "P1")
    taken_there = (*taken("P1"), near_by)
    found, fine = evidence(taken_there)
    near, number = found.by_place(frozenset([0, 1]))
    chance = np.zeros(fine.n_cells)
    chance[near] = number
    known = chance_of_place(taken_there, STOPS, GRID, params=EAR)
    assert chance / chance.sum() == pytest.approx(known.values.ravel(), abs=1e-9)


def test_the_evidence_is_the_log_of_the_number_of_birds_and_joins_what_agrees():
    found, _ = evidence(taken("P1", "P2", "P3"))
    _, number = found.by_place(frozenset([0, 1, 2]))
    assert found(frozenset([0, 1, 2])) == pytest.approx(np.log(number.sum()))
    assert found(frozenset([0, 1, 2])) > sum(found(frozenset([k])) for k in range(3))


def test_finer_places_hear_as_the_cells_that_hold_them():
    found, _ = evidence(taken("P1", "P2"))
    places = found.places + 3.0
    close = found.at(places, np.arange(len(places)), GRID)
    near, number = close.by_place(frozenset([0, 1]))
    _, plain = found.by_place(frozenset([0, 1]))
    assert number.sum() == pytest.approx(plain.sum(), rel=0.02)
    assert np.abs(places[near][number.argmax()] - PLACE).max() < 60


def test_no_bird_stands_in_water():
    pond = Layer("water", "1", GRID, np.ones(GRID.shape))
    assert (log_males(None, pond, np.zeros((2, 2)), 1.0, EAR) < -100).all()
