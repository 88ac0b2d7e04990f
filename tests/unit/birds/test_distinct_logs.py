from datetime import UTC, datetime, timedelta

from hushwalk.birds.distinct_logs import distinct_logs
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import LogNote

AT = datetime(2027, 4, 25, 15, tzinfo=UTC)
HERE, NEAR, FAR = (-91.70, 47.62), (-91.7002, 47.62), (-91.69, 47.62)


def row(key, name, place, days=0):
    return LedgerRow(key, LogNote(AT + timedelta(days=days), place, name, "fresh pile"), AT, "typed")


def test_a_name_for_two_places_is_two_logs_and_the_newest_note_of_each_counts():
    rows = [row("a", "LOG02", HERE), row("c", "log02", FAR, 1), row("b", "LOG02", NEAR, 2), row("d", "LOG03", FAR)]
    found = distinct_logs(rows)
    assert {name: r.uid for name, r in found.items()} == {"LOG02": "b", "LOG02 (2)": "c", "LOG03": "d"}
