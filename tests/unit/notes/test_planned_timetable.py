"""The timetable of a plan as it was written, with what is kept free and the stands without waiting."""

import json
from pathlib import Path

import pytest

from hushwalk.errors import InputError
from hushwalk.notes.planned_walk import read_timetable

STOP = {
    "name": "P01",
    "lon_deg": -90.3,
    "lat_deg": 47.4,
    "arrive": "2027-04-24T05:00:00-05:00",
    "leave": "2027-04-24T05:20:00-05:00",
    "wait_minutes": 4.0,
    "until_light_minutes": 6.0,
}
LEGS = [
    {"start": "CAR", "depart": "2027-04-24T04:50:00-05:00", "arrive": "2027-04-24T05:00:00-05:00"},
    {"start": "P01", "depart": "2027-04-24T05:20:00-05:00", "arrive": "2027-04-24T05:31:00-05:00"},
]
SUMMARY = {"date": "2027-04-24", "stops": [STOP], "legs": LEGS, "reserve": 0.15}


def written(tmp_path: Path, **more: object) -> Path:
    path = tmp_path / "summary.json"
    path.write_text(json.dumps({**SUMMARY, **more}), encoding="utf-8")
    return path


def test_a_stand_is_what_is_left_of_a_stop_without_waiting(tmp_path: Path) -> None:
    found = read_timetable(written(tmp_path, closing_in={"kept_free_minutes": 85.0}))
    assert found.stand_min == (10.0,)
    assert found.closing_in_min == 85.0
    assert found.reserve == 0.15
    assert [(end - begin).total_seconds() / 60 for begin, end in found.legs] == [10.0, 11.0]


def test_a_plan_that_knows_nothing_of_closing_in_keeps_nothing_free(tmp_path: Path) -> None:
    assert read_timetable(written(tmp_path)).closing_in_min == 0.0
    assert read_timetable(written(tmp_path, closing_in=None)).closing_in_min == 0.0


def test_the_rest_of_a_walk_is_no_whole_day(tmp_path: Path) -> None:
    rest = [{**LEGS[0], "start": "P04"}, LEGS[1]]
    with pytest.raises(InputError, match="not a whole walk"):
        read_timetable(written(tmp_path, legs=rest))
    with pytest.raises(InputError, match="not a summary"):
        read_timetable(written(tmp_path, reserve="much"))
