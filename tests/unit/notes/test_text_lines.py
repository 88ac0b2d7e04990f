"""Text files of typed lines: good lines are notes, the others are kept as written and mended later."""

import io
import sys
from datetime import date

import pytest

from hushwalk.errors import InputError
from hushwalk.notes.note_report import LineReport, RawStrikeReport
from hushwalk.notes.raw_lines import read_raw
from hushwalk.notes.story import NoteRequest, note
from hushwalk.notes.typed_notes import TypedLine
from hushwalk.wording.note_words import report_words

LINES = """\ufeff# notes of a morning
P01 nil 05:00
day 2025-04-24
P01 b2 085M far times=3 06:12:40
P02 b1 120 06:20-06:26 wind=calm

b1 262T at="47.63, -91.70" 06:31
log3 fresh at="47.63, -91.70" 10:05 say="two piles"
P02 b3 o85 06:27
P01 1 085 06:40
2025-04-23 P02 nil 06:50
"""


@pytest.fixture
def lines(tmp_path):
    path = tmp_path / "lines.txt"
    path.write_text(LINES, encoding="utf-8")
    return path


def take(trip, path, day=None):
    return note(trip, NoteRequest(TypedLine((), day=day), files=(path,)))


def test_good_lines_are_notes_and_the_others_are_kept_as_written(trip, book, lines):
    taken = take(trip, lines)
    assert [entry.note.kind for entry in taken.files[str(lines)].entries] == [
        "bearing",
        "visit",
        "bearing",
        "bearing",
        "log",
        "visit",
    ]
    assert [row.where for row in taken.refused] == ["lines.txt line 2", "lines.txt line 9", "lines.txt line 10"]
    assert "it has no day" in taken.refused[0].reason
    assert [(row.line.word, row.line.day) for row in read_raw(book.path)] == [
        ("", ""),
        ("o85", "2025-04-24"),
        ("1", "2025-04-24"),
    ]
    assert {kept.note.at.astimezone(book.zone).date() for kept in book.notes("bearing")} == {date(2025, 4, 24)}
    assert len(take(trip, lines, date(2025, 4, 22)).written.added) == 1  # line 2 has a day now
    assert take(trip, lines).written.added == ()
    assert len(read_raw(book.path)) == 2  # line 2 is a note, so it waits for nobody to mend it


def test_a_kept_line_is_mended_by_the_word_that_was_wrong_or_by_the_whole_line(trip, book, lines):
    take(trip, lines)
    no_day, wrong_word, twice = (row.uid for row in read_raw(book.path))
    with pytest.raises(InputError, match="is no note yet"):
        note(trip, NoteRequest(TypedLine(("loud",)), mend=wrong_word))
    mended = note(trip, NoteRequest(TypedLine(("085",)), mend=wrong_word[:8]))
    assert isinstance(mended, LineReport)
    assert (mended.notes[0].note.bird, mended.notes[0].note.reading_deg) == ("B3", 85)
    mended = note(trip, NoteRequest(TypedLine(("b1",)), mend=twice))
    assert (mended.notes[0].note.bird, mended.notes[0].note.reading_deg) == ("B1", 85)
    mended = note(trip, NoteRequest(TypedLine(("2025-04-22",)), mend=no_day))
    assert mended.notes[0].note.at.astimezone(book.zone).date() == date(2025, 4, 22)
    assert read_raw(book.path) == ()
    assert {row.fate for row in read_raw(book.path, every=True)} == {"understood"}


def test_a_kept_line_is_listed_and_struck(trip, book, lines):
    take(trip, lines)
    key = note(trip, NoteRequest()).raw[1].key
    words = report_words(note(trip, NoteRequest()))
    assert f"? {key}" in words
    assert "lines.txt line 9 of 2025-04-24: P02 b3 o85 06:27" in words
    assert "is 'o85' 085?" in words
    with pytest.raises(InputError, match="say why"):
        note(trip, NoteRequest(strike=key))
    assert isinstance(note(trip, NoteRequest(strike=key, why="a truck")), RawStrikeReport)
    assert len(read_raw(book.path)) == 2


def test_a_line_that_is_mended_in_the_file_settles_the_kept_one(trip, book, lines):
    take(trip, lines)
    lines.write_text(LINES.replace("o85", "085"), encoding="utf-8")
    assert len(take(trip, lines).written.added) == 1
    assert [row.line.word for row in read_raw(book.path)] == ["", "1"]


def test_a_day_that_is_not_understood_is_not_the_day_before(trip, tmp_path):
    path = tmp_path / "lines.txt"
    path.write_text("day 2025-04-24\nP01 nil 06:00\nday 2025-04-32\nP02 nil 06:00\n", encoding="utf-8")
    taken = take(trip, path)
    assert [row.where for row in taken.refused] == ["lines.txt line 3", "lines.txt line 4"]
    assert len(taken.written.added) == 1


def test_lines_come_through_a_pipe(trip, book, monkeypatch):
    class Pipe(io.TextIOWrapper):
        def isatty(self):
            return False

    monkeypatch.setattr(sys, "stdin", Pipe(io.BytesIO(LINES.encode())))
    taken = take(trip, "-")
    assert len(taken.written.added) == 6
    assert read_raw(book.path)[1].line.origin == "typed line 9"


def test_what_is_no_text_of_notes_is_refused_and_nothing_is_kept(trip, book, tmp_path):
    path = tmp_path / "picture.bin"
    path.write_bytes(b"\x00\x01" * 400)
    with pytest.raises(InputError, match="is no text"):
        take(trip, path)
    path.write_text("the quick brown fox\n" * 60, encoding="utf-8")
    with pytest.raises(InputError, match="not one of its 60 lines is a note"):
        take(trip, path)
    path.write_text("P01 nil 06:00\n" * 6000, encoding="utf-8")
    with pytest.raises(InputError, match="more than 5000 lines"):
        take(trip, path)
    assert not book.path.exists()


def test_lines_without_any_day_are_of_the_day_of_the_plan_once_it_has_come(trip, book, tmp_path):
    path, plan = tmp_path / "undated.txt", trip.parent / "out" / "summary.json"
    path.write_text("P01 nil 05:00\nP02 b2 085M 06:12\nP02 b3 o85 06:27\n", encoding="utf-8")
    early = take(trip, path)
    assert "the day of the plan, 2027-04-25, is still to come" in early.refused[0].reason
    assert early.files[str(path)].assumed_day is None
    plan.write_text(plan.read_text(encoding="utf-8").replace("2027-04-25", "2025-04-24"), encoding="utf-8")
    taken = take(trip, path)
    assert taken.files[str(path)].assumed_day == date(2025, 4, 24)
    assert {entry.note.at.astimezone(book.zone).date() for entry in taken.files[str(path)].entries} == {
        date(2025, 4, 24)
    }
    assert [(row.line.word, row.line.day) for row in read_raw(book.path)] == [("o85", "2025-04-24")]
    assert "taken as of Thursday 24 April 2025, the day of the plan" in report_words(taken)
    assert take(trip, path, date(2025, 4, 23)).files[str(path)].assumed_day is None
