"""Use of spring drumming counts ... in the southern Appalachians (SEAFWA 2005, 135-143; abstract): of 30 males with
transmitters 20 % drummed in late March, 56 to 69 % at the peak of 9 to 16 April. Martin (M.Sc., Lethbridge): the hourly
peak lies one hour before sunrise and one hour before sunset."""

import tomllib
from importlib.resources import files

import numpy as np
import pytest

from hushwalk.hearing.availability import display_from_card, peak_day, season_factor

CARD = tomllib.loads((files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8"))
DISPLAY = display_from_card(CARD)
NORTH_CAROLINA = (35.3, 1000.0)


def test_the_share_at_the_peak_is_that_of_males_with_transmitters() -> None:
    assert 0.56 <= DISPLAY.participation <= 0.69


@pytest.mark.parametrize("days", [12, 18])
def test_the_rise_is_that_from_late_march_to_the_peak(days: int) -> None:
    # 0.20 against 0.62 in 12 to 18 days; the sd of a Gaussian rise through them is 8 to 12 days
    sd = days / np.sqrt(2 * np.log(0.62 / 0.20))
    assert 8 - 0.5 < sd < 12 + 0.1
    share = season_factor(DISPLAY, peak_day(DISPLAY, *NORTH_CAROLINA) - 17, *NORTH_CAROLINA)
    assert share == pytest.approx(0.20 / 0.62, abs=0.03)


def test_the_hours_peak_before_sunrise_and_before_sunset() -> None:
    assert DISPLAY.minutes_from_sunrise[int(np.argmax(DISPLAY.hour_factor))] == -60
    assert DISPLAY.minutes_from_sunset[int(np.argmax(DISPLAY.evening_factor))] == -60
    assert max(DISPLAY.evening_factor) < max(DISPLAY.hour_factor)  # minor in the evening
