"""Versions of a trip file: undo without end, branches, names, edits from outside, one desk at a time."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from hushwalk.desk.history import FILE
from hushwalk.desk.kept_trip import KeptTrip
from hushwalk.errors import HushwalkError, OutputError, SettingsError

TRIP = """\
seed = {seed}
[place]
name = "North ridge"
car = "47.62, -91.70"
[morning]
date = 2027-04-25
back_by = 09:30:00
[[layer]]
kind = "elevation"
path = "heights.tif"
"""


def text(seed: int) -> str:
    return TRIP.format(seed=seed)


@pytest.fixture
def trip(tmp_path: Path) -> Iterator[KeptTrip]:
    (tmp_path / "trip.toml").write_bytes(text(0).encode())
    kept = KeptTrip(tmp_path)
    kept.take_up()
    yield kept
    kept.history.close()


def test_undo_has_no_end_and_redo_goes_the_way_that_was_gone(trip: KeptTrip) -> None:
    for seed in range(1, 41):
        trip.put(text(seed), f"seed {seed}")
    while (parent := trip.stands().parent) is not None:
        trip.go(parent)
    assert trip.path.read_text() == text(0)
    while (child := trip.stands().last_child) is not None:
        trip.go(child)
    assert trip.path.read_text() == text(40)
    trip.go(20)
    trip.put(text(99), "a branch")
    assert len(trip.history.versions()) == 42, "nothing is lost by a branch"
    trip.go(20)
    assert trip.stands().last_child == 42


def test_a_fault_changes_nothing(trip: KeptTrip) -> None:
    with pytest.raises(SettingsError, match="seed"):
        trip.put(text(-1), "a bad seed")
    assert trip.path.read_text() == text(0)
    assert len(trip.history.versions()) == 1
    assert trip.go(77) is None


def test_an_edit_from_outside_is_a_version_of_its_own(trip: KeptTrip) -> None:
    trip.put(text(1), "seed 1")
    trip.path.write_text(text(7))
    assert trip.take_up() == "changed outside the desk"
    assert trip.stands().trip == text(7)
    trip.go(trip.stands().parent or 0)
    assert trip.path.read_text() == text(1)
    assert trip.take_up() == ""


def test_an_edit_from_outside_that_takes_back_a_change_is_one_too(trip: KeptTrip) -> None:
    """The file says what it said before the last change, but that change was written: no kill did this."""
    trip.put(text(1), "seed 1")
    trip.path.write_text(text(0))
    assert trip.take_up() == "changed outside the desk"
    assert trip.stands().trip == text(0)


def test_a_file_that_is_gone_or_broken_leaves_the_versions_alone(trip: KeptTrip) -> None:
    trip.path.write_bytes(b"\xff\xfe")
    with pytest.raises(SettingsError, match="UTF-8"):
        trip.take_up()
    trip.path.unlink()
    assert trip.take_up() == ""
    trip.go(trip.stands().number)
    assert trip.path.read_text() == text(0)


def test_a_second_desk_on_the_folder_is_refused(trip: KeptTrip) -> None:
    with pytest.raises(OutputError, match="another desk works on"):
        KeptTrip(trip.folder)
    trip.put(text(3), "the first one goes on")


def test_names_and_plans_are_kept_over_an_end(trip: KeptTrip) -> None:
    trip.put(text(1), "seed 1")
    trip.history.name(2, "by the <b>creek</b>")
    trip.history.keep_plan(2, {"males": 2.5})
    trip.history.close()
    again = KeptTrip(trip.folder)
    assert again.stands().name == "by the <b>creek</b>"
    assert again.history.plan(2) == {"males": 2.5}
    assert [version.planned for version in again.history.versions()] == [False, True]
    again.history.close()


def test_a_damaged_history_is_one_clear_fault(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"no database at all" * 100)
    with pytest.raises(OutputError, match="is damaged"):
        KeptTrip(tmp_path)


def test_a_write_that_was_cut_off_is_ended(trip: KeptTrip) -> None:
    """The version was kept, and the desk was killed before the file was written."""
    trip.put(text(1), "seed 1")
    trip.history.add(text(2), "seed 2")
    trip.history.close()
    (trip.folder / ".writing-trip-left").write_text("half")
    again = KeptTrip(trip.folder)
    assert again.take_up() == ""
    assert again.path.read_text() == text(2)
    assert not list(again.folder.glob(".writing-trip-*"))
    again.history.close()


def test_an_empty_folder_has_no_trip(tmp_path: Path) -> None:
    kept = KeptTrip(tmp_path)
    assert kept.take_up() == ""
    with pytest.raises(HushwalkError, match="choose the country first"):
        kept.settings()
    kept.put(text(1), "a new trip")
    assert kept.path.read_text() == text(1)
    kept.history.close()


def test_every_write_waits_for_the_disk(trip: KeptTrip) -> None:
    """What SQLite calls FULL: the disk has it when the call returns (sqlite.org/pragma.html, synchronous = 2)."""
    db: sqlite3.Connection = trip.history._db
    assert db.execute("PRAGMA synchronous").fetchone()[0] == 2
    assert db.execute("PRAGMA journal_mode").fetchone()[0] == "delete"
