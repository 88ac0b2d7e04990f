"""Wishes by hand: an earlier promise, places as they are typed."""

from dataclasses import replace
from datetime import date, time
from typing import Any

import numpy as np
import pytest

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.morning.wishes import any_wish, shorter_walk, wished_places
from hushwalk.site.settings import LayerSettings, MorningSettings, PlaceSettings, TripSettings
from hushwalk.site.wish_settings import WishSettings

GRID = Grid(32615, 597_000.0, 5_276_000.0, 10.0, 200, 200)
SETTINGS = TripSettings(
    place=PlaceSettings("Invented ground", "47.62, -91.70"),
    morning=MorningSettings(date=date(2027, 4, 25), back_by=time(9, 30), leave_not_before=time(4, 30)),
    layers=(LayerSettings("elevation", "heights.tif"),),
)


def shorter(minutes: int) -> TripSettings:
    return shorter_walk(replace(SETTINGS, wishes=WishSettings(shorter_minutes=minutes)))


def test_a_shorter_walk_is_back_sooner() -> None:
    assert shorter(0).morning == SETTINGS.morning
    assert shorter(75).morning.back_by == time(8, 15)


def test_a_walk_that_is_too_short_is_refused() -> None:
    with pytest.raises(SettingsError, match="300 minutes shorter leaves no time before 09:30"):
        shorter(300)


def test_places_are_read_as_everywhere() -> None:
    places = wished_places(GRID, ("15T 598000 5275000", "15T 597500 5275500"), "wishes.must")
    assert places == pytest.approx(np.array([[598_000.0, 5_275_000.0], [597_500.0, 5_275_500.0]]), abs=0.5)
    assert wished_places(GRID, (), "wishes.must").shape == (0, 2)
    with pytest.raises(PlaceError, match=r"wishes\.must_not"):
        wished_places(GRID, ("15T 700000 5275000",), "wishes.must_not")


def test_nothing_wished_is_no_wish() -> None:
    assert not any_wish(WishSettings())
    assert any_wish(WishSettings(must=("47.62, -91.70",)))


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        ({"must": ("47.62, -91.70", "x")}, r"wishes\.must: place 'x' cannot be read"),
        ({"must_not": ("",)}, r"wishes\.must_not: place ''"),
        ({"start": "by the big stone"}, r"wishes\.start: place 'by the big stone'"),
        ({"not_across": (("47.62, -91.70", "x"),)}, r"wishes\.not_across: place 'x'"),
    ],
)
def test_what_is_no_place_is_refused_before_any_ground_is_read(wish: dict[str, Any], words: str) -> None:
    with pytest.raises(PlaceError, match=words):
        WishSettings(**wish)


def test_a_line_of_one_place_is_refused_before_any_ground_is_read() -> None:
    with pytest.raises(SettingsError, match=r"wishes\.not_across: a line needs two places or more"):
        WishSettings(not_across=(("47.62, -91.70",),))
