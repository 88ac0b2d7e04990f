"""A stop of the plan named where a place is asked for."""

import json
from datetime import date, time
from pathlib import Path

import numpy as np
import pytest

from hushwalk.errors import InputError, MissingFileError, PlaceError
from hushwalk.grid.points import parse_place, to_lonlat
from hushwalk.notes.planned_walk import place_meant, read_further, read_walk, settings_of_plan
from hushwalk.site.settings import LayerSettings, MorningSettings, PlaceSettings, TripSettings


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


def test_stops_for_a_morning_without_a_bird_come_after_those_of_the_plan(summary: Path) -> None:
    content = json.loads(summary.read_text(encoding="utf-8"))
    assert read_further(summary) == ()
    further = {**content["stops"][0], "name": "P03", "lon_deg": -91.6}
    content["closing_in"] = {"if_nothing_heard": {"stops": [further]}}
    summary.write_text(json.dumps(content), encoding="utf-8")
    assert [stop.name for stop in read_walk(summary)] == ["P01", "P02"]
    assert [stop.name for stop in read_further(summary)] == ["P03"]
    assert place_meant("p3", summary) == pytest.approx((-91.6, 47.6))


@pytest.mark.parametrize("said", [{"closing_in": 3}, {"closing_in": {"if_nothing_heard": [1]}}])
def test_a_summary_of_another_form_is_refused(said: dict[str, object], summary: Path) -> None:
    summary.write_text(json.dumps({"stops": [], **said}), encoding="utf-8")
    with pytest.raises(InputError, match="plan the morning anew"):
        read_further(summary)


@pytest.mark.parametrize(
    ("car", "begins"),
    [
        (None, "15T 597000 5275000"),
        ((597000.0, 5275000.0), "15T 597000 5275000"),
        ((597300.0, 5275000.0), None),
    ],
)
def test_a_plan_begins_at_its_own_car(car: tuple[float, float] | None, begins: str | None, tmp_path: Path) -> None:
    trip = TripSettings(
        place=PlaceSettings("Invented ground", "15T 597000 5275000"),
        morning=MorningSettings(date=date(2027, 4, 24), back_by=time(9, 30), time_zone="America/Chicago"),
        layers=(LayerSettings("elevation", "heights.tif"),),
    )
    there = None if car is None else to_lonlat(32615, np.array([car]))[0]
    content = {} if there is None else {"car": {"lon_deg": there[0], "lat_deg": there[1]}}
    file = tmp_path / "summary.json"
    file.write_text(json.dumps(content), encoding="utf-8")
    found = settings_of_plan(trip, file).place.car
    if begins is None:
        assert there is not None
        assert parse_place(found) == pytest.approx(tuple(there), abs=1e-6)
    else:
        assert found == begins
