from datetime import date

import pytest

from hushwalk.errors import InputError, MissingFileError
from hushwalk.files.notes_csv import TextRow, read_table, write_table
from hushwalk.notes.bearing import NorthAngles
from hushwalk.notes.ledger import read_notes, write_notes
from hushwalk.notes.reading.entry import NoteContext
from hushwalk.notes.reading.walk_table import LOG_COLUMNS, WALK_COLUMNS, log_rows, take_rows, walk_rows
from hushwalk.wording.note_words import taken_words

STOPS = {"P01": (-92.1, 46.8), "P02": (-92.11, 46.81)}
CONTEXT = NoteContext("America/Chicago", lambda *_: NorthAngles(-1.2, 0.6), STOPS)


@pytest.fixture
def rows():
    return walk_rows(STOPS, date(2027, 4, 25))


def through_the_disk(tmp_path, rows, columns=WALK_COLUMNS):
    write_table(tmp_path / "walk.csv", columns, rows)
    return take_rows(read_table(tmp_path / "walk.csv", columns, columns[:2]).rows, "walk.csv", CONTEXT)


def test_a_blank_table_gives_nothing(tmp_path, rows):
    assert taken_words(through_the_disk(tmp_path, rows)) == "no note; 0 refused, 6 left blank"


def test_lines_of_one_stop_are_one_visit(tmp_path, rows):
    rows[0] |= {"start": "06:12", "end": "06:18", "wind": "calm", "bird": "B1", "reading_deg": "85"}
    rows[1] |= {"bird": "B2", "reading_deg": "190", "error": "rough"}
    rows[3] |= {"start": "06:40", "heard": "no"}
    taken = through_the_disk(tmp_path, rows)
    assert taken_words(taken) == "2 bearings, 2 visits; 0 refused, 3 left blank"
    visits = [e.note for e in taken.entries if e.note.kind == "visit"]
    assert [(v.stop, v.heard, v.minutes, v.wind) for v in visits] == [
        ("P01", True, 6.0, "calm"),
        ("P02", False, None, ""),
    ]


def test_bad_rows_are_told_by_row_and_the_others_kept(tmp_path, rows):
    rows[0] |= {"start": "06:12", "bird": "B1", "reading_deg": "85"}
    rows[1] |= {"bird": "B2", "reading_deg": "485"}
    rows[2] |= {"bird": "B3"}
    rows[3] |= {"start": "half past", "heard": "no"}
    taken = through_the_disk(tmp_path, rows)
    assert [e.note.kind for e in taken.entries] == ["bearing", "visit"]
    assert [r.where for r in taken.refused] == ["walk.csv row 3", "walk.csv row 4", "walk.csv row 5"]
    assert "485" in str(taken.refused[0])


def test_reading_it_in_twice_adds_nothing_and_a_mended_row_corrects(tmp_path, rows):
    ledger = tmp_path / "n.gpkg"
    rows[0] |= {"start": "06:12", "bird": "B1", "reading_deg": "85"}
    first = write_notes(ledger, through_the_disk(tmp_path, rows).entries)
    again = write_notes(ledger, through_the_disk(tmp_path, rows).entries)
    assert (len(first.added), again.added, len(again.already)) == (2, (), 2)
    rows[0]["reading_deg"] = "95"
    assert len(write_notes(ledger, through_the_disk(tmp_path, rows).entries).corrected) == 1
    assert [k.note.reading_deg for k in read_notes(ledger, "bearing")] == [95.0]
    assert len(read_notes(ledger, "bearing", every=True)) == 2


def test_a_line_that_stands_twice_is_told(tmp_path, rows):
    rows[0] |= {"start": "06:12", "heard": "no"}
    rows[4] |= {"line": "P01-1", "start": "06:42", "heard": "no"}
    taken = through_the_disk(tmp_path, rows)
    assert [str(r) for r in taken.refused] == [
        "walk.csv row 6: line 'P01-1' stands in row 2 already; give it another name"
    ]


def test_two_starts_at_one_stop_are_two_visits(tmp_path, rows):
    rows[0] |= {"start": "06:12", "heard": "no"}
    rows[1] |= {"start": "07:30", "heard": "yes", "bird": "", "reading_deg": "20"}
    taken = through_the_disk(tmp_path, rows)
    assert [(e.note.at.hour, e.note.heard) for e in taken.entries if e.note.kind == "visit"] == [(6, False), (7, True)]


def test_the_log_table(tmp_path):
    rows = log_rows(date(2027, 4, 25))
    rows[0] |= {"place": "46.8, -92.1", "start": "10:30", "droppings": "fresh", "dropping_side": "N", "height_m": "0.4"}
    rows[1] |= {"place": "46.8, -92.1", "start": "10:40", "droppings": "lots"}
    taken = through_the_disk(tmp_path, rows, LOG_COLUMNS)
    assert taken_words(taken) == "1 log; 1 refused, 4 left blank"


def test_files_that_are_no_table(tmp_path):
    with pytest.raises(MissingFileError):
        read_table(tmp_path / "none.csv", WALK_COLUMNS, ("stop",))
    for text, words in (
        ("", "lacks"),
        ("a,b\n1,2\n", "lacks the column"),
        ("stop,stop\n", "twice"),
        ("stop,x\n", "unknown column 'x'"),
    ):
        (tmp_path / "t.csv").write_text(text, encoding="utf-8")
        with pytest.raises(InputError, match=words):
            read_table(tmp_path / "t.csv", WALK_COLUMNS, ("stop",))
    (tmp_path / "t.csv").write_text("stop,remark\nP01,a\nP02,a,b\nP03,b\n", encoding="utf-8")
    table = read_table(tmp_path / "t.csv", WALK_COLUMNS, ("stop",))
    assert [r.number for r in table.rows] == [2, 4]
    assert table.refused[0][0] == 3


def test_a_bearing_from_a_place_that_is_no_stop_is_taken_without_complaint():
    row = {"place": "46.8, -92.1", "date": "2027-04-25", "start": "06:40", "bird": "b2", "reading_deg": "085"}
    taken = take_rows([TextRow(2, row | {"times": "3"}), TextRow(3, row | {"start": "06:44"})], "walk.csv", CONTEXT)
    assert taken.refused == ()
    assert [(e.note.kind, e.note.stop, e.note.times) for e in taken.entries] == [
        ("bearing", "", 3),
        ("bearing", "", None),
    ]


QUOTES = ("stop,place,start,bird,reading_deg,remark\n", '{quote}P01,"46.8, -92.1",06:01,b1,085,{remark}\n')


@pytest.mark.parametrize(
    ("broken", "remark"),
    [("", '"two answered'), ("", '"'), ('"', "fine"), ("", '"said ""here it is"", and left')],
)
def test_a_quote_that_is_not_closed_is_refused_at_its_row_and_swallows_nothing(tmp_path, broken, remark):
    whole = QUOTES[1].format(quote="", remark='"first line\nsecond, ""quoted"" line"')
    text = QUOTES[0] + whole + QUOTES[1].format(quote=broken, remark=remark) + whole.replace("b1", "b2") * 3
    (tmp_path / "walk.csv").write_text(text, encoding="utf-8")
    table = read_table(tmp_path / "walk.csv", WALK_COLUMNS, ("stop",))
    assert [number for number, reason in table.refused] == [4]
    assert "a quote is opened and never closed" in table.refused[0][1]
    assert [row.number for row in table.rows] == [2, 5, 7, 9]
    assert {row.cells["remark"] for row in table.rows} == {'first line\nsecond, "quoted" line'}


def test_a_quote_that_is_not_closed_in_the_last_row_is_refused_too(tmp_path):
    (tmp_path / "walk.csv").write_text('stop,start,remark\nP01,06:01,6" of snow\nP02,06:09,"late', encoding="utf-8")
    table = read_table(tmp_path / "walk.csv", WALK_COLUMNS, ("stop",))
    assert [row.cells["remark"] for row in table.rows] == ['6" of snow']
    assert [number for number, _ in table.refused] == [3]
