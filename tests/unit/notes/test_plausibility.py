"""Doubts about notes that were kept, as kinds and figures."""

from datetime import UTC, datetime, timedelta

import pytest

from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.note_warnings import WarningKind
from hushwalk.notes.notes import LogNote, VisitNote
from hushwalk.notes.plausibility import note_warnings

AT = datetime(2027, 4, 25, 11, 5, tzinfo=UTC)
P01 = (-91.7, 47.625)


def test_a_note_at_its_stop_on_the_day_of_the_plan_is_not_doubted(book):
    assert note_warnings([VisitNote(AT, P01, "P01", heard=True)], book) == ()


def test_a_place_off_its_stop_and_a_place_far_away(book):
    off, far = note_warnings(
        [VisitNote(AT, (-91.7, 47.635), "P01", heard=True), LogNote(AT, (-91.7, 46.0), "LOG01", "few")], book
    )
    assert (off.kind, off.stop) == (WarningKind.OFF_STOP, "P01")
    assert off.value == pytest.approx(1112, abs=1)  # 0.01 degrees of latitude on a sphere of 6371 km
    assert far.kind is WarningKind.FAR_FROM_CAR
    assert far.value > 150_000


def test_a_stop_of_the_plan_on_another_day_is_doubted_once(book):
    notes = [VisitNote(AT + timedelta(days=d), P01, "P01", heard=True) for d in (1, 2)]
    assert [(w.kind, w.day) for w in note_warnings(notes, book)] == [(WarningKind.OTHER_PLAN, book.day)]


def test_the_name_of_another_log_is_doubted_and_the_next_free_one_offered(book):
    here, near, far = P01, (-91.7002, 47.625), (-91.69, 47.625)
    logs = [LogNote(AT, here, "LOG02", "few"), LogNote(AT, here, "LOG07", "few")]
    write_notes(book.path, [Entry(log) for log in logs])
    assert note_warnings([LogNote(AT, near, "log02", "few")], book) == ()
    (warning,) = note_warnings([LogNote(AT, far, "log02", "few")], book)
    assert (warning.kind, warning.stop) == (WarningKind.LOG_NAME_USED, "log8")
    assert warning.value == pytest.approx(750, abs=2)  # 0.01 degrees of longitude at 47.625 N on a sphere of 6371 km
