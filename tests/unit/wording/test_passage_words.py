"""What is said of where one may walk."""

from dataclasses import replace

from hushwalk.morning.report import Noise
from hushwalk.site.passage import PassageFacts
from hushwalk.site.settings import HouseDistances
from hushwalk.wording.formats import way_parts
from hushwalk.wording.morning_words import noise_words
from hushwalk.wording.passage_words import passage_sentences


def test_what_is_left_out_and_what_nobody_says_are_told() -> None:
    facts = PassageFacts(12.0, unclassed_km=2.0, unsaid_km=9.5, private_km=1.25, motorway_km=0.5, houses=3)
    facts = replace(facts, keep=HouseDistances(stop_m=150.0))
    assert passage_sentences(facts) == (
        "1.2 km of private ways and 0.5 km of motorways and ramps are not walked",
        (
            "private ways are crossed off the path where the land is open, the short way, and never followed; a layer "
            'of kind closed bars crossing too, private_ways = "walk" opens them to those who have leave'
        ),
        (
            "the layers do not say of what class 2.0 of 12.0 km of roads and trails are: "
            "they are taken for streets and paths"
        ),
        "the layers do not say who may walk 9.5 of 12.0 km of roads and trails: they are taken as open to everybody",
        "no stop lies within 150 m of a house that a layer shows, and no step off roads and trails within 60 m",
    )


def test_houses_that_no_layer_shows_are_for_the_walker_to_see() -> None:
    (none,) = passage_sentences(PassageFacts())
    assert "no layer shows houses" in none
    assert "100 m off when you stand and 60 m when you walk" in none
    (built,) = passage_sentences(PassageFacts(built_up_km2=0.4))
    assert "built-up cover stands for them" in built


def test_a_shared_plan_says_nothing_of_it() -> None:
    assert passage_sentences(None) == ()


def test_wet_feet_are_told_in_whole_tens_of_metres() -> None:
    assert way_parts(0.2, 0, 0, 123.0) == ["20 % on trail or road", "wet feet for 120 m of wet ground"]
    assert way_parts(0.2, 1, 0, 6.0)[-1] == "wet feet for 10 m of wet ground"
    assert way_parts(0.2, 0, 0, 3.0) == ["20 % on trail or road"]


def test_traffic_says_what_it_takes() -> None:
    words = noise_words(Noise(water_dba=41.0, traffic_dba=52.4, traffic_takes=0.38))
    assert words == "running water, about 41 dB(A) and traffic, up to 52 dB(A): 38 % of the earshot is lost"
