"""A desk that is killed in the middle of edits, again and again: no edit that was answered is lost, none is half there.

A process edits as fast as it can and is killed; after each kill the folder is taken up as a new desk does. 50 with
HUSHWALK_FULL_CHECKS=1, 12 without.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from hushwalk.site.trip_file import parse_trip

KILLS = 50 if os.environ.get("HUSHWALK_FULL_CHECKS") else 12
PROGRAM = """
import os, random, signal, sys, time
from pathlib import Path
from hushwalk.desk.kept_trip import KeptTrip
from hushwalk.desk.trip_edits import edited

folder, kills = Path(sys.argv[1]), int(sys.argv[2])
rng = random.Random(5)

def edit(pipe):
    kept = KeptTrip(folder)
    kept.take_up()
    for k in range(10**6):
        version = kept.now
        if rng.random() < 0.2 and version.parent:
            kept.go(version.parent)
            os.write(pipe, f"go {version.parent}\\n".encode())
        else:
            said = {"reserve": rng.randrange(900) / 1000}
            made = kept.put(edited(version.trip, "set reserve", said), f"{said}")
            os.write(pipe, f"put {made.number}\\n".encode())

for kill in range(kills):
    here, there = os.pipe()
    rng.seed(kill)
    child = os.fork()
    if child == 0:
        os.close(here)
        edit(there)
    os.close(there)
    while b"\\n" not in os.read(here, 4096):  # at least one edit is answered
        pass
    time.sleep(rng.random() * 0.06)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    answered = b""
    while more := os.read(here, 65536):
        answered += more
    os.close(here)
    last = answered.decode().splitlines()[-1:]
    kept = KeptTrip(folder)
    before = kept.path.read_text()
    outside = kept.take_up()
    now = kept.now
    assert not outside, outside
    assert kept.path.read_text() == now.trip
    numbers = {version.number for version in kept.history.versions()}
    assert all(version.parent in numbers for version in kept.history.versions() if version.parent is not None)
    if last:
        kind, number = last[0].split()
        newer = {now.number, now.parent, now.last_child}
        assert int(number) in numbers and (int(number) in newer), (last, newer)
    kept.history.close()
    print(kill, now.number, last, before == now.trip, flush=True)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that forks")
def test_kills_lose_no_edit(tmp_path: Path, demo_folder: Path) -> None:
    text = (demo_folder / "trip.toml").read_text(encoding="utf-8")
    (tmp_path / "trip.toml").write_text(text, encoding="utf-8")
    said = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(tmp_path), str(KILLS)], capture_output=True, text=True, check=False
    )
    assert said.returncode == 0, said.stdout[-2000:] + said.stderr[-2000:]
    assert len(said.stdout.splitlines()) == KILLS
    left = parse_trip((tmp_path / "trip.toml").read_text(encoding="utf-8"))
    assert left.place.name == parse_trip(text).place.name
    assert not list(tmp_path.glob(".writing-trip-*"))
