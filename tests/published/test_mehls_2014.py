"""Mehls, Jensen, Rumble and Wimberly 2014, Prairie Naturalist 46:21-33: discs of 200, 400, 1,600 and 4,800 m,
printed as about 12.5, 50, 804 and 7,200 ha; use highest at 20 % aspen within 1,600 m; ponderosa avoided (abstract)."""

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.ingredients import share_of_kinds, wide_mean
from hushwalk.science.habitat_relations import mehls_2014_landscape_score
from hushwalk.site.species import read_card


@pytest.mark.parametrize(("radius_m", "area_ha"), [(200.0, 12.5), (400.0, 50.0), (1_600.0, 804.0), (4_800.0, 7_200.0)])
def test_our_discs_have_the_printed_areas(radius_m: float, area_ha: float) -> None:
    cell_m = radius_m / 40
    grid = Grid(32613, 0.0, 0.0, cell_m, 121, 121)
    spot = np.zeros(grid.shape)
    spot[60, 60] = 1.0
    share = wide_mean(Layer("spot", "1", grid, spot), radius_m)[60, 60]
    assert cell_m**2 / share / 1e4 == pytest.approx(area_ha, rel=0.015)


def test_the_landscape_scores_full_from_a_fifth() -> None:
    assert mehls_2014_landscape_score([0.0, 0.1, 0.2, 0.6]).tolist() == [0.0, 0.5, 1.0, 1.0]


def test_a_fifth_of_aspen_round_a_place_scores_full_and_a_tenth_half() -> None:
    card = read_card("ruffed_grouse")
    curve = next(need.curve for need in card.needs("black_hills") if need.key == "landscape_share")
    grid = Grid(32613, 0.0, 0.0, 40.0, 161, 161)
    for every, score in ((5, 1.0), (10, 0.5)):
        codes = np.full(grid.shape, 21.0)  # pine
        codes[:, ::every] = 14.0  # aspen
        share = share_of_kinds(
            Layer("cover", "class", grid, codes), card.landscape_shares("black_hills"), 1_600.0, "aspen"
        )
        assert curve(share.values[80, 80]) == pytest.approx(score, abs=0.02)


def test_ponderosa_pine_is_worth_less_than_aspen() -> None:
    usual, _ = read_card("ruffed_grouse").cover_quality("black_hills")
    assert usual[21] < usual[14] / 10
