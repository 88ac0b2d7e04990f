import math

import numpy as np
import pytest

from hushwalk.science.sound_screen import EDGE_MARGIN_M, edge_loss_db, find_edges, wavelength_m


def edges_of(place: list[float], height: list[float], first: float = 1.6, last: float = 0.5) -> np.ndarray:
    n, found = len(place), np.zeros(7)
    find_edges(np.array(place), np.array(height), n, first, last, np.empty(n), np.empty(n, dtype=np.int64), found)
    return found


def test_level_and_sloping_ground_is_no_screen() -> None:
    place = np.arange(0, 310, 10.0)
    for slope in (0.0, 0.3, -0.5):
        assert edges_of(list(place), list(slope * place))[0] == pytest.approx(0, abs=1e-9)


def test_a_valley_is_no_screen() -> None:
    assert edges_of([0, 50, 100], [100.0, 20.0, 100.0])[0] == 0


def test_one_wall_by_hand() -> None:
    weight, detour, first, last, direct, between, second = edges_of([0, 60, 100], [0, 20, 0], 1.5, 1.5)
    a, b = math.hypot(60, 18.5), math.hypot(40, 18.5)
    assert (weight, between, second) == (1, 0, 0)
    assert (first, last, direct) == pytest.approx((a, b, 100))
    assert detour == pytest.approx(a + b - 100)


def test_two_walls_by_hand() -> None:
    weight, detour, first, last, _direct, between, second = edges_of([0, 60, 160, 200], [0, 20, 20, 0], 0.0, 0.0)
    leg, short = math.hypot(60, 20), math.hypot(40, 20)
    assert (weight, second) == (1, 1)
    assert sorted([first, last]) == pytest.approx(sorted([leg, short]))
    assert between == pytest.approx(100)
    assert detour == pytest.approx(leg + 100 + short - 200)


def test_a_wall_under_the_band_over_two_others_counts_for_nothing() -> None:
    with_it = edges_of([0, 60, 110, 160, 200], [0, 20, 15, 20, 0])
    assert with_it == pytest.approx(edges_of([0, 60, 160, 200], [0, 20, 20, 0]))


def test_a_rise_fades_in_between_the_ground_and_a_margin_above_the_sight() -> None:
    sight = 1.05  # halfway between an ear at 1.6 m and a bird at 0.5 m
    for rise, weight in ((0.0, 0.0), (sight, sight / (sight + EDGE_MARGIN_M)), (sight + EDGE_MARGIN_M, 1.0)):
        assert edges_of([0, 100, 200], [0, rise, 0])[0] == pytest.approx(weight)


def test_the_loss_does_not_jump_where_the_sight_is_just_cut() -> None:
    def loss(rise: float) -> float:
        found = edges_of([0, 100, 200], [0, rise, 0])
        return float(found[0] * edge_loss_db(*found[1:], 5.4))

    assert loss(1.05 + 1e-6) == pytest.approx(loss(1.05 - 1e-6), abs=0.01)
    rising = [loss(r) for r in np.linspace(0, 30, 301)]
    assert np.all(np.diff(rising) >= -1e-9)


def test_a_bump_beside_a_ridge_does_not_make_a_double_edge() -> None:
    found = edges_of([0, 10, 100, 200], [0, 2.9, 20, 0], 1.6, 0.5)
    assert found[6] < 0.1


def test_wavelength() -> None:
    assert wavelength_m(np.array([40.0, 340.0])) == pytest.approx([8.5, 1.0])
