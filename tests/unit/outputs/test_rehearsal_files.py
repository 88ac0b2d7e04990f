"""The rehearsal as a picture and as figures."""

import json
from datetime import date
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from hushwalk.morning.day.day_worth import PlayedDays, shares_of
from hushwalk.morning.day.rehearsed_trip import RehearsedTrip
from hushwalk.morning.day_chances import DayChances, ExpectedDay, Spread
from hushwalk.outputs.registry import rehearsal_products
from hushwalk.outputs.walk.rehearsal_files import rehearsal_json, rehearsal_svg


@pytest.fixture
def rehearsed() -> RehearsedTrip:
    one = Spread(1.2, 0.0, 3.0)
    chances = DayChances(
        4, (0.25, 0.5, 0.0, 0.25), 0.75, 0.5, one, one, one, one, one, one, Spread(6.0, 0.0, 25.0), 0.05, 1.1, 11.0
    )
    counts = np.array([0.0, 1.0, 1.0, 30.0])
    played = PlayedDays(chances, counts, counts, shares_of(counts), counts, np.array([0.0, 0.0, 4.0, 25.0]))
    return RehearsedTrip("Ridge <of> & ends", "Grouse", date(2027, 4, 24), 12, ExpectedDay(0.0, 180.0, chances), played)


def test_the_picture_is_sound_and_holds_every_panel(rehearsed: RehearsedTrip) -> None:
    picture = ET.fromstring(rehearsal_svg(rehearsed))  # noqa: S314 - our own text
    words = [node.text for node in picture.iter("{http://www.w3.org/2000/svg}text")]
    assert "Ridge <of> & ends" in words
    for name in ("males heard", "closed in on", "logs found", "males within 50 m", "minutes late"):
        assert name in words
    late = words[words.index("minutes late") + 1 :]
    assert late == ["in time", "50 %", "to 5", "25 %", "to 10", "0 %", "to 20", "0 %", "over 20", "25 %"]
    bars = list(picture.iter("{http://www.w3.org/2000/svg}rect"))[1:]
    edges = [float(bar.get("x", "nan")) + float(bar.get("width", "nan")) for bar in bars]
    assert max(edges) <= float(picture.get("width", "nan"))


def test_the_figures_are_those_of_the_days(rehearsed: RehearsedTrip) -> None:
    told = json.loads(rehearsal_json(rehearsed))
    assert told["schema"] == "hushwalk rehearsal 1"
    assert told["chance_heard"] == {"none": 0.25, "one": 0.5, "two": 0.0, "three_or_more": 0.25}
    assert told["chance_log_found"] == 0.75
    assert told["a_day"]["minutes_late"] == {"mean": 6.0, "low": 0.0, "high": 25.0}
    assert told["closing_in_minutes"] == 0.0
    assert len(told["words"]) == 4


def test_both_files_are_products(rehearsed: RehearsedTrip) -> None:
    made = {product.file: product.content() for product in rehearsal_products(rehearsed)}
    assert set(made) == {"rehearsal.svg", "rehearsal.json"}
    assert all(made.values())
