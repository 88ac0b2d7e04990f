"""What was searched, noted from the summary of a planned search: once, with its lines, or not at all."""

import json
import shutil
from pathlib import Path

import pytest

from hushwalk.birds.search.search_record import note_walked
from hushwalk.errors import InputError, MissingFileError
from hushwalk.notes.ledger import read_notes

DEMO = Path(__file__).parents[4] / "data_demo" / "trip.toml"
PATH = [[-90.33012, 47.38123], [-90.33, 47.3812], [-90.32988, 47.38131]]


@pytest.fixture
def trip(tmp_path: Path) -> Path:
    area = {"number": 1, "bird": "B2", "arrive": "2027-04-24T10:30:00-05:00", "leave": "2027-04-24T11:10:00-05:00"}
    areas = [area | {"path_lonlat": PATH}, area | {"number": 2, "bird": "B3", "path_lonlat": PATH[:2]}]
    (tmp_path / "search.json").write_text(json.dumps({"sweep_m": 9.6, "areas": areas}), encoding="utf-8")
    return Path(shutil.copy(DEMO, tmp_path / "trip.toml"))


def test_areas_that_were_walked_are_noted_once_with_their_lines(trip: Path) -> None:
    summary = trip.with_name("search.json")
    assert note_walked(trip, summary, [1, 2, 1]) == 2
    assert note_walked(trip, summary, [1]) == 0
    first, second = (row.note for row in read_notes(trip.with_name("notes.gpkg"), "session"))
    assert (first.session, first.bird, second.bird) == ("search", "B2", "B3")
    assert (first.end - first.at).total_seconds() == 40 * 60
    assert first.remark == "sweep 9.6 m along 47.38123 -90.33012, 47.38120 -90.33000, 47.38131 -90.32988"


def test_a_strange_area_and_a_strange_file_note_nothing(trip: Path) -> None:
    summary = trip.with_name("search.json")
    with pytest.raises(InputError, match="has no area 7; there are 1, 2"):
        note_walked(trip, summary, [1, 7])
    with pytest.raises(MissingFileError, match="plan the search first"):
        note_walked(trip, trip.with_name("none.json"), [1])
    summary.write_text("[1, 2]", encoding="utf-8")
    with pytest.raises(InputError, match="is not the summary of a search"):
        note_walked(trip, summary, [1])
    assert not trip.with_name("notes.gpkg").exists()
