"""A stop of the plan named where a place is asked for."""

import json
from pathlib import Path

import pytest

from hushwalk.errors import MissingFileError, PlaceError
from hushwalk.notes.planned_walk import place_meant


@pytest.fixture
def summary(tmp_path: Path) -> Path:
    stops = [
        {
            "name": f"P{n:02d}",
            "lon_deg": -91.7 + n / 100,
            "lat_deg": 47.6,
            "arrive": "2027-04-24T05:10:00-05:00",
            "leave": "2027-04-24T05:20:00-05:00",
        }
        for n in (1, 2)
    ]
    file = tmp_path / "summary.json"
    file.write_text(json.dumps({"stops": stops}), encoding="utf-8")
    return file


@pytest.mark.parametrize("said", ["P02", "p2", " p02 "])
def test_a_stop_is_known_by_its_name(said: str, summary: Path) -> None:
    assert place_meant(said, summary) == pytest.approx((-91.68, 47.6))


def test_a_stop_that_is_not_in_the_plan_is_refused_with_those_that_are(summary: Path) -> None:
    with pytest.raises(PlaceError, match="has no stop P07; its stops are P01, P02"):
        place_meant("P07", summary)


def test_a_place_in_degrees_needs_no_plan(tmp_path: Path) -> None:
    assert place_meant("47.5, -91.5", tmp_path / "none.json") == pytest.approx((-91.5, 47.5))


def test_a_stop_without_a_plan_says_to_plan_first(tmp_path: Path) -> None:
    with pytest.raises(MissingFileError, match="plan the morning first"):
        place_meant("P01", tmp_path / "none.json")
