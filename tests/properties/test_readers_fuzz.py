"""Text readers on spoilt files: a value or one clear error within ten seconds and two gigabytes, never a traceback.

An ordinary run spoils 144 files, beside 160 layers (test_damaged_layers.py) and 300 notes (test_notes_fuzz.py);
``HUSHWALK_FULL_CHECKS=1`` spoils 2,100, beside 5,200 and 2,000.
"""

import json
import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from rasterio.io import MemoryFile
from rasterio.transform import from_bounds
from tests.peak_memory import memory_taken

from hushwalk.errors import HushwalkError
from hushwalk.files.points_csv import read_points
from hushwalk.grid.points import parse_place
from hushwalk.notes.planned_walk import read_walk
from hushwalk.regions.area_trip import write_area_trip
from hushwalk.regions.region_file import read_area_file
from hushwalk.site.species import read_card
from hushwalk.site.trip_file import read_trip
from hushwalk.text import message

CASES = 350 if os.environ.get("HUSHWALK_FULL_CHECKS") else 24
ROOT = Path(__file__).resolve().parents[2]
CARD = ROOT / "src" / "hushwalk" / "data" / "species" / "ruffed_grouse.toml"
SIGNS = [
    "\x00",
    "\ufeff",
    "\u202e",
    '"""',
    "[[",
    "]]",
    "{",
    "=",
    "1e999",
    "-1",
    "nan",
    "99999999999999999999",
    "\r",
    "'",
]
LIMIT_S, LIMIT_MB = 10, 1000
STOP = '{"name": "P01", "number": 1, "arrive": "2027-04-25T05:30:00-05:00", "leave": "2027-04-25T05:36:00-05:00", '
SUMMARY = (
    '{"schema": "hushwalk summary 1", "seed": 1, "date": "2027-04-25", "stops": ['
    + STOP
    + ('"lon_deg": -91.7, "lat_deg": 47.6, "usng": "15T WN 97700 74900", "chance_any": 0.4, "males_expected": 0.3}]}')
)
AREA = (
    '[region]\nname = "North"\nbounds = [-92.0, 47.0, -91.0, 48.0]\n'
    '[morning]\ndate = 2027-04-25\ntime_zone = "America/Chicago"\nback_by = 09:30:00\n'
    '[[layer]]\nkind = "cover"\npath = "c.tif"\nlegend = "nlcd"\n'
)
RANKED = json.dumps(
    {
        "schema": "hushwalk areas 1",
        "area_file": "areas.toml",
        "region": "North",
        "areas": [
            {"rank": rank, "name": f"North {rank}", "latitude_deg": 47.5, "longitude_deg": -91.5, "why": "1.2 males"}
            for rank in (1, 2, 3)
        ],
    },
    indent=1,
)
with MemoryFile() as _file:
    with _file.open(
        driver="GTiff",
        width=200,
        height=200,
        count=1,
        dtype="uint8",
        crs="EPSG:4326",
        transform=from_bounds(-92, 47, -91, 48, 200, 200),
    ) as _cover:
        _cover.write(np.full((1, 200, 200), 41, np.uint8))
    COVER = _file.read()
POINTS = "name,longitude,latitude\n" + "".join(f"log {k},{-91.7 + k / 1000},{47.6 - k / 1000}\n" for k in range(30))
PLACES = "47.6200, -91.7000\n15T 597700 5274900\n15TWN9770074900\nN 47 37.386 W 91 42.312\n"


def places(path: Path) -> Any:
    return [parse_place(line) for line in path.read_text(encoding="utf-8", errors="replace").splitlines()]


def area_trip(path: Path) -> Any:
    (path.parent / "areas.toml").write_text(AREA, encoding="utf-8")
    (path.parent / "c.tif").write_bytes(COVER)
    folder = path.parent / "trip"
    (folder / "trip.toml").unlink(missing_ok=True)
    return write_area_trip(folder, 1, path)


READERS: dict[str, tuple[Callable[[Path], Any], str]] = {
    "trip.toml": (read_trip, (ROOT / "data_demo" / "trip.toml").read_text(encoding="utf-8")),
    "areas.toml": (read_area_file, AREA),
    "card.toml": (read_card, CARD.read_text(encoding="utf-8")),
    "points.csv": (read_points, POINTS),
    "summary.json": (read_walk, SUMMARY),
    "areas.json": (area_trip, RANKED),
    "places.txt": (places, PLACES),
}


def spoilt(whole: str, dice: random.Random) -> bytes:
    """The text with a few lines, words or bytes lost, doubled, swapped or replaced."""
    text = whole
    for _ in range(dice.choice([1, 1, 2, 5, 20])):
        at, way = dice.randrange(len(text) + 1), dice.random()
        if way < 0.25:
            text = text[:at] + dice.choice(SIGNS) + text[at:]
        elif way < 0.4:
            text = text[:at] + text[at + dice.randrange(1, 40) :]
        elif way < 0.55:
            lines = text.splitlines(keepends=True) or [""]
            lines.insert(dice.randrange(len(lines) + 1), dice.choice(lines))
            text = "".join(lines)
        elif way < 0.7:
            words = text.split(" ")
            words[dice.randrange(len(words))] = dice.choice(
                ["", "true", "[]", "{}", "0", '"x"', "2027-13-40", "25:61:00"]
            )
            text = " ".join(words)
        elif way < 0.85:
            text = text[:at] + chr(dice.randrange(32, 0x2FFF)) + text[at + 1 :]
        elif way < 0.95:
            text = text[:at]
        else:
            text = text[:at] + dice.choice(SIGNS) * 5000 + text[at:]
    raw = bytearray(text.encode("utf-8", errors="replace"))
    if raw and dice.random() < 0.1:
        raw[dice.randrange(len(raw))] = dice.randrange(256)
    return bytes(raw)


def too_long(*_: object) -> None:
    raise AssertionError(f"a reader took more than {LIMIT_S} s of the processor")


@pytest.mark.parametrize("name", READERS)
def test_a_spoilt_text_is_read_or_told(tmp_path: Path, name: str) -> None:
    read, whole = READERS[name]
    path, dice = tmp_path / name, random.Random(name)  # noqa: S311 - spoilt files, not secrets
    path.write_text(whole, encoding="utf-8")
    read(path)
    before = signal.signal(signal.SIGVTALRM, too_long)
    said: list[str] = []
    try:
        with memory_taken() as taken:
            for _ in range(CASES):
                path.write_bytes(spoilt(whole, dice))
                signal.setitimer(signal.ITIMER_VIRTUAL, LIMIT_S)
                try:
                    read(path)
                except HushwalkError as fault:
                    said.append(str(fault))
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)
    assert len(said) > CASES / 4, "hardly any file was spoilt: the test shows nothing"
    assert all(words.strip() and len(message(words)) < 5000 for words in said)
    assert taken.mb < LIMIT_MB


ENDLESS = {
    "table": "[" * 100_000,
    "list": "x = " + "[" * 100_000,
    "nested": "x = " + "{a = " * 100_000,
    "closed": "x = " + "[" * 990 + "]" * 990,
    "object": '{"stops": ' + "[" * 100_000,
    "cell": "name,longitude,latitude\n" + "1" * 200_000 + ",2,3\n",
    "line": "9" * 10_000_000,
}


@pytest.mark.parametrize("form", ENDLESS)
@pytest.mark.parametrize("name", READERS)
def test_an_endless_text_is_told(tmp_path: Path, name: str, form: str) -> None:
    path = tmp_path / name
    path.write_text(ENDLESS[form], encoding="utf-8")
    began = time.process_time()
    with pytest.raises(HushwalkError) as caught:
        READERS[name][0](path)
    assert len(message(str(caught.value))) < 5000
    assert time.process_time() - began < LIMIT_S


def test_the_spoiler_spoils_and_the_sound_text_is_json() -> None:
    assert json.loads(SUMMARY)["stops"]
    dice = random.Random(1)  # noqa: S311 - spoilt files, not secrets
    assert len({spoilt(SUMMARY, dice) for _ in range(50)}) > 45
