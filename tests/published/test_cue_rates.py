"""Cue rates of displaying birds: Farnsworth et al. 2002 (Auk 119:414-425) and others named beside their check.

Printed: detection in 10 minutes about 0.90 (winter wren) and 0.36 (pileated woodpecker); ln(phi) = -1.35546 for ruffed
grouse (continental removal model); 0.71 per visit gives 98 % in three visits (Bland 2013); logit slope 0.23 per degree
of warming (Zimmerman & Gutierrez 2007); 4 min between drums (Petraborg et al. 1953).
"""

import tomllib
from dataclasses import replace
from importlib.resources import files

import numpy as np
import pytest

from hushwalk.hearing.availability import Weather, availability, display_from_card
from hushwalk.science.bouts import cue_chance

CARD = tomllib.loads((files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8"))
DISPLAY = display_from_card(CARD)


@pytest.mark.parametrize(("printed", "rate"), [(0.90, 0.230), (0.36, 0.0446)])
def test_detection_in_ten_minutes(printed: float, rate: float) -> None:
    assert float(cue_chance(rate, 10.0)) == pytest.approx(printed, abs=0.005)


def test_the_rate_of_the_card_is_the_published_one() -> None:
    assert DISPLAY.rate_per_min == pytest.approx(np.exp(-1.35546), abs=5e-5)


def test_the_rate_agrees_with_the_interval_of_1953() -> None:
    assert 1 / DISPLAY.rate_per_min == pytest.approx(4.0, abs=0.15)


@pytest.mark.parametrize(("warmer_c", "expected"), [(1.0, 0.383), (3.0, 0.495)])
def test_warming_moves_the_odds(warmer_c: float, expected: float) -> None:
    # 0.33 per survey and logit 0.23 per degree; a rise of 1 and 3 degrees more than the usual one
    display = replace(DISPLAY, participation=0.33, participation_low=0.3)
    at = {"day_of_year": 109, "latitude_deg": 34.7, "elevation_m": 600.0}
    found = availability(display, 0.0, 300.0, weather=Weather(warming_c=2.0 + warmer_c), **at)
    assert found.participation == pytest.approx(expected, abs=5e-4)


@pytest.mark.parametrize(
    ("latitude_deg", "elevation_m", "first", "last"),
    [(34.7, 600.0, 109, 109), (46.5, 400.0, 106, 120), (44.2, 1600.0, 130, 140)],
)
def test_the_peak_of_the_season_falls_into_the_published_windows(
    latitude_deg: float, elevation_m: float, first: int, last: int
) -> None:
    # northern Georgia 19 April; Minnesota last two weeks of April; Black Hills mid May
    days = np.arange(60, 180)
    where = {"latitude_deg": latitude_deg, "elevation_m": elevation_m}
    share = [availability(DISPLAY, 0.0, 300.0, day_of_year=float(d), **where).participation for d in days]
    assert first <= days[int(np.argmax(share))] <= last
