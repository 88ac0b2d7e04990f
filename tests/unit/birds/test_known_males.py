"""Which bearings belong to which log, and where somebody listened that morning."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from hushwalk.birds.known_males import LogsLeftOut, known_males
from hushwalk.errors import InputError
from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.notebook import Notebook, open_ledger
from hushwalk.notes.notes import BearingNote, LogNote, Note, VisitNote
from hushwalk.site.starter import write_starter

HERE, EAST = (-91.70, 47.62), (-91.69, 47.62)
SIX = datetime(2027, 4, 25, 11, tzinfo=UTC)
DAY = timedelta(days=1)


def heard(stop: str, bird: str, at: datetime, azimuth_deg: float = 90.0) -> BearingNote:
    return BearingNote(at, HERE, stop, bird, azimuth_deg, "T", 0.0, 0.0, azimuth_deg)


def visit(stop: str, at: datetime, *, heard: bool) -> VisitNote:
    return VisitNote(at, HERE, stop, heard, at + timedelta(minutes=5))


def log(name: str, bird: str, at: datetime, droppings: str = "fresh pile") -> LogNote:
    return LogNote(at, EAST, name, droppings, bird=bird)


@pytest.fixture
def book(tmp_path: Path) -> Notebook:
    return open_ledger(write_starter(tmp_path))


def keep(book: Notebook, *notes: Note) -> None:
    write_notes(book.path, [Entry(note) for note in notes])


def test_stops_where_he_was_not_heard_count_as_well(book: Notebook) -> None:
    keep(book, visit("P01", SIX, heard=True), heard("P01", "B2", SIX + timedelta(minutes=1)))
    keep(book, visit("P02", SIX + timedelta(minutes=20), heard=False))
    keep(book, heard("P03", "B2", SIX + timedelta(minutes=40)), heard("P03", "B5", SIX + timedelta(minutes=41)))
    keep(book, log("LOG01", "B2", SIX + timedelta(hours=4)))
    (male,), left_out = known_males(book)
    assert [(stop.stop, stop.minutes, stop.heard) for stop in male.stops] == [
        ("P01", 5.0, True),
        ("P02", 5.0, False),
        ("P03", None, True),
    ]
    assert len(male.bearings) == 2
    assert left_out == LogsLeftOut(0, ())


def test_two_visits_to_one_stop_are_told_apart(book: Notebook) -> None:
    later = SIX + timedelta(hours=1)
    keep(book, visit("P01", SIX, heard=False), visit("P01", later, heard=True), heard("P01", "B2", later))
    keep(book, log("LOG01", "B2", SIX + timedelta(hours=4)))
    (male,), _ = known_males(book)
    assert [stop.heard for stop in male.stops] == [False, True]


def test_a_name_is_that_of_the_last_morning_before_the_log(book: Notebook) -> None:
    keep(book, heard("P01", "B2", SIX - 3 * DAY), heard("P01", "B2", SIX), heard("P01", "B2", SIX + 2 * DAY))
    keep(book, log("LOG01", "B2", SIX + DAY))
    (male,), _ = known_males(book)
    assert [note.at for note in male.bearings] == [SIX]


def test_of_two_logs_the_one_in_use_counts_and_one_without_droppings_never(book: Notebook) -> None:
    keep(book, heard("P01", "B2", SIX), heard("P01", "B3", SIX))
    at = SIX + timedelta(hours=4)
    keep(book, log("LOG01", "B2", at, "old pile"), log("LOG02", "B2", at), log("LOG03", "B3", at, "none"))
    males, _ = known_males(book)
    assert [(male.label, male.log.name) for male in males] == [("B2 2027-04-25", "LOG02")]


def test_logs_without_a_name_or_a_bearing_are_left_out(book: Notebook) -> None:
    keep(book, heard("P01", "B2", SIX), log("LOG01", "B2", SIX + DAY))
    keep(book, log("LOG02", "", SIX + DAY), log("LOG03", "B9", SIX + DAY))
    _, left_out = known_males(book)
    assert left_out == LogsLeftOut(1, (("LOG03", "B9"),))


def test_without_any_it_says_how_to_note_one(book: Notebook) -> None:
    with pytest.raises(InputError, match="log3 fresh b2"):
        known_males(book)


def test_the_error_of_a_bearing_is_signed_and_winds_once(book: Notebook) -> None:
    keep(book, heard("P01", "B2", SIX, 95.0), heard("P02", "B2", SIX, 350.0), log("LOG01", "B2", SIX + DAY))
    (male,), _ = known_males(book)
    # the azimuth to a place as far north and 0.01 degrees east is 90 less half the turn of the meridians
    assert male.error_deg(male.bearings[0]) == pytest.approx(5.0, abs=0.01)
    assert male.error_deg(male.bearings[1]) == pytest.approx(-100.0, abs=0.01)
