"""Bland 2013, Western Birds 44(4): chance of detection 0.71 a visit, printed as 98 % in three visits; neighbours 209 m
apart; 4.9 territorial males a group, about 0.6 per km2 (abstract)."""

import pytest

from hushwalk.site.species import read_card


def test_three_visits_find_nearly_every_male() -> None:
    protocol = read_card("sooty_grouse")["protocol"]
    found = 1 - (1 - protocol["detection_per_visit"]) ** protocol["visits"]
    assert found == pytest.approx(0.976, abs=5e-4)
    assert found == pytest.approx(0.98, abs=0.005)


def test_the_card_says_what_was_printed() -> None:
    card = read_card("sooty_grouse")
    assert (card["territory"]["neighbour_m"], card["territory"]["males_per_group"]) == (209.0, 4.9)
    assert card.patch.spacing_m == 209.0
    assert card.density("sierra_nevada", "unknown").middle_per_km2 / 2 == pytest.approx(0.6)
