"""The fill-in table read back: a bad row is named and left out, the good ones beside it are kept."""

from pathlib import Path

import pytest

from hushwalk.files.notes_csv import read_table, write_table

COLUMNS = ("time", "stop", "remark")


@pytest.mark.parametrize(
    ("bad", "reason"),
    [
        (b"05:40,P02,a\x00b", "zero byte"),
        (b"05:40,P02,\xff\xfe", "not UTF-8"),
        (b"05:40,P02,one,two", "4 cells for 3 columns"),
    ],
)
def test_a_bad_row_is_named_and_the_others_are_kept(tmp_path: Path, bad: bytes, reason: str) -> None:
    path = tmp_path / "walk.csv"
    path.write_bytes(b"time,stop,remark\r\n05:31,P01,first\r\n" + bad + b"\r\n05:50,P03,third\r\n")
    read = read_table(path, COLUMNS, ("time",))
    assert [row.cells["remark"] for row in read.rows] == ["first", "third"]
    assert [row.number for row in read.rows] == [2, 4]
    ((number, why),) = read.refused
    assert number == 3
    assert reason in why


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    rows = [{"time": "05:31", "stop": "P01", "remark": 'a "quoted", divided; word'}, {"time": "", "stop": "P02"}]
    write_table(tmp_path / "walk.csv", COLUMNS, rows)
    read = read_table(tmp_path / "walk.csv", COLUMNS, COLUMNS)
    assert [dict(row.cells) for row in read.rows] == [rows[0], {"time": "", "stop": "P02", "remark": ""}]
    assert read.refused == ()
    assert [path.name for path in tmp_path.iterdir()] == ["walk.csv"]
