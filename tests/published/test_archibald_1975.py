"""Archibald 1975, Journal of Wildlife Management 39:472-481: core range of 2.26 ha on average (abstract)."""

import pytest

from hushwalk.science.habitat_relations import archibald_1975_core_radius_m
from hushwalk.site.species import read_card


def test_radius_of_the_core() -> None:
    assert archibald_1975_core_radius_m() == pytest.approx(84.8, abs=0.05)


def test_territories_do_not_overlap_by_more_than_the_core() -> None:
    assert read_card("ruffed_grouse").patch.spacing_m == pytest.approx(2 * archibald_1975_core_radius_m(), rel=0.01)
