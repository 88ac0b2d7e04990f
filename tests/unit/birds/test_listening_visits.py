"""One visit a stop, and one bearing where two were kept."""

from datetime import UTC, datetime, timedelta

from hushwalk.birds.listening_visits import visits_of, without_doubles
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import BearingNote, VisitNote

SIX = datetime(2027, 4, 25, 11, tzinfo=UTC)
HERE, TEN_PACES, FAR = (-91.70, 47.62), (-91.7001, 47.62), (-91.69, 47.62)


def minutes(count):
    return timedelta(minutes=count)


def heard(stop, after, azimuth_deg=90.0, *, place=HERE, bird="", distance=""):
    at = SIX + minutes(after)
    return BearingNote(at, place, stop, bird, azimuth_deg, "T", 0.0, 0.0, azimuth_deg, distance=distance)


def test_bearings_of_one_stop_a_few_minutes_apart_are_one_visit():
    visits = visits_of([], [heard("P1", k) for k in (0, 4, 9, 14)] + [heard("P2", 20), heard("P1", 60)])
    assert [(v.stop, len(v.bearings)) for v in visits] == [("P1", 4), ("P2", 1), ("P1", 1)]
    assert [v.minutes for v in visits] == [14.0, None, None]


def test_stops_without_a_name_are_told_by_their_place():
    visits = visits_of([], [heard("", 0), heard("", 3, place=TEN_PACES), heard("", 6, place=FAR)])
    assert [len(v.bearings) for v in visits] == [2, 1]


def test_minutes_noted_are_those_that_count():
    twice = [VisitNote(SIX + minutes(k), HERE, "P1", heard=k > 0, end=SIX + minutes(k + 4)) for k in (0, 9)]
    (visit,) = visits_of(twice, [heard("P1", 2)])
    assert (visit.minutes, visit.heard, len(visit.bearings)) == (8.0, True, 1)
    (silent,) = visits_of([VisitNote(SIX, HERE, "P1", heard=False)], [])
    assert (silent.minutes, silent.heard) == (None, False)


def test_a_bearing_typed_and_stored_by_the_gps_is_one():
    typed, stored = heard("P1", 0, bird="B1", distance="far"), heard("P1", 2, 90.5, bird="B1")
    rows = [LedgerRow(origin, note, SIX, origin) for origin, note in (("walk.gpx: P1", stored), ("typed", typed))]
    assert [row.origin for row in without_doubles(rows)] == ["typed"]
    both_typed = [LedgerRow(str(k), note, SIX, "typed") for k, note in enumerate((stored, typed))]
    assert len(without_doubles(both_typed)) == 2
    for other in (heard("P1", 0, 95.0), heard("P2", 0), heard("P1", 30), heard("P1", 0, bird="B2")):
        pair = [LedgerRow("a", typed, SIX, "typed"), LedgerRow("b", other, SIX, "walk.gpx: P1")]
        assert len(without_doubles(pair)) == 2
