"""Writers killed at random moments: what was acknowledged is there, the file opens, nothing stands twice.

An ordinary run kills 60 writers; ``HUSHWALK_FULL_CHECKS=1`` kills 500.
"""

import os
import random
import select
import signal
import sqlite3
import time
from datetime import UTC, datetime, timedelta

import geopandas
import pytest

from hushwalk.notes.ledger import Entry, read_notes, write_notes
from hushwalk.notes.notes import BearingNote

KILLS = 500 if os.environ.get("HUSHWALK_FULL_CHECKS") else 60
START = datetime(2027, 4, 25, 10, tzinfo=UTC)


def bearing(writer: int, number: int) -> BearingNote:
    at = START + timedelta(seconds=number)
    return BearingNote(at, (-92.1, 46.8), f"P{writer:02d}", f"W{writer}", number % 360, "T", 0.0, 0.0, number % 360)


def write_until_killed(path, writer: int, said: int) -> None:
    number = 0
    while True:
        uid = write_notes(path, [Entry(bearing(writer, number), origin="test")]).added[0]
        os.write(said, f"{uid}\n".encode())
        number += 1


def start(path, writer: int) -> tuple[int, int]:
    here, there = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(here)
            write_until_killed(path, writer, there)
        finally:
            os._exit(1)
    os.close(there)
    return child, here


def acknowledged(pipe: int) -> list[str]:
    parts = []
    while part := os.read(pipe, 65536):
        parts.append(part)
    os.close(pipe)
    return b"".join(parts).decode().split("\n")[:-1]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_every_acknowledged_note_outlives_the_kill(tmp_path):
    path, dice, kept = tmp_path / "notes.gpkg", random.Random(20270425), []  # noqa: S311 - moments, not secrets
    for kill in range(0, KILLS, 2):
        writers = [start(path, kill), start(path, kill + 1)]
        if kill % 4 == 0:  # on a slow disk, too, half of the kills must come between one note and the next
            select.select([writers[0][1]], [], [], 20)
        for child, _ in writers:
            time.sleep(dice.uniform(0.002, 0.05))
            os.kill(child, signal.SIGKILL)
        for child, pipe in writers:
            assert os.WIFSIGNALED(os.waitpid(child, 0)[1]), "a writer died of a fault of its own"
            kept += acknowledged(pipe)
    rows = read_notes(path, "bearing", every=True)
    there = [row.uid for row in rows]
    assert len(kept) >= KILLS / 4, "hardly any note was written: the test shows nothing"
    assert set(kept) <= set(there)
    assert len(there) == len(set(there)) == len({row.note for row in rows})
    assert len(there) - len(kept) <= KILLS, "at most the one note in hand is there without a word"
    with sqlite3.connect(path) as db:
        assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    db.close()
    assert len(geopandas.read_file(path, layer="sightings")) == len(there)
    write_notes(path, [Entry(bearing(KILLS, 0), origin="test")])
    assert sorted(p.name for p in tmp_path.iterdir()) == ["notes.gpkg"]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_four_writers_at_once_keep_all_their_notes(tmp_path):
    path, children = tmp_path / "notes.gpkg", []
    for writer in range(4):
        child = os.fork()
        if child == 0:
            for number in range(15):
                write_notes(path, [Entry(bearing(writer, number), origin="test")])
            os._exit(0)
        children.append(child)
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0, 0, 0]
    assert len(read_notes(path, "bearing")) == 60
