"""Whatever is typed or read in, a note is kept or one clear error told; the ledger opens afterwards."""

import json
import random
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hushwalk.errors import HushwalkError
from hushwalk.notes.intake import Naming, take_files
from hushwalk.notes.ledger import read_notes
from hushwalk.notes.listing import list_notes
from hushwalk.notes.notebook import Notebook, open_ledger
from hushwalk.notes.typed_notes import TypedLine, mend_note, note_line, strike_note
from hushwalk.site.starter import write_starter
from hushwalk.wording.note_words import list_words, report_words

NOW = datetime(2027, 4, 25, 11, 12, tzinfo=UTC)
WORDS = [
    "p1",
    "P02",
    "b2",
    "085",
    "410T",
    "near",
    "rough",
    "06:12",
    "0612-0618",
    "nil",
    "heard",
    "log3",
    "fresh",
    "walk",
]
NAMED = [
    "side=N",
    "length=4,5",
    "height=1e9",
    "worn",
    "wind=calm",
    "start=25:00",
    "place=x",
    "bird=",
    "pin",
    "date=1/2/27",
]
ROUGH = settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
PLACES = ["", "47.62, -91.70", "15T 597700 5274900", "15TWN9770074900", "99, 999", "85, 10", "-89.9, 0"]


@pytest.fixture
def book(tmp_path: Path) -> Notebook:
    trip = write_starter(tmp_path)
    hours = {"arrive": "2027-04-25T06:00:00-05:00", "leave": "2027-04-25T06:05:00-05:00"}
    stops = [{"name": f"P0{k}", "lon_deg": -91.7, "lat_deg": 47.62 + k / 200} | hours for k in (1, 2)]
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "summary.json").write_text(json.dumps({"stops": stops}), encoding="utf-8")
    return open_ledger(trip)


def every_key(book: Notebook) -> list[str]:
    kinds = ("visit", "bearing", "log", "session")
    return [row.uid for kind in kinds for row in book.notes(kind, every=True)]


@ROUGH
@given(
    words=st.lists(st.one_of(st.sampled_from([*WORDS, *NAMED]), st.text(max_size=6)), max_size=6),
    at=st.one_of(st.sampled_from(PLACES), st.text(max_size=12)),
    say=st.text(max_size=12),
    day=st.one_of(st.none(), st.dates()),
    pick=st.integers(0, 10**6),
)
def test_any_line_is_kept_mended_or_told_to_be_wrong(book, words, at, say, day, pick) -> None:
    line = TypedLine(tuple(words), at, say, day)
    before = len(every_key(book))
    try:
        report = note_line(book, line, NOW)
    except HushwalkError:
        assert len(every_key(book)) == before
    else:
        assert report_words(report)
    keys = every_key(book)
    for do in (lambda key: mend_note(book, key, line, "why", NOW), lambda key: strike_note(book, key, say)):
        try:
            if keys:
                do(keys[pick % len(keys)])
        except HushwalkError:
            continue
    assert list_words(list_notes(book, every=True))
    now = [row for kind in ("visit", "bearing", "log", "session") for row in book.notes(kind)]
    assert len({row.uid for row in now}) == len(now)


@pytest.mark.parametrize("seed", range(30))
def test_spoilt_files_beside_a_good_one_change_nothing_of_it(book, tmp_path, demo_folder, seed) -> None:
    dice = random.Random(seed)  # noqa: S311 - spoiling, not secrets
    good = demo_folder / "bearings.csv"
    raw = bytearray((demo_folder / ("bearings.csv" if seed % 2 else "../maps/sample/walk.gpx")).read_bytes())
    for _ in range(dice.randrange(1, 30)):
        where = dice.randrange(len(raw))
        raw[where : where + dice.randrange(3)] = bytes(dice.randrange(256) for _ in range(dice.randrange(3)))
    spoilt = tmp_path / f"in.{'csv' if seed % 2 else 'gpx'}"
    spoilt.write_bytes(bytes(raw))
    naming = Naming({}, date(2027, 4, 23))
    take_files(book, [good], naming)
    before = {row.uid for row in read_notes(book.path, "bearing", every=True)}
    try:
        taken = take_files(book, [good, spoilt], naming)
    except HushwalkError:
        pass
    else:
        assert all(row.where and row.reason for row in taken.refused)
    assert before <= {row.uid for row in read_notes(book.path, "bearing", every=True)}
    assert take_files(book, [good], naming).written.added == ()
