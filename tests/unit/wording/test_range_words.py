"""What is assumed of region and year is said, and a place outside the range of the bird is no morning to get up for."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

from hushwalk.hearing.availability import Weather
from hushwalk.hearing.conditions import CALM
from hushwalk.hearing.morning_verdict import Hindrance, Verdict
from hushwalk.morning.warnings import MorningWarning, Trouble, range_doubt
from hushwalk.site.bird_range import BirdRegion, bird_region
from hushwalk.site.species import read_card
from hushwalk.wording.range_words import region_sentences, wrong_zone_sentence
from hushwalk.wording.warning_words import warning_sentence

GROUSE = read_card("ruffed_grouse")
GO = Verdict("go", 1.0, Hindrance.NONE, CALM, Weather().rain)
HERE = bird_region(GROUSE, None, -91.7, 47.6)
ALPS = bird_region(GROUSE, None, 9.5, 47.1)


def site_in(region: BirdRegion) -> Any:
    return cast("Any", SimpleNamespace(region=region, card=GROUSE, car=SimpleNamespace(lon_deg=91.7, lat_deg=47.6)))


def test_what_the_file_leaves_out_is_said_as_assumed() -> None:
    region, cycle = region_sentences(HERE, "unknown")
    assert region.startswith(
        "the region is lake_states (Lake States and boreal forest to the north), taken from the place"
    )
    assert cycle.startswith("the year of the cycle is unknown")
    assert region_sentences(replace(HERE, named=True), "peak") == ()
    assert "the nearest of the species card" in region_sentences(ALPS, "peak")[0]
    assert region_sentences(None, "unknown") == ()


def test_the_warning_names_bird_and_distance() -> None:
    assert range_doubt(site_in(HERE)) == ()
    (warning,) = range_doubt(site_in(ALPS))
    assert warning.trouble is Trouble.OUT_OF_RANGE
    assert warning_sentence(warning).startswith("OUT OF RANGE: the ruffed grouse is not known to live here")
    assert warning_sentence(warning).endswith(
        "It lives at 47.6000, -91.7000: look whether the minus sign of the longitude is missing."
    )


def test_a_clock_that_cannot_be_that_of_the_place_is_said() -> None:
    words = warning_sentence(MorningWarning(Trouble.WRONG_ZONE, 0.0, zone_error_h=-5.5, zone="Asia/Kolkata"))
    assert words.startswith("Wrong clock: it runs 5.5 hours behind that of Asia/Kolkata, where the car stands")
    of_areas = wrong_zone_sentence(1.0, "America/Chicago", where="the middle of the region lies")
    assert "1 hour ahead of that of America/Chicago, where the middle of the region lies; write" in of_areas
