# ruff: noqa: FBT003  whether a bird was heard reads well in place
import sqlite3
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import geopandas
import pyogrio
import pytest

from hushwalk.errors import InputError, MissingFileError
from hushwalk.notes.ledger import Entry, correct_note, find_note, read_notes, unread_rows, withdraw_note, write_notes
from hushwalk.notes.ledger_tables import point_blob, point_of
from hushwalk.notes.notes import BearingNote, LogNote, SessionNote, VisitNote, content_key
from hushwalk.notes.raw_lines import RawLine, read_raw

AT = datetime(2027, 4, 25, 11, 12, tzinfo=UTC)
HERE = (-92.1, 46.8)
VISIT = VisitNote(AT, HERE, "P01", True, AT + timedelta(minutes=5), "calm")
BEARING = BearingNote(AT, HERE, "P01", "B1", 85.0, "M", -1.2, 0.6, 83.8)
LOG = LogNote(AT, HERE, "LOG01", "fresh pile", "N", height_m=0.4, worn=True, backdrop_m="S 12")
SESSION = SessionNote(AT, "a quiet walk", None)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "notes.gpkg"


@pytest.mark.parametrize("note", [VISIT, BEARING, LOG, SESSION])
def test_every_kind_of_note_comes_back_as_it_was(path, note):
    uid = write_notes(path, [Entry(note, "typed", "line 1")]).added[0]
    kept = read_notes(path, note.kind)
    assert [k.note for k in kept] == [note]
    assert (kept[0].uid, kept[0].origin, kept[0].line, kept[0].corrects) == (uid, "typed", "line 1", None)


def test_the_same_note_is_kept_once(path):
    assert len(write_notes(path, [Entry(VISIT), Entry(VISIT, "again")]).already) == 1
    assert write_notes(path, [Entry(VISIT)]).added == ()
    assert len(read_notes(path, "visit", every=True)) == 1


def test_a_correction_takes_the_place_and_keeps_the_old_row(path):
    old = write_notes(path, [Entry(VISIT)]).added[0]
    new = correct_note(path, old[:6], VisitNote(AT, HERE, "P02", True), "wrong stop")
    assert [k.uid for k in read_notes(path, "visit")] == [new]
    assert [k.uid for k in read_notes(path, "visit", every=True)] == [old, new]
    assert find_note(path, new).why == "wrong stop"
    with pytest.raises(InputError, match=f"corrected by {new}"):
        correct_note(path, old, VISIT, "too late")
    back = correct_note(path, new, VISIT, "it was right")
    assert back != old
    assert [k.note for k in read_notes(path, "visit")] == [VISIT]


def test_a_withdrawn_note_is_out_of_use_and_stays_out_when_read_in_again(path):
    uid = write_notes(path, [Entry(VISIT)]).added[0]
    gone = withdraw_note(path, uid, "a woodpecker")
    assert read_notes(path, "visit") == ()
    assert write_notes(path, [Entry(VISIT)]).already == (uid,)
    assert read_notes(path, "visit") == ()
    with pytest.raises(InputError, match="withdrawn"):
        correct_note(path, gone, VISIT, "after all")


def test_a_changed_line_corrects_the_note_it_gave_before(path):
    write_notes(path, [Entry(VISIT, "walk.csv row 2", "P01-1")])
    changed = VisitNote(AT, HERE, "P01", False)
    assert len(write_notes(path, [Entry(changed, "walk.csv row 2", "P01-1")]).corrected) == 1
    assert write_notes(path, [Entry(VISIT, "walk.csv row 2", "P01-1")]).corrected == ()
    assert [k.note for k in read_notes(path, "visit")] == [changed]


def test_all_or_nothing(path, monkeypatch):
    write_notes(path, [Entry(VISIT)])
    real = sqlite3.connect

    class Failing(sqlite3.Connection):
        def execute(self, sql, *more):
            if sql.startswith("INSERT INTO logs"):
                raise sqlite3.IntegrityError("made to fail")
            return super().execute(sql, *more)

    monkeypatch.setattr(sqlite3, "connect", lambda *a, **k: real(*a, factory=Failing, **k))
    with pytest.raises(sqlite3.IntegrityError):
        write_notes(path, [Entry(BEARING), Entry(LOG)])
    assert read_notes(path, "bearing") == ()


def test_other_programs_read_it_with_the_right_count(path):
    uids = write_notes(path, [Entry(VisitNote(AT + timedelta(minutes=i), HERE, "P01", True)) for i in range(7)]).added
    withdraw_note(path, uids[0], "twice")
    assert {name for name, _ in pyogrio.list_layers(path)} >= {"visits", "visits_now", "sightings", "logs", "sessions"}
    every, now = (geopandas.read_file(path, layer=name) for name in ("visits", "visits_now"))
    assert (len(every), len(now)) == (8, 6)
    assert pyogrio.read_info(path, layer="visits")["features"] == 8
    assert now.crs.to_epsg() == 4326
    assert now.geometry.iloc[0].coords[0] == HERE


def test_a_wrong_count_left_by_another_program_is_healed(path):
    write_notes(path, [Entry(VISIT)])
    with sqlite3.connect(path) as db:
        db.execute("CREATE TABLE gpkg_ogr_contents (table_name TEXT NOT NULL PRIMARY KEY, feature_count INTEGER)")
        db.execute("INSERT INTO gpkg_ogr_contents VALUES ('visits', 45)")
    db.close()
    write_notes(path, [Entry(VisitNote(AT, HERE, "P02", False))])
    assert len(geopandas.read_file(path, layer="visits")) == 2


def test_rows_cannot_be_changed_or_taken_out(path):
    write_notes(path, [Entry(VISIT)])
    db = sqlite3.connect(path)
    for change in ("DELETE FROM visits", "UPDATE visits SET heard = 0"):
        with pytest.raises(sqlite3.IntegrityError, match="only grows"):
            db.execute(change)
    db.close()


def test_what_is_no_ledger_is_refused_in_words(path):
    with pytest.raises(MissingFileError, match="is not there"):
        read_notes(path, "visit")
    path.write_bytes(b"no database" * 100)
    for attempt in (lambda: read_notes(path, "visit"), lambda: write_notes(path, [Entry(VISIT)])):
        with pytest.raises(InputError, match="not a ledger"):
            attempt()
    path.unlink()
    geopandas.GeoDataFrame({"a": [1]}, geometry=geopandas.points_from_xy([0], [0]), crs=4326).to_file(path)
    with pytest.raises(InputError, match="not a hushwalk ledger"):
        write_notes(path, [Entry(VISIT)])


def test_keys_and_changes_that_do_not_fit_are_refused(path):
    uid = write_notes(path, [Entry(VISIT), Entry(BEARING)]).added[0]
    with pytest.raises(InputError, match="no note"):
        find_note(path, "zzzz")
    with pytest.raises(InputError, match=r"no note"):
        find_note(path, "")
    with pytest.raises(InputError, match="cannot be corrected into"):
        correct_note(path, uid, BEARING, "oops")
    with pytest.raises(InputError, match="say why"):
        withdraw_note(path, uid, " ")


def test_the_key_does_not_depend_on_the_zone_of_the_clock():
    local = VisitNote(AT.astimezone(ZoneInfo("America/Chicago")), HERE, "P01", True, VISIT.end, "calm")
    assert content_key(local) == content_key(VISIT)


def test_point_blobs_are_those_of_the_standard():
    # OGC 12-128r17: "GP", version 0, flags 1, srs id 4326 little-endian, then WKB of a point.
    blob = point_blob((1.0, 2.0))
    assert blob[:8] == b"GP\x00\x01\xe6\x10\x00\x00"
    assert blob[8:13] == b"\x01\x01\x00\x00\x00"
    assert point_of(blob) == (1.0, 2.0)
    assert point_of(point_blob(None)) is None


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: VisitNote(AT.replace(tzinfo=None), HERE, "P01", True), "no time zone"),
        (lambda: VisitNote(AT, HERE, "P01", True, AT - timedelta(minutes=1)), "before the start"),
        (lambda: VisitNote(AT, (-192.0, 46.8), "P01", True), "not a place on earth"),
        (lambda: VisitNote(AT, HERE, " ", True), "name of its stop"),
        (lambda: VisitNote(AT.replace(year=1970), HERE, "P01", True), "year 1970"),
        (lambda: BearingNote(AT, HERE, "P01", "B1", 361.0, "M", 0.0, 0.0, 1.0), "361"),
        (lambda: BearingNote(AT, HERE, "P01", "B1", 36.0, "X", 0.0, 0.0, 1.0), "north 'X'"),
        (lambda: LogNote(AT, HERE, "LOG1", "some"), "droppings 'some'"),
        (lambda: LogNote(AT, HERE, "LOG1", "few", height_m=-1.0), "height_m"),
        (lambda: LogNote(AT, HERE, "LOG1", "few", backdrop_m="Q 4"), "backdrop_m 'Q 4'"),
        (lambda: SessionNote(AT, ""), "what happened"),
    ],
)
def test_a_note_is_valid_from_birth(make, words):
    with pytest.raises(InputError, match=words):
        make()


def test_a_spoilt_letter_costs_no_note_and_a_spoilt_time_is_told_with_its_row(path):
    write_notes(path, [Entry(VISIT), Entry(LOG)])
    whole = path.read_bytes()
    path.write_bytes(whole.replace(b"calm", b"ca\xffm"))
    assert [kept.note.wind for kept in read_notes(path, "visit")] == ["ca?m"]
    path.write_bytes(whole.replace(b"2027-04-25T11:12:00", b"2027-04-25T11:72:00"))
    with pytest.raises(InputError, match="row 1 of its table visits is no note"):
        read_notes(path, "visit")


def test_a_word_that_this_version_does_not_know_spoils_only_its_row(path):
    write_notes(path, [Entry(BEARING), Entry(replace(BEARING, stop="P02", error_class="rough")), Entry(VISIT)])
    path.write_bytes(path.read_bytes().replace(b"rough", b"rouge"))
    assert [kept.note.stop for kept in read_notes(path, "bearing")] == ["P01"]
    (unread,) = unread_rows(path)
    assert (unread.table, unread.number) == ("sightings", 2)
    assert "error 'rouge' is unknown" in unread.reason
    assert len(read_notes(path, "visit")) == 1


def test_a_row_that_is_not_understood_still_takes_the_place_of_the_one_it_corrects(path):
    old = write_notes(path, [Entry(BEARING)]).added[0]
    correct_note(path, old, replace(BEARING, error_class="rough"), "fainter than I thought")
    path.write_bytes(path.read_bytes().replace(b"rough", b"rouge"))
    assert read_notes(path, "bearing") == ()
    assert len(unread_rows(path)) == 1


def test_nothing_is_written_into_a_ledger_of_a_newer_version(path):
    write_notes(path, [Entry(VISIT)])
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA user_version = 20000")
    db.close()
    before = path.read_bytes()
    with pytest.raises(InputError, match="made by a newer version"):
        write_notes(path, [Entry(BEARING)])
    assert path.read_bytes() == before
    assert [kept.note for kept in read_notes(path, "visit")] == [VISIT]


def test_a_ledger_of_an_earlier_version_is_read_and_completed(path):
    uid = write_notes(path, [Entry(BEARING)]).added[0]
    with sqlite3.connect(path) as db:
        db.execute("DROP VIEW sightings_now")
        db.execute("ALTER TABLE sightings DROP COLUMN times")
        db.execute("DROP TABLE raw_lines")
        db.execute("DELETE FROM gpkg_contents WHERE table_name = 'raw_lines'")
        db.execute("CREATE VIEW sightings_now AS SELECT * FROM sightings WHERE withdrawn = 0")
    db.close()
    assert [kept.note for kept in read_notes(path, "bearing")] == [BEARING]
    assert read_raw(path) == ()
    heard = replace(BEARING, stop="P02", times=3)
    assert write_notes(path, [Entry(BEARING), Entry(heard)], [RawLine("P03 o85", "lines.txt line 2")]).already == (uid,)
    assert [kept.note.times for kept in read_notes(path, "bearing")] == [None, 3]
    assert [row.line.text for row in read_raw(path)] == ["P03 o85"]
    assert set(geopandas.read_file(path, layer="sightings_now").columns) >= {"times", "uid"}


def test_a_raw_line_is_kept_once_and_settled_once(path):
    line = RawLine("P03 o85", "lines.txt line 2", "2027-04-24", "o85", "why")
    for _ in range(2):
        write_notes(path, [], [line])
        write_notes(path, [], solved={line.uid: "understood"})
    assert read_raw(path) == ()
    assert [(row.line, row.fate) for row in read_raw(path, every=True)] == [(line, "understood")]
