"""Notes with words changed, and notes told in words."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from hushwalk.errors import InputError
from hushwalk.notes.amend import amended, short_keys
from hushwalk.notes.bearing import NorthAngles
from hushwalk.notes.reading.entry import NoteContext, note_from_cells
from hushwalk.wording.note_words import bearing_words, note_words

ZONE = "America/Chicago"
CONTEXT = NoteContext(
    ZONE, lambda *_: NorthAngles(-11.0, 0.7), {"P03": (-92.1, 46.8), "P04": (-92.11, 46.81)}, date(2027, 4, 25)
)
BEARING = {"stop": "P03", "start": "06:12", "bird": "b2", "reading_deg": "085", "distance": "far", "remark": "faint"}
LOG = {
    "name": "LOG3",
    "place": "46.8000001, -92.1000003",
    "start": "10:05:30",
    "droppings": "fresh",
    "dropping_side": "N",
    "height_m": "0.4",
    "worn": "no",
    "backdrop_m": "N 12",
}


def test_only_what_is_said_changes():
    old = note_from_cells("bearing", BEARING, CONTEXT)
    new = amended(old, {"reading_deg": "095"}, CONTEXT)
    assert (new.reading_deg, new.azimuth_deg, new.north) == (95.0, 84.0, "M")
    assert (new.at, new.place, new.bird, new.distance, new.remark) == (old.at, old.place, "B2", "far", "faint")


def test_a_reading_from_another_north():
    old = note_from_cells("bearing", BEARING, CONTEXT)
    new = amended(old, {"reading_deg": "095", "north": "T"}, CONTEXT)
    assert (new.north, new.azimuth_deg) == ("T", 95.0)


def test_a_word_can_be_taken_away_and_a_bird_pinned():
    old = note_from_cells("bearing", BEARING, CONTEXT)
    assert amended(old, {"bird": "", "distance": ""}, CONTEXT).bird == ""
    pinned = amended(old, {"pinned": "yes"}, CONTEXT)
    assert pinned.pinned
    assert amended(pinned, {"reading_deg": "090"}, CONTEXT).pinned
    assert not amended(pinned, {"pinned": "no"}, CONTEXT).pinned


def test_a_new_stop_brings_its_place_unless_one_is_given():
    old = note_from_cells("bearing", BEARING, CONTEXT)
    assert amended(old, {"stop": "P04"}, CONTEXT).place == (-92.11, 46.81)
    assert amended(old, {"stop": "P04", "place": "46.9, -92.2"}, CONTEXT).place == (-92.2, 46.9)


def test_a_new_time_keeps_the_day_and_a_new_day_the_time():
    old = note_from_cells("bearing", BEARING | {"date": "2027-04-20"}, CONTEXT)
    at = amended(old, {"start": "06:30"}, CONTEXT).at.astimezone(ZoneInfo(ZONE))
    assert (at.date(), at.hour, at.minute) == (date(2027, 4, 20), 6, 30)
    at = amended(old, {"date": "2027-04-21"}, CONTEXT).at.astimezone(ZoneInfo(ZONE))
    assert (at.date(), at.hour, at.minute) == (date(2027, 4, 21), 6, 12)


def test_a_log_keeps_its_place_to_the_last_digit():
    old = note_from_cells("log", LOG, CONTEXT)
    new = amended(old, {"droppings": "old"}, CONTEXT)
    assert (new.place, new.droppings) == (old.place, "old pile")
    assert (new.at, new.height_m, new.worn, new.backdrop_m) == (old.at, 0.4, False, "N 12")


def test_the_hour_that_comes_twice_is_kept():
    second = datetime(2027, 11, 7, 7, 30, tzinfo=UTC)  # 01:30 for the second time, after the clocks went back
    old = note_from_cells("session", {"what": "watch", "start": second.isoformat()}, CONTEXT)
    assert amended(old, {"what": "heard an owl"}, CONTEXT).at == second


def test_a_mend_must_change_something():
    old = note_from_cells("bearing", BEARING, CONTEXT)
    with pytest.raises(InputError, match="says just that"):
        amended(old, {"bird": "B2"}, CONTEXT)
    with pytest.raises(InputError, match="400"):
        amended(old, {"reading_deg": "400"}, CONTEXT)


def test_notes_in_words():
    bearing = note_from_cells("bearing", BEARING | {"error": "rough", "pinned": "yes"}, CONTEXT)
    turned = "P03 B2: compass read 085, true 074 (declination 11.0 W); far; rough; bird pinned; faint"
    assert note_words(bearing) == turned
    assert note_words(bearing, turned=False) == "P03 B2: 085M; far; rough; bird pinned; faint"
    assert bearing_words(bearing) == "compass read 085, true 074 (declination 11.0 W)"
    said = "LOG03: droppings fresh pile at N; height 0.4 m; backdrop N 12 m"
    assert note_words(note_from_cells("log", LOG, CONTEXT)) == said
    worn = note_from_cells("log", LOG | {"worn": "yes", "slope_deg": "8", "cover_share": "0.6"}, CONTEXT)
    assert "slope 8 deg; worn; cover 0.6" in note_words(worn)
    sat = {"what": "sat", "start": "05:10", "disturbance": "a hen", "bird": "b1"}
    assert note_words(note_from_cells("session", sat, CONTEXT)) == "other: sat; disturbance: a hen; bird B1"


def test_short_keys_are_told_apart():
    assert short_keys([]) == {}
    assert short_keys(["abcd", "abcd1"]) == {"abcd": "abcd", "abcd1": "abcd1"}
    keys = ["a1b2c3", "a1b2c4", "ffff00"]
    assert [short_keys(keys)[k] for k in keys] == ["a1b2c3", "a1b2c4", "ffff"]
