from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from hushwalk.birds.listening_visits import listened_at
from hushwalk.errors import InputError, SettingsError
from hushwalk.notes.bearing import (
    BearingError,
    NorthAngles,
    bearings_of,
    true_azimuth_deg,
)
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.reading.entry import NoteContext, note_from_cells
from hushwalk.notes.reading.vocabulary import clock_on, day_of, number, yes_or_no
from hushwalk.wording.note_words import north_words

NORTH = NorthAngles(-11.0, 0.7)
CONTEXT = NoteContext("America/Chicago", lambda *_: NORTH, {"P03": (-92.1, 46.8)}, date(2027, 4, 25))


def test_a_bearing_typed_with_few_words():
    note = note_from_cells("bearing", {"stop": "p03", "start": "06:12", "bird": "b2", "reading_deg": "085"}, CONTEXT)
    assert note.at == datetime(2027, 4, 25, 11, 12, tzinfo=UTC)
    assert (note.place, note.stop, note.bird) == ((-92.1, 46.8), "P03", "B2")
    assert (note.reading_deg, note.north, note.azimuth_deg, note.error_class) == (85.0, "M", 74.0, "usual")


@pytest.mark.parametrize(
    ("reading", "north", "true"), [("085T", "", 85.0), ("85", "G", 85.7), ("5M", "magnetic", 354.0)]
)
def test_three_norths(reading, north, true):
    cells = {"stop": "P03", "start": "06:12", "reading_deg": reading, "north": north}
    assert note_from_cells("bearing", cells, CONTEXT).azimuth_deg == pytest.approx(true)


def test_a_compass_set_to_the_declination_reads_true_unless_a_letter_says_otherwise():
    cells = {"stop": "P03", "start": "06:12", "reading_deg": "085"}
    context = replace(CONTEXT, compass="T")
    assert note_from_cells("bearing", cells, context).azimuth_deg == 85.0
    assert note_from_cells("bearing", cells | {"north": "M"}, context).azimuth_deg == 74.0
    assert note_from_cells("bearing", cells | {"reading_deg": "085G"}, context).azimuth_deg == pytest.approx(85.7)


def test_the_plain_sentence():
    assert north_words(85.0, "M", NORTH) == "compass read 085, true 074 (declination 11.0 W)"
    assert north_words(359.6, "T", NORTH) == "compass set to true north read 000, true 000"
    assert north_words(85.0, "G", NORTH) == "map grid read 085, true 086 (convergence 0.7 E)"
    with pytest.raises(InputError, match="write M"):
        true_azimuth_deg(85.0, "Q", NORTH)


@pytest.mark.parametrize(
    ("kind", "cells", "words"),
    [
        ("bearing", {"stop": "P03", "start": "06:12", "reading_deg": "400"}, "400 is not a bearing"),
        ("bearing", {"stop": "P03", "start": "06:12", "reading_deg": "east"}, "no bearing"),
        ("bearing", {"stop": "P03", "start": "06:12", "reading_deg": "85T", "north": "M"}, "write one"),
        ("bearing", {"stop": "P03", "start": "06:12", "reading_deg": "85", "north": "up"}, "north 'up'"),
        ("bearing", {"stop": "P03", "start": "06:72", "reading_deg": "85"}, "06:72"),
        ("bearing", {"stop": "P99", "start": "06:12", "reading_deg": "85"}, "P99.*known are P03"),
        ("bearing", {"start": "06:12", "reading_deg": "85"}, "neither a stop"),
        ("bearing", {"stop": "P03", "reading_deg": "85"}, "start is empty"),
        ("bearing", {"stop": "P03", "start": "06:12", "date": "25.4.", "reading_deg": "85"}, "no day"),
        ("bearing", {"stop": "P03", "start": "06:12", "reading_deg": "85", "distance": "close"}, "distance 'close'"),
        ("bearing", {"stop": "P03", "start": "06:12", "reading_deg": "85", "error": "bad"}, "error 'bad'"),
        ("bearing", {"stop": "P03", "place": "nowhere", "start": "06:12", "reading_deg": "85"}, "nowhere"),
        ("bearing", {"loudness": "3"}, "no 'loudness'"),
        ("visit", {"stop": "P03", "start": "06:12"}, "heard is empty"),
        ("visit", {"stop": "P03", "start": "06:12", "heard": "maybe"}, "neither yes nor no"),
        ("visit", {"stop": "P03", "start": "06:12", "heard": "yes", "end": "06:02"}, "before the start"),
        ("log", {"place": "46.8, -92.1", "start": "10:00", "name": "LOG1", "droppings": "heaps"}, "heaps"),
        (
            "log",
            {"place": "46.8, -92.1", "start": "10:00", "name": "LOG1", "droppings": "few", "height_m": "knee"},
            "knee",
        ),
        ("session", {"start": "10:00", "what": "x" * 3000}, "more than"),
        ("session", {"start": "10:00", "what": "bell \x07"}, "no text"),
    ],
)
def test_words_that_cannot_be_used_are_told(kind, cells, words):
    with pytest.raises(InputError, match=words):
        note_from_cells(kind, cells, CONTEXT)


def test_a_log_with_all_that_may_be_noted():
    cells = {
        "place": "46.8, -92.1", "start": "2027-04-25 10:02", "name": "log7", "droppings": "fresh",
        "dropping_side": "nw",
        "length_m": "6,5", "height_m": "0.4", "worn": "yes", "litter_blown": "no", "cover_share": "0.7",
        "backdrop_m": "SE 12, S 9", "hide_m": "SE 14", "access": "s se", "photo": "a.jpg",
    }  # fmt: skip
    log = note_from_cells("log", cells, CONTEXT)
    assert (log.name, log.droppings, log.dropping_side, log.length_m) == ("LOG07", "fresh pile", "NW", 6.5)
    assert (log.worn, log.litter_blown, log.slope_deg) == (True, False, None)


def test_a_night_that_passes_midnight_and_a_note_of_now():
    late = {"stop": "P03", "start": "23:50", "end": "00:05", "heard": "no"}
    assert note_from_cells("visit", late, CONTEXT).minutes == pytest.approx(15)
    now = datetime(2027, 4, 25, 11, 30, tzinfo=UTC)
    context = NoteContext("America/Chicago", lambda *_: NORTH, now=now)
    assert note_from_cells("session", {"what": "a hen flushed"}, context).at == now


def test_single_words():
    assert (number("0,4", "x"), number(" ", "x"), yes_or_no("", "x")) == (0.4, None, None)
    assert clock_on(date(2027, 4, 25), "0612", "start", "America/Chicago").hour == 6
    with pytest.raises(InputError, match="no figure"):
        number("inf", "x")
    with pytest.raises(SettingsError, match="time zone"):
        NoteContext("Mars/Base", lambda *_: NORTH)


def test_bearings_on_the_grid_count_from_its_north():
    # Convergence at 46.79 N 92.10 W in zone 15 is +0.655990 degrees (pyproj, checked in the reference notes).
    cells = {"place": "46.79, -92.10", "stop": "P1", "start": "06:12", "reading_deg": "90T", "error": "rough"}
    row = LedgerRow("k", note_from_cells("bearing", cells, CONTEXT), datetime.now(UTC), "typed")
    (bearing,) = bearings_of([row], 32615, BearingError(10.0))
    assert bearing.grid_azimuth_deg == pytest.approx(90 - 0.655990, abs=1e-5)
    assert bearing.sd_deg == pytest.approx(16.0)  # rough: 24 deg over the usual 15
    assert bearing.stray_share == pytest.approx(0.10)
    assert bearing.xy_m == pytest.approx((568690.47, 5182221.23), abs=0.01)
    (where,) = listened_at([], [row], 32615)
    assert (where.stop, where.minutes) == ("P1", None)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2027-04-25", date(2027, 4, 25)),
        ("2027/4/25", date(2027, 4, 25)),
        ("20270425", date(2027, 4, 25)),
        ("25.04.2027", date(2027, 4, 25)),
        ("5.4.2027", date(2027, 4, 5)),
        ("4/25/2027", date(2027, 4, 25)),
        ("25/4/27", date(2027, 4, 25)),
        ("25-Apr-27", date(2027, 4, 25)),
        ("5 April 2027", date(2027, 4, 5)),
        ("4/4/2027", date(2027, 4, 4)),
    ],
)
def test_days_as_programs_for_tables_write_them(text, day):
    assert day_of(text) == day


def test_a_day_that_may_be_two_is_settled_by_the_plan_or_refused():
    assert day_of("4/5/2027", date(2027, 4, 5)) == date(2027, 4, 5)
    assert day_of("4/5/2027", date(2027, 5, 4)) == date(2027, 5, 4)
    with pytest.raises(InputError, match="may be 2027-05-04 or 2027-04-05"):
        day_of("4/5/2027", date(2027, 4, 25))
    for text in ("", "31.2.2027", "13/13/2027", "25-Foo-27", "1.2", "2027-04-25T06:00", "\u0664/5/2027x"):
        with pytest.raises(InputError, match="is no day"):
            day_of(text)


@pytest.mark.parametrize(
    ("text", "hour"), [("6:12:00 AM", 6), ("12:05 am", 0), ("12:05PM", 12), ("6:12 p.m.", 18), ("612", 6), ("06.12", 6)]
)
def test_times_as_programs_for_tables_write_them(text, hour):
    assert clock_on(date(2027, 4, 25), text, "start", "America/Chicago").hour == hour


@pytest.mark.parametrize("text", ["13:05 PM", "0:05 am", "25:00", "6 AM", "am"])
def test_times_that_cannot_be(text):
    with pytest.raises(InputError, match="no time of day"):
        clock_on(date(2027, 4, 25), text, "start", "America/Chicago")


def test_silence_at_a_place_that_is_no_stop_counts_there():
    cells = {"place": "46.81, -92.11", "start": "06:12", "end": "06:22", "heard": "no"}
    note = note_from_cells("visit", cells, CONTEXT)
    assert (note.stop, note.heard, note.minutes) == ("", False, 10)
    assert note.place == pytest.approx((-92.11, 46.81))
    (here,) = listened_at([LedgerRow("a", note, note.at, "typed")], [], 32615)
    assert (here.stop, here.minutes, here.heard) == ("", 10, False)
    with pytest.raises(InputError, match="neither a stop"):
        note_from_cells("visit", {"start": "06:12", "heard": "no"}, CONTEXT)
