from datetime import UTC, date, datetime, timedelta

import pytest

from hushwalk.errors import InputError
from hushwalk.files.gpx_in import Track, Waypoint, read_gpx
from hushwalk.notes.bearing import NorthAngles
from hushwalk.notes.ledger import write_notes
from hushwalk.notes.reading.entry import NoteContext
from hushwalk.notes.reading.waypoints import place_at, read_name, take_tracks, take_waypoints, track_length_m

CONTEXT = NoteContext("America/Chicago", lambda *_: NorthAngles(-1.2, 0.6))
AT = datetime(2027, 4, 25, 11, 12, tzinfo=UTC)
HERE = (-92.1, 46.8)


@pytest.mark.parametrize(
    ("name", "kind", "cells"),
    [
        ("L03 B2 085M", "bearing", {"stop": "L03", "bird": "B2", "reading_deg": "085M", "distance": ""}),
        ("p1-b1-7t-far", "bearing", {"stop": "P1", "bird": "B1", "reading_deg": "7T", "distance": "far"}),
        ("L03_B2_085", "bearing", {"stop": "L03", "bird": "B2", "reading_deg": "085", "distance": ""}),
        ("L03 NIL", "visit", {"stop": "L03", "heard": "no"}),
        ("LOG3 FRESH", "log", {"name": "LOG03", "droppings": "fresh"}),
    ],
)
def test_names_that_follow_the_rule(name, kind, cells):
    read = read_name(name)
    assert (read.kind, read.cells) == (kind, cells)


@pytest.mark.parametrize("name", ["CAR", "001", "", "L03 B2", "L03 B2 0855M", "LOG3", "L03 B2 085X", "BACK T TH"])
def test_names_that_do_not(name):
    assert read_name(name) is None


def test_waypoints_become_notes_where_they_were_stored():
    points = [
        Waypoint(1, "L03 B2 085M", HERE, AT),
        Waypoint(2, "017", HERE, AT),
        Waypoint(3, "CAR", HERE, AT),
        Waypoint(4, "LOG3 OLD", HERE),
        Waypoint(5, "WHAT", HERE, AT),
    ]
    named = {"017": "L04 NIL", "CAR": "-"}
    taken = take_waypoints(points, "a.gpx", CONTEXT, named=named)
    assert [(e.note.kind, e.note.place) for e in taken.entries] == [("bearing", HERE), ("visit", HERE)]
    assert taken.entries[0].note.azimuth_deg == pytest.approx(83.8)
    assert [r.where for r in taken.refused] == ["a.gpx waypoint 4 'LOG3 OLD'", "a.gpx waypoint 5 'WHAT'"]
    assert taken.blank == 1
    dated = take_waypoints(points[3:4], "a.gpx", CONTEXT, day=date(2027, 4, 25))
    assert dated.entries[0].note.remark == "time of day not recorded"


def test_the_name_of_the_file_does_not_make_a_new_note(tmp_path):
    points = [Waypoint(1, "L03 B2 085M", HERE, AT)]
    write_notes(tmp_path / "n.gpkg", take_waypoints(points, "a.gpx", CONTEXT).entries)
    assert write_notes(tmp_path / "n.gpkg", take_waypoints(points, "b.gpx", CONTEXT).entries).added == ()


def test_a_place_between_two_points_of_a_track():
    track = Track("t", ((0.0, 0.0), (0.0, 1.0)), (AT, AT + timedelta(hours=1)))
    assert place_at(track, AT + timedelta(minutes=15)) == pytest.approx((0.0, 0.25))
    with pytest.raises(InputError, match="not being recorded"):
        place_at(track, AT - timedelta(minutes=1))
    assert track_length_m(track.lonlats) == pytest.approx(111195, abs=1)  # a degree on a sphere of 6371.0088 km


def test_a_track_is_a_walk_from_its_first_moment_to_its_last():
    track = Track("t", ((0.0, 0.0), (0.0, 1.0), (0.0, 2.0)), (AT, None, AT + timedelta(hours=1)))
    (walk,) = (entry.note for entry in take_tracks([track], "a.gpx").entries)
    assert (walk.at, walk.end, walk.place) == (AT, AT + timedelta(hours=1), (0.0, 0.0))
    assert walk.what == "walked 222.4 km, 3 points"
    assert "no times" in take_tracks([Track("t", ((0.0, 0.0),), (None,))], "a.gpx").refused[0].reason


def test_real_walks_have_the_length_their_note_says(shared_data):
    # SOURCES.md beside the tracks: korita 2.3 and 4.0 km, cerknicko 1.9 km; GPX 1.0 by another program.
    korita = read_gpx(shared_data / "tracks" / "korita-zbevnica.gpx")
    cerknicko = read_gpx(shared_data / "tracks" / "cerknicko-jezero.gpx")
    by_name = {(t.name, round(track_length_m(t.lonlats) / 1000, 1)) for t in (*korita.tracks, *cerknicko.tracks)}
    assert {("ACTIVE LOG", 2.3), ("ACTIVE LOG #2", 4.0), ("ACTIVE LOG #2", 1.9)} <= by_name
    assert (len(korita.waypoints), len(cerknicko.waypoints), korita.refused) == (2, 7, ())
    taken = take_tracks(korita.tracks, "korita.gpx")
    assert [e.note.session for e in taken.entries] == ["walk", "walk"]
    assert "no times" in str(taken.refused[0])
