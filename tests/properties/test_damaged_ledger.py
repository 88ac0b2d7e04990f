"""A damaged ledger: whatever bytes are hit, the notes are read and one is added, or one message is told.

An ordinary run damages 60 files; ``HUSHWALK_FULL_CHECKS=1`` damages 1,500.
"""

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import process_time

import numpy as np
from tests.peak_memory import memory_taken

from hushwalk.errors import HushwalkError
from hushwalk.notes.ledger import Entry, read_notes, unread_rows, withdraw_note, write_notes
from hushwalk.notes.ledger_tables import TABLES
from hushwalk.notes.notes import BearingNote, LogNote, SessionNote, VisitNote
from hushwalk.notes.raw_lines import RawLine, read_raw

CASES = 1500 if os.environ.get("HUSHWALK_FULL_CHECKS") else 60
LIMIT_S, LIMIT_MB = 10, 1000
START = datetime(2027, 4, 25, 11, tzinfo=UTC)
HERE = (-91.7, 47.6)


def whole_ledger(path: Path) -> bytes:
    notes = []
    for n in range(12):
        at = START + timedelta(minutes=9 * n)
        notes += [
            VisitNote(at, HERE, f"P{n:02d}", heard=True, end=at + timedelta(minutes=5), remark="calm, a light frost"),
            BearingNote(at, HERE, f"P{n:02d}", "B1", 85.0, "M", -1.2, 0.6, 83.8),
            LogNote(at, HERE, f"LOG{n:02d}", "fresh pile", length_m=6.0, worn=True, backdrop_m="N 12, NE 8"),
            SessionNote(at, "watched a log", HERE, at + timedelta(minutes=5)),
        ]
    raw = [RawLine(f"P{n:02d} b2 o85", f"lines.txt line {n}", "2027-04-25", "o85", "why") for n in range(6)]
    write_notes(path, [Entry(note, "typed") for note in notes], raw)
    withdraw_note(path, read_notes(path, "log")[0].uid, why="a twin")
    return path.read_bytes()


def damaged(whole: bytes, rng: np.random.Generator) -> bytes:
    """Bytes changed, lost or put in, oftener where something stands than in the empty parts of pages."""
    broken, filled = bytearray(whole), np.flatnonzero(np.frombuffer(whole, np.uint8))
    for _ in range(int(rng.choice([1, 3, 10, 100]))):
        at = min(int(rng.choice(filled)), len(broken) - 1)
        way = rng.random()
        if way < 0.85:
            broken[at] = int(rng.integers(256))
        elif way < 0.9:
            del broken[at : at + int(rng.integers(1, 200))]
        elif way < 0.95:
            broken[at:at] = rng.bytes(int(rng.integers(1, 50)))
        else:
            del broken[max(at, 1) :]
    return bytes(broken)


def test_a_damaged_ledger_is_used_or_told(tmp_path: Path) -> None:
    path, rng = tmp_path / "notes.gpkg", np.random.default_rng(3)
    whole = whole_ledger(path)
    said: list[str] = []
    slowest_s, whole_reads = 0.0, 0
    with memory_taken() as taken:
        for case in range(CASES):
            path.write_bytes(damaged(whole, rng))
            began = process_time()
            try:
                for kind in TABLES:
                    read_notes(path, kind)
                unread_rows(path)
                read_raw(path, every=True)
                whole_reads += 1
                write_notes(path, [Entry(SessionNote(START + timedelta(hours=2, seconds=case), "one more"), "typed")])
            except HushwalkError as fault:
                said.append(str(fault))
            slowest_s = max(slowest_s, process_time() - began)
            path.with_name("notes.gpkg-journal").unlink(missing_ok=True)
    print(f"ledger: {CASES} damaged, {len(said)} told, slowest {slowest_s:.2f} s, at most {taken.mb:.0f} MB more")  # noqa: T201
    assert all("notes.gpkg" in words and "\n" not in words for words in said), said
    assert min(len(said), whole_reads) > CASES / 20, "either nothing was damaged or nothing could be read"
    assert slowest_s < LIMIT_S
    assert taken.mb < LIMIT_MB
