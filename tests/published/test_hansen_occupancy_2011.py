"""Hansen, Millspaugh and Rumble 2011, Journal of Wildlife Management 75:71-77 (abstract): in the Black Hills detection
peaks in mid May and falls with wind and with a later start. Lewis and others 2022 (abstract): in northern Georgia the
modelled peak is 19 April, surveys run from 28 March to 9 May. The directions are held as properties."""

import tomllib
from datetime import date
from importlib.resources import files

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from hushwalk.hearing.availability import Weather, availability, display_from_card
from hushwalk.hearing.call import call_from_card
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.level_soundscape import LevelSoundscape
from hushwalk.hearing.listener import Listener
from hushwalk.science.habitat_relations import hansen_2011_visibility_odds

CARD = tomllib.loads((files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8"))
DISPLAY, CALL = display_from_card(CARD), call_from_card(CARD)
BLACK_HILLS = {"latitude_deg": 44.2, "elevation_m": 1600.0}
GEORGIA = {"latitude_deg": 34.7, "elevation_m": 600.0}
MID_APRIL, MID_MAY = (float(date(2027, month, 15).timetuple().tm_yday) for month in (4, 5))


def chance(day: float, where: dict[str, float], minutes: float = 0.0, weather: Weather | None = None) -> float:
    found = availability(DISPLAY, minutes, 300.0, day_of_year=day, weather=weather, **where)
    return float(found.chance)


def test_mid_may_beats_mid_april_in_the_black_hills_and_loses_in_georgia() -> None:
    assert chance(MID_MAY, BLACK_HILLS) > chance(MID_APRIL, BLACK_HILLS)
    assert chance(MID_MAY, GEORGIA) < chance(MID_APRIL, GEORGIA)


def test_the_surveys_of_georgia_cover_the_weeks_round_the_peak() -> None:
    # the rise is that of the males with transmitters of test_seafwa_counts_2005.py, steeper than the fall
    first, last = (float(date(2027, *day).timetuple().tm_yday) for day in ((3, 28), (5, 9)))
    peak = chance(109.0, GEORGIA)
    assert chance(first, GEORGIA) > peak / 10
    assert chance(last, GEORGIA) > peak / 2
    assert max(chance(first - 21, GEORGIA), chance(last + 21, GEORGIA)) < peak / 3


@given(st.floats(0, 300), st.floats(1, 120))
def test_a_later_start_after_sunrise_never_helps(minutes: float, later: float) -> None:
    assert chance(MID_MAY, BLACK_HILLS, minutes + later) <= chance(MID_MAY, BLACK_HILLS, minutes)


def test_two_hours_later_is_plainly_worse() -> None:
    assert chance(MID_MAY, BLACK_HILLS, 120.0) < 0.75 * chance(MID_MAY, BLACK_HILLS, 0.0)


@given(st.floats(0, 8), st.floats(0.5, 6), st.floats(50, 600))
def test_wind_lowers_detection_at_any_distance(wind_ms: float, more_ms: float, far_m: float) -> None:
    def heard(wind: float) -> float:
        at = np.array([far_m])
        ear = float(LevelSoundscape(Conditions(wind_at_ear_ms=wind), CALL, Listener()).chance(at, 0.25)[0])
        return ear * chance(MID_MAY, BLACK_HILLS, weather=Weather(wind_ms=wind))

    assert heard(wind_ms + more_ms) <= heard(wind_ms) + 1e-12


def test_a_fresh_wind_halves_detection_at_two_hundred_metres() -> None:
    calm, windy = (
        float(LevelSoundscape(Conditions(wind_at_ear_ms=wind), CALL, Listener()).chance(np.array([200.0]), 0.25)[0])
        for wind in (0.5, 5.0)
    )
    assert windy < calm / 2


@given(st.floats(0, 99), st.floats(0.1, 50))
def test_more_visibility_lowers_the_score_of_a_log(visible: float, more: float) -> None:
    """Hansen, Rumble and Millspaugh 2011, American Midland Naturalist 165:400-411."""
    assert hansen_2011_visibility_odds(visible + more) < hansen_2011_visibility_odds(visible)
