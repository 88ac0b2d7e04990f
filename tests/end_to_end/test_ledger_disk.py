"""A full disk and a read-only folder: one clear error, and every note that was kept before is still there."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from hushwalk.errors import OutputError
from hushwalk.notes.ledger import Entry, read_notes, write_notes
from hushwalk.notes.notes import SessionNote

START = datetime(2027, 4, 25, 10, tzinfo=UTC)


def session(number: int) -> Entry:
    return Entry(SessionNote(START + timedelta(seconds=number), "w" * 1500), origin="test")


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    mount = shutil.which("mount")
    if mount is None or os.geteuid() != 0:
        pytest.skip("only root can make a small disk")
    folder = tmp_path / "disk"
    folder.mkdir()
    made = subprocess.run([mount, "-t", "tmpfs", "-o", "size=400k", "tmpfs", folder], check=False, capture_output=True)
    if made.returncode:
        pytest.skip("this machine does not let root mount a disk")
    yield folder
    subprocess.run(["umount", folder], check=True)


def fill(path: Path, kept: list[str]) -> None:
    for number in range(2000):
        kept += write_notes(path, [session(number)]).added


def test_a_full_disk_loses_nothing_that_was_noted(small_disk):
    path, kept = small_disk / "notes.gpkg", []
    with pytest.raises(OutputError, match="no room on the disk"):
        fill(path, kept)
    assert 10 < len(kept) < 2000
    assert [row.uid for row in read_notes(path, "session")] == kept
    with pytest.raises(OutputError, match="no room on the disk"):
        write_notes(path, [session(n) for n in range(5000, 5200)])
    assert [row.uid for row in read_notes(path, "session")] == kept
    assert [p.name for p in small_disk.iterdir()] == ["notes.gpkg"]


def test_a_disk_too_full_to_begin_says_so_and_leaves_nothing_unreadable(small_disk):
    (small_disk / "ballast").write_bytes(b"x" * 390_000)
    path = small_disk / "notes.gpkg"
    with pytest.raises(OutputError, match="no room on the disk"):
        write_notes(path, [session(1)])
    (small_disk / "ballast").unlink()
    assert len(write_notes(path, [session(1)]).added) == 1


def test_a_read_only_disk_can_be_read_and_refuses_notes_in_words(small_disk):
    path = small_disk / "notes.gpkg"
    write_notes(path, [session(1)])
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    with pytest.raises(OutputError, match="nothing was noted"):
        write_notes(path, [session(2)])
    assert len(read_notes(path, "session")) == 1
    with pytest.raises(OutputError, match="nothing was noted"):
        write_notes(small_disk / "other.gpkg", [session(2)])


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_leave_to_write_refuses_notes_in_words(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(OutputError, match="nothing was noted"):
        write_notes(tmp_path / "notes.gpkg", [session(1)])
    tmp_path.chmod(0o700)


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(OutputError, match="folder is there"):
        write_notes(tmp_path / "nowhere" / "notes.gpkg", [session(1)])
