from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from hushwalk.errors import InputError
from hushwalk.notes.bearing import NorthAngles
from hushwalk.notes.ledger import Entry, read_notes, write_notes
from hushwalk.notes.log_notes import noted_log, noted_signs
from hushwalk.notes.notes import LogNote
from hushwalk.notes.reading.entry import NoteContext, note_from_cells

NOTE = LogNote(
    datetime(2027, 4, 25, 16, tzinfo=UTC), (-92.1, 46.8), "LOG01", "fresh pile", "NW", height_m=0.5, slope_deg=3.0,
    worn=True, cover_share=0.8, backdrop_m="NW 15, N 4", hide_m="SE 14", view_share="SE 0.9", access="SE E",
)  # fmt: skip


def test_a_note_gives_a_log_that_faces_away_from_the_droppings() -> None:
    log = noted_log(NOTE, (1.0, 2.0))
    assert log.facing_deg == (135.0,)
    assert (log.backdrop_m, log.room_m, log.view_share) == ({"NW": 15.0, "N": 4.0}, {"SE": 14.0}, {"SE": 0.9})
    assert log.access == ("SE", "E")
    assert (log.xy_m, log.height_m, log.slope_deg) == ((1.0, 2.0), 0.5, 3.0)


def test_what_was_not_noted_stays_open() -> None:
    bare = noted_log(LogNote(NOTE.at, NOTE.place, "LOG02", "few", "both ends"), (1.0, 2.0))
    assert (bare.facing_deg, bare.access, bare.height_m, bare.top_m) == ((), None, None, 0.4)
    assert noted_log(replace(NOTE, access="none"), (1.0, 2.0)).access == ()  # looked for and found none


def test_size_carries_no_weight_for_use() -> None:
    assert noted_signs(replace(NOTE, length_m=1.0, diameter_m=0.1)) == noted_signs(replace(NOTE, length_m=12.0))


def test_what_was_measured_for_the_camera_comes_back(tmp_path: Path) -> None:
    """Skyline with magnetic azimuths and fists, where the hide stands and how high the lens is, kept by the ledger."""
    context = NoteContext("America/Chicago", lambda *_: NorthAngles(-3.0, 0.0), day=date(2027, 4, 20), compass="M")
    cells = {
        "name": "LOG07", "place": "47.3804, -90.3286", "start": "15:00", "droppings": "fresh",
        "skyline": "60 1.5f, T80 12", "stands_m": "NE 16", "tripod_m": "NE 0.9",
    }  # fmt: skip
    note = note_from_cells("log", cells, context)
    assert isinstance(note, LogNote)
    assert note.skyline == "57 15, 80 12"
    write_notes(tmp_path / "notes.gpkg", [Entry(note)])
    (kept,) = read_notes(tmp_path / "notes.gpkg", "log")
    assert kept.note == note
    log = noted_log(note, (0.0, 0.0))
    assert log.stands_m == {"NE": 16.0}
    assert log.tripod_m == {"NE": 0.9}
    with pytest.raises(InputError, match="skyline 'east'"):
        note_from_cells("log", {**cells, "skyline": "east"}, context)
