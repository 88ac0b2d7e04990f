"""Whose log is found: names are given anew each morning, so a name alone does not tell."""

from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace
from zoneinfo import ZoneInfo

from hushwalk.birds.found_logs import found_logs
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import BearingNote, LogNote

HERE = (-91.70, 47.62)
FIRST = datetime(2027, 4, 24, 11, tzinfo=UTC)


def bearing(day, bird):
    return BearingNote(FIRST + timedelta(days=day), HERE, "P1", bird, 10.0, "T", 0.0, 0.0, 10.0)


def book(*notes):
    rows = [LedgerRow(str(k), note, FIRST, "typed") for k, note in enumerate(notes)]
    kept = {"bearing": BearingNote, "log": LogNote}
    return SimpleNamespace(zone=ZoneInfo("UTC"), notes=lambda kind: [r for r in rows if isinstance(r.note, kept[kind])])


def morning(day, logs_of):
    males = {bird: SimpleNamespace(logs=logs) for bird, logs in logs_of.items()}
    notes = SimpleNamespace(day=date(2027, 4, 24) + timedelta(days=day))
    return SimpleNamespace(notes=notes, fixes=[SimpleNamespace(bird=bird) for bird in logs_of], male_of=males.get)


def test_a_log_of_one_morning_does_not_hide_another_bird_of_that_name():
    kept = book(
        bearing(0, "B4"), bearing(1, "B4"), LogNote(FIRST + timedelta(hours=4), HERE, "LOG02", "fresh pile", bird="b4")
    )
    assert found_logs(kept, morning(0, {"B4": ()})) == {"B4": "LOG02"}
    assert found_logs(kept, morning(1, {"B4": ()})) == {}


def test_a_bird_without_a_name_at_the_log_is_known_by_its_place():
    kept = book(bearing(0, "B4"), bearing(1, "B1"))
    assert found_logs(kept, morning(1, {"B1": ("LOG02",), "B4": ()})) == {"B1": "LOG02"}
