"""The notebook of a trip: where its ledger lies, and which stops it knows."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from hushwalk.errors import InputError, MissingFileError
from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.notebook import open_ledger
from hushwalk.notes.notes import SessionNote
from hushwalk.site.starter import write_starter

STOP = {"name": "P01", "lon_deg": -91.7, "lat_deg": 47.63}
HOURS = {"arrive": "2027-04-25T06:00:00-05:00", "leave": "2027-04-25T06:05:00-05:00"}


@pytest.fixture
def trip(tmp_path: Path) -> Path:
    return write_starter(tmp_path)


def test_without_plan_and_notes_it_is_empty_and_makes_nothing(trip: Path) -> None:
    book = open_ledger(trip)
    assert dict(book.stops) == {}
    assert book.notes("visit") == ()
    assert [path.name for path in trip.parent.iterdir()] == ["trip.toml"]
    assert book.epsg == 32615  # 91.7 W lies in zone 15


def test_the_saved_plan_gives_its_stops(trip: Path) -> None:
    saved = trip.parent / "out" / "summary.json"
    saved.parent.mkdir()
    saved.write_text(json.dumps({"stops": [STOP | HOURS]}), encoding="utf-8")
    assert dict(open_ledger(trip).stops) == {"P01": (-91.7, 47.63)}


def test_notes_are_read_from_beside_the_trip_file(trip: Path) -> None:
    note = SessionNote(datetime(2027, 4, 25, 11, tzinfo=UTC), "flushed a hen")
    write_notes(trip.parent / "notes.gpkg", [Entry(note)])
    assert [kept.note for kept in open_ledger(trip).notes("session")] == [note]


def test_a_plan_that_was_named_must_be_there_and_be_one(trip: Path) -> None:
    with pytest.raises(MissingFileError, match="no summary"):
        open_ledger(trip, plan=trip.parent / "other.json")
    (trip.parent / "other.json").write_text("[]", encoding="utf-8")
    with pytest.raises(InputError, match="not a summary"):
        open_ledger(trip, plan=trip.parent / "other.json")


def test_the_ear_is_that_of_the_trip_file(trip: Path) -> None:
    text = trip.read_text(encoding="utf-8")
    trip.write_text(text.replace("# bearing_error_deg = 15.0", "bearing_error_deg = 9.0"), encoding="utf-8")
    assert open_ledger(trip).bearing_error.sd_deg == 9.0
