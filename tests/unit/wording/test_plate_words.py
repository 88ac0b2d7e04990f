"""What is said of an area follows from its numbers, and from those of all others."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from hushwalk.habitat.needs import Need, Role
from hushwalk.habitat.why import Reason
from hushwalk.regions.area_report import Area, Look, PlaceFault, Unranked
from hushwalk.regions.area_score import PlaceScore
from hushwalk.regions.car_places import CarPlace
from hushwalk.science.curves import Curve
from hushwalk.wording.area_words import area_reasons, unranked_words
from hushwalk.wording.plate_words import PlateWords, plate_words

NONE = np.zeros(0)
SCORE = PlaceScore(4.0, 12, 120.0, 3.0, 20.0, 0.0, 200.0, "aspen", NONE, NONE, np.zeros((0, 2)), 8.0)
HERE = Area(1, CarPlace("landing", "given", (0.0, 0.0)), -92.0, 47.0, SCORE, 3.9, None)
OTHER = replace(HERE, rank=2, score=replace(SCORE, males=2.0))
MORNING = SimpleNamespace(walk=SimpleNamespace(participation=0.5, budget_s=9000.0))


def reason(label: str, role: Role, score: float, factor: float) -> Reason:
    need = Need(label, label, "1", role, 1.0, Curve((0.0, 1.0), (0.0, 1.0)), "spring", "definition", "found")
    return Reason(need, float("nan"), score, 0.5, factor)


LOOK = Look(
    0.6,
    (reason("age", "limiting", 0.2, 0.2), reason("edge", "compensating", 0.8, 0.9)),
    closed_known=False,
    closed_names=(),
    road="",
)


def said(area: Area, look: Look = LOOK) -> PlateWords:
    plate: Any = SimpleNamespace(area=area, look=look)
    areas: Any = SimpleNamespace(areas=(area, OTHER), place_params=MORNING)
    return plate_words(plate, areas)


def test_the_good_and_the_poor_are_named() -> None:
    words = said(HERE)
    assert words.good[0].startswith(
        "20.0 males live in earshot of the ground in reach; 50 % of those in earshot display"
    )
    assert words.good[1] == "A dawn walk could hear 4.0 of them from 12 stops, the most of all places"
    assert "For it: edge" in words.good
    assert "Nearly all of it is new: heard from no better place and on no scouted ground" in words.good
    assert words.held_back == ("The ground in reach: age poor",)
    assert said(HERE, replace(LOOK, ingredients=())).held_back == ("Nothing that the layers show",)


@pytest.mark.parametrize(
    ("score", "words"),
    [
        ({"used_min": 149.0}, "One morning is too short"),
        ({"half_m": 60.0}, "The growth dulls the ear"),
        ({"reach_km2": 0.5}, "keep the reach to 0.5 km²"),
        ({"walk_in_min": 40.0}, "The first stop is 40 min from the car, in the dark"),
        ({"males": 10.0}, "61 % of it is heard from better or known places"),
    ],
)
def test_what_holds_an_area_back_is_said(score: dict[str, float], words: str) -> None:
    assert any(words in line for line in said(replace(HERE, score=replace(SCORE, **score))).held_back)


def test_closed_ground_is_known_or_asked_about() -> None:
    closed = replace(HERE, score=replace(SCORE, closed_share=0.3), drive_min=25.0)
    words = said(closed, replace(LOOK, closed_known=True, closed_names=("parcel",), road="gravel"))
    assert words.land.startswith("30 % of the ground round about is closed (parcel), hatched on the map")
    assert words.access == "landing (gravel), 25 min to drive; then 8 min on foot to the first stop."
    assert said(HERE).land.startswith("No layer of closed ground was given")
    assert "30 % of the ground round about is closed; 25 minutes to drive" in area_reasons(closed)


def test_places_that_are_not_ranked_are_counted() -> None:
    assert unranked_words(Unranked(PlaceFault.SILENT, 2, 7)) == ("2 of 7 places were left out because nothing is heard")
