"""Malformed CSV and GPX: one clear error or refused rows, never a traceback, never a look outside the file.

An ordinary run tries 300 files; ``HUSHWALK_FULL_CHECKS=1`` tries 2,000. Good rows beside bad ones are kept.
"""

import os
import random
import socket
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hushwalk.errors import HushwalkError
from hushwalk.files.gpx_in import read_gpx
from hushwalk.files.notes_csv import read_table, write_table
from hushwalk.notes.bearing import NorthAngles
from hushwalk.notes.ledger import read_notes, write_notes
from hushwalk.notes.reading.entry import NoteContext
from hushwalk.notes.reading.walk_table import WALK_COLUMNS, take_rows, walk_rows
from hushwalk.notes.reading.waypoints import take_tracks, take_waypoints

FILES = 2000 if os.environ.get("HUSHWALK_FULL_CHECKS") else 300
CONTEXT = NoteContext(
    "America/Chicago", lambda *_: NorthAngles(-1.2, 0.6), {"P01": (-92.1, 46.8), "P02": (-92.1, 46.81)}
)
ROUGH = settings(
    max_examples=FILES // 4,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    derandomize=True,
)
GOOD = '<wpt lat="46.8" lon="-92.1"><time>2027-04-25T11:12:00Z</time><name>L03 B2 085M</name></wpt>'
HEAD = '<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">'
TRACK = (
    '<trk><name>t</name><trkseg><trkpt lat="46.8" lon="-92.1"><time>2027-04-25T11:00:00Z</time></trkpt>'
    '<trkpt lat="46.81" lon="-92.1"><time>2027-04-25T11:20:00Z</time></trkpt></trkseg></trk>'
)


@pytest.fixture(autouse=True)
def no_network(monkeypatch):
    def refuse(*_, **__):
        raise AssertionError("a file made the program look outside")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)


def take_gpx(path: Path):
    try:
        read = read_gpx(path)
        taken = take_waypoints(read.waypoints, path.name, CONTEXT)
        tracks = take_tracks(read.tracks, path.name)
    except HushwalkError:
        return None
    return [*taken.entries, *tracks.entries]


def take_csv(path: Path):
    try:
        table = read_table(path, WALK_COLUMNS, ("stop", "start", "reading_deg"))
        return take_rows(table.rows, path.name, CONTEXT), table
    except HushwalkError:
        return None


def walk_csv(path: Path) -> bytes:
    rows = walk_rows({"P01": (-92.1, 46.8), "P02": (-92.1, 46.81)}, date(2027, 4, 25), lines_a_stop=2)
    rows[0] |= {"start": "06:12", "end": "06:17", "bird": "B1", "reading_deg": "085"}
    rows[2] |= {"start": "06:30", "heard": "no"}
    write_table(path, WALK_COLUMNS, rows)
    return path.read_bytes()


def spoilt(raw: bytes, dice: random.Random) -> bytes:
    where = dice.randrange(len(raw))
    kind = dice.randrange(5)
    if kind == 0:
        return raw[:where]
    if kind == 1:
        return raw[:where] + bytes([dice.randrange(256)]) + raw[where + 1 :]
    if kind == 2:
        return raw[:where] + raw[where + dice.randrange(1, 40) :]
    if kind == 3:
        return raw[:where] + raw[max(0, where - 60) : where] + raw[where:]
    return raw[:where] + dice.choice([b'"', b"\x00", b"<", b"&", b"\xff\xfe", b"\r", b";;;;", b"1e999"]) + raw[where:]


@pytest.mark.parametrize("form", ["csv", "gpx"])
def test_spoilt_files_never_break_the_program(form, tmp_path):
    dice, kept = random.Random(7), 0  # noqa: S311 - spoiling, not secrets
    whole = walk_csv(tmp_path / "whole.csv") if form == "csv" else (HEAD + GOOD * 3 + TRACK + "</gpx>").encode()
    path = tmp_path / f"in.{form}"
    for _ in range(FILES // 4):
        raw = whole
        for _ in range(dice.randrange(1, 4)):
            raw = spoilt(raw, dice) or b"x"
        path.write_bytes(raw)
        found = take_csv(path) if form == "csv" else take_gpx(path)
        kept += bool(found and (found[0].entries if form == "csv" else found))
    assert kept > FILES // 16, "good rows beside spoilt ones are kept"


@ROUGH
@given(raw=st.binary(max_size=400), headed=st.booleans())
def test_any_bytes_as_csv(raw, headed, tmp_path):
    path = tmp_path / "any.csv"
    path.write_bytes((",".join(WALK_COLUMNS) + "\n").encode() * headed + raw)
    take_csv(path)


@ROUGH
@given(
    lat=st.one_of(st.floats(), st.text(max_size=8)),
    lon=st.one_of(st.floats(), st.text(max_size=8)),
    name=st.text(max_size=40),
    time=st.one_of(st.text(max_size=25), st.datetimes().map(lambda t: t.isoformat() + "Z")),
)
def test_any_waypoint_beside_a_good_one(lat, lon, name, time, tmp_path):
    def clean(text):
        return "".join(c for c in str(text) if c.isprintable() and c not in '<>&"' and ord(c) < 0xD800)

    path = tmp_path / "any.gpx"
    point = f'<wpt lat="{clean(lat)}" lon="{clean(lon)}"><time>{clean(time)}</time><name>{clean(name)}</name></wpt>'
    path.write_text(HEAD + point + GOOD + "</gpx>", encoding="utf-8")
    found = take_gpx(path)
    assert found is not None
    assert any(e.note.kind == "bearing" and e.note.reading_deg == 85 for e in found)


BOMB = '<!DOCTYPE b [<!ENTITY a "aaaaaaaaaa"><!ENTITY c "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
HOSTILE = {
    "entity bomb": HEAD.replace("<gpx", BOMB + "<gpx") + GOOD.replace("L03", "&c;") + "</gpx>",
    "outside entity": HEAD.replace("<gpx", '<!DOCTYPE g [<!ENTITY x SYSTEM "file:///etc/hostname">]><gpx')
    + "&x;</gpx>",
    "outside document type": HEAD.replace("<gpx", '<!DOCTYPE g SYSTEM "http://example.org/g.dtd"><gpx') + "</gpx>",
    "parameter entity": HEAD.replace("<gpx", '<!DOCTYPE g [<!ENTITY % p SYSTEM "file:///etc/passwd">%p;]><gpx')
    + "</gpx>",
    "page": "<html><body>not here</body></html>",
    "other xml": '<kml xmlns="http://www.opengis.net/kml/2.2"></kml>',
    "strange namespace": HEAD.replace("topografix.com/GPX/1/1", "example.org/gpx") + GOOD + "</gpx>",
    "empty": "",
    "no xml": "line,stop,start",
    "deep": HEAD + "<a>" * 3000,
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_gpx_is_refused_in_words(kind, tmp_path):
    path = tmp_path / "bad.gpx"
    path.write_text(HOSTILE[kind], encoding="utf-8")
    with pytest.raises(HushwalkError, match=r"bad\.gpx"):
        read_gpx(path)


SOME_BAD = {
    "huge coordinates": '<wpt lat="1e308" lon="-92.1"><name>L01 B1 010</name></wpt>',
    "not a number": '<wpt lat="nan" lon="inf"><name>L01 B1 010</name></wpt>',
    "no coordinates": "<wpt><name>L01 B1 010</name></wpt>",
    "latitude 95": '<wpt lat="95" lon="0"><name>L01 B1 010</name></wpt>',
    "bad time": '<wpt lat="46" lon="-92"><time>25-APR-27</time><name>L01 B1 010</name></wpt>',
    "year one": '<wpt lat="46" lon="-92"><time>0001-01-01T00:00:00+14:00</time><name>L01 B1 010</name></wpt>',
    "no time": '<wpt lat="46" lon="-92"><name>L01 B1 010</name></wpt>',
    "no name": '<wpt lat="46" lon="-92"><time>2027-04-25T11:12:00Z</time></wpt>',
    "reading 361": '<wpt lat="46" lon="-92"><time>2027-04-25T11:12:00Z</time><name>L01 B1 361</name></wpt>',
    "long name": f'<wpt lat="46" lon="-92"><time>2027-04-25T11:12:00Z</time><name>{"L" * 100_000}</name></wpt>',
}


@pytest.mark.parametrize("kind", SOME_BAD)
def test_a_bad_waypoint_is_told_and_the_good_one_is_kept(kind, tmp_path):
    path = tmp_path / "some.gpx"
    path.write_text(HEAD + SOME_BAD[kind] + GOOD + "</gpx>", encoding="utf-8")
    read = read_gpx(path)
    taken = take_waypoints(read.waypoints, path.name, CONTEXT)
    assert [e.note.reading_deg for e in taken.entries] == [85]
    assert len(read.refused) + len(taken.refused) == 1
    assert "some.gpx waypoint 1" in str([*read.refused, *taken.refused][0])


def test_a_file_cut_off_keeps_what_came_before(tmp_path):
    path = tmp_path / "cut.gpx"
    path.write_text(HEAD + GOOD + GOOD.replace("B2", "B3") + GOOD[:30], encoding="utf-8")
    read = read_gpx(path)
    assert len(read.waypoints) == 2
    assert "cut.gpx" in read.broken


def test_duplicate_times_and_wrong_encodings(tmp_path):
    path = tmp_path / "same.gpx"
    path.write_text(HEAD + GOOD + GOOD.replace("B2", "B1") + GOOD + "</gpx>", encoding="utf-8")
    taken = take_waypoints(read_gpx(path).waypoints, path.name, CONTEXT)
    written = write_notes(tmp_path / "n.gpkg", taken.entries)
    assert (len(written.added), len(written.already)) == (2, 1)
    assert {k.note.at for k in read_notes(tmp_path / "n.gpkg", "bearing")} == {
        datetime(2027, 4, 25, 11, 12, tzinfo=UTC)
    }
    path.write_bytes((HEAD + GOOD + "</gpx>").encode().replace(b"L03", b"L\xff3"))
    assert take_gpx(path) in (None, [])
    path.write_text(HEAD.replace('"1.0"?', '"1.0" encoding="utf-16"?') + GOOD + "</gpx>", encoding="utf-16")
    assert len(take_gpx(path)) == 1


def test_csv_rows_in_the_wrong_encoding_are_named_and_others_kept(tmp_path):
    path = tmp_path / "walk.csv"
    raw = walk_csv(path).replace(b"B1,,085", b"B\xe9,,085")
    path.write_bytes(raw)
    taken, table = take_csv(path)
    assert [number for number, _ in table.refused] == [2]
    assert [e.note.kind for e in taken.entries] == ["visit"]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("divider", [",", ";", "\t"])
def test_tables_saved_by_any_office_program_are_read(encoding, divider, tmp_path):
    path = tmp_path / "walk.csv"
    text = (
        walk_csv(path).decode("utf-8-sig").replace('"46.800000, -92.100000"', "").replace('"46.810000, -92.100000"', "")
    )
    path.write_bytes(text.replace(",", divider).encode(encoding))
    taken, table = take_csv(path)
    assert [e.note.kind for e in taken.entries] == ["bearing", "visit", "visit"]
    assert table.refused == ()
