"""The note command in reading order: one step is done for every request, else the notes are listed."""

from datetime import date

from hushwalk.notes.note_report import BlankReport, Fate, LineReport, MendReport, NoteList, StrikeReport, TakenFiles
from hushwalk.notes.note_warnings import WarningKind
from hushwalk.notes.story import Blank, NoteRequest, note
from hushwalk.notes.typed_notes import TypedLine

DAY = date(2025, 4, 25)
LINE = TypedLine(("p1", "b2", "085", "06:12"), day=DAY)


def test_written_mended_struck_and_listed(trip):
    first = note(trip, NoteRequest(LINE))
    assert isinstance(first, LineReport)
    assert [kept.fate for kept in first.notes] == [Fate.NEW]
    assert note(trip, NoteRequest(LINE)).notes[0].fate is Fate.ALREADY
    mended = note(trip, NoteRequest(TypedLine(("095",)), mend=first.notes[0].key, why="read badly"))
    assert isinstance(mended, MendReport)
    assert mended.note.reading_deg == 95
    assert note(trip, NoteRequest(LINE)).notes[0].fate is Fate.CHANGED_SINCE
    struck = note(trip, NoteRequest(strike=mended.new_key, why="a truck"))
    assert isinstance(struck, StrikeReport)
    now, every = note(trip, NoteRequest()), note(trip, NoteRequest(every=True))
    assert isinstance(now, NoteList)
    assert (len(now.notes), now.hidden) == (0, 3)
    assert [one.after_key for one in every.notes] == [mended.new_key, every.notes[2].key, ""]


def test_tables_are_printed_and_taken_back(trip, tmp_path):
    table = tmp_path / "walk.csv"
    assert note(trip, NoteRequest(blank=Blank(table, lines_a_stop=1))) == BlankReport(table)
    table.write_text(
        table.read_text(encoding="utf-8-sig").replace(",,,,,,,,,M", ",06:01,,yes,,,b1,3,085,M", 1), "utf-8"
    )
    taken = note(trip, NoteRequest(files=(table,)))
    assert isinstance(taken, TakenFiles)
    assert [entry.note.kind for entry in taken.files[str(table)].entries] == ["bearing", "visit"]
    assert len(taken.written.added) == 2
    assert taken.files[str(table)].entries[0].note.times == 3


def test_a_stop_that_was_passed_in_silence_is_named(trip):
    late = note(trip, NoteRequest(TypedLine(("p2", "nil", "2099-04-25T06:12"))))
    assert {warning.kind for warning in late.warnings} >= {WarningKind.STILL_TO_COME, WarningKind.FAR_FROM_DAY}
    note(trip, NoteRequest(TypedLine(("p2", "nil", "06:12"), day=date(2027, 4, 25))))
    assert note(trip, NoteRequest()).silent_stops == ("P01",)
