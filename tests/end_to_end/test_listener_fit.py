"""`hushwalk listener` on the demo: bearings of a walker with a known error, to males whose places are known."""

import csv
import json
import re
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from hushwalk.cli import main
from hushwalk.hearing.soundscape import Soundscape
from hushwalk.notes.bearing import metres_of
from hushwalk.notes.ledger import Entry, write_notes
from hushwalk.notes.notebook import open_ledger
from hushwalk.notes.notes import BearingNote, LogNote, Note, VisitNote
from hushwalk.site.detectability import availability_at, detectability_of
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.site import Site, read_site
from hushwalk.site.trip_file import read_trip

ROOT = Path(__file__).resolve().parents[2]

DRAWN_SD_DEG = 12.0  # as data_demo/birds.py draws them


@pytest.fixture
def trip(tmp_path: Path, demo_folder: Path) -> Path:
    text = (demo_folder / "trip.toml").read_text(encoding="utf-8")
    (tmp_path / "trip.toml").write_text(text, encoding="utf-8")
    main(["note", str(tmp_path), "--from", str(demo_folder / "bearings.csv")])
    return tmp_path / "trip.toml"


def note_logs(trip: Path, demo_folder: Path, most: int) -> None:
    """Find the logs of the birds that were heard, the next day."""
    features = json.loads((demo_folder / "known_birds.geojson").read_text(encoding="utf-8"))["features"]
    places = {bird["properties"]["id"]: bird["geometry"]["coordinates"] for bird in features}
    with (demo_folder / "bearings.csv").open(encoding="utf-8-sig", newline="") as file:
        heard = sorted({row["bird"] for row in csv.DictReader(file) if row["bird"]})
    with (trip.parent / "logs.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(["line", "name", "place", "date", "start", "droppings", "bird"])
        for k, bird in enumerate(heard[:most], start=1):
            lon, lat = places[bird]
            table.writerow([k, f"LOG{k}", f"{lat}, {lon}", "2027-04-24", f"10:{k:02d}", "fresh", bird])
    main(["note", str(trip), "--from", str(trip.parent / "logs.csv")])


def fitted(trip: Path, demo_folder: Path, capsys: pytest.CaptureFixture[str]) -> str:
    capsys.readouterr()
    main(["listener", str(trip), "--layers", str(demo_folder)])
    return capsys.readouterr().out


def test_the_error_that_was_drawn_is_found_again(
    trip: Path, demo_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    note_logs(trip, demo_folder, 99)
    said = fitted(trip, demo_folder, capsys)
    found = re.search(r"err by (\d+) degrees \(95 % between (\d+) and (\d+)\), [+-]\d+ on the mean, from 23", said)
    assert found
    assert int(found[2]) <= DRAWN_SD_DEG <= int(found[3])
    ear = re.search(r"average: ([+-][\d.]+) dB \(95 % between ([+-][\d.]+) and ([+-][\d.]+) dB\)", said)
    assert ear
    low, middle, high = (float(ear[k]) for k in (2, 1, 3))
    assert -10 < low < middle < high < 10
    lines = said[said.index("[walker]") :]
    trip.write_text(trip.read_text(encoding="utf-8") + "\n" + lines, encoding="utf-8")
    walker = read_trip(trip).walker  # the lines are those of a trip file
    assert walker.hearing_offset_db == pytest.approx(middle)
    assert int(found[1]) == pytest.approx(walker.bearing_error_deg, abs=0.5)
    again = fitted(trip, demo_folder, capsys)  # what the trip file says now does not move what the notes say
    assert ear[0] in again
    assert found[0] in again


def test_a_few_notes_are_told_to_be_too_few(trip: Path, demo_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    note_logs(trip, demo_folder, 2)
    said = fitted(trip, demo_folder, capsys)
    assert "Too little to say of your ears" in said
    assert "Too little to say of your bearings" in said
    assert "[walker]" not in said


def test_without_any_log_it_says_what_to_note(
    trip: Path, demo_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    with pytest.raises(SystemExit) as end:
        main(["listener", str(trip), "--layers", str(demo_folder)])
    assert end.value.code == 2
    assert "log3 fresh b2" in capsys.readouterr().err


def test_a_dull_ear_is_found_dull_over_the_real_ground(
    tmp_path: Path, demo_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Males of the demo, heard by an ear that is 7 dB worse than the average, as the sound paths say."""
    shutil.copy(demo_folder / "trip.toml", tmp_path)
    settings = read_trip(demo_folder / "trip.toml")
    book, site = open_ledger(tmp_path / "trip.toml"), read_site(settings)
    detectability, rng = detectability_of(settings, site), np.random.default_rng(3)
    soundscape = detectability.soundscape
    features = json.loads((demo_folder / "known_birds.geojson").read_text(encoding="utf-8"))["features"]
    stops = json.loads((ROOT / "maps" / "sample" / "summary.json").read_text(encoding="utf-8"))["stops"]
    places = [tuple(bird["geometry"]["coordinates"]) for bird in features]
    margins = [[margin_db(site, soundscape, place, (s["lon_deg"], s["lat_deg"])) for s in stops] for place in places]
    clock = morning_clock(settings.morning, site.car.lon_deg, site.car.lat_deg)
    begin_s = clock.seconds(datetime(2027, 4, 24, 10, tzinfo=UTC)) + 300.0 * np.arange(len(stops))
    shown = availability_at(detectability, site, clock, begin_s, 1200.0)
    displays = dict(zip([stop["name"] for stop in stops], shown.hour_factor * shown.cue, strict=True))
    notes: list[Note] = []
    for morning in range(10):
        visits = [
            VisitNote(at, (stop["lon_deg"], stop["lat_deg"]), stop["name"], heard=True, end=at + timedelta(minutes=20))
            for k, stop in enumerate(stops)
            for at in [datetime(2027, 4, 20 + morning, 10, tzinfo=UTC) + timedelta(minutes=5 * k)]
        ]
        notes += visits
        for number, (place, own) in enumerate(zip(places, margins, strict=True)):
            name, loudness = f"B{morning}{number:02d}", rng.normal(0, 6 * np.sqrt(0.6))
            loud = [None if m is None else m - 7.0 + loudness + rng.normal(0, 6 * np.sqrt(0.4)) for m in own]
            calls = [rng.random() < displays[v.stop] for v in visits]
            at_stops = [v for v, level, on in zip(visits, loud, calls, strict=True) if on and level and level > 0]
            notes += [BearingNote(v.at, v.place, v.stop, name, 0.0, "T", 0.0, 0.0, 0.0) for v in at_stops]
            if at_stops:
                found = visits[0].at + timedelta(hours=6)
                notes.append(LogNote(found, place, f"LOG{name[1:]}", "fresh pile", bird=name))
    write_notes(book.path, [Entry(note) for note in notes])
    said = fitted(tmp_path / "trip.toml", demo_folder, capsys)
    ear = re.search(r"average: ([+-][\d.]+) dB \(95 % between ([+-][\d.]+) and ([+-][\d.]+) dB\)", said)
    assert ear, said
    assert float(ear[2]) < -7.0 < float(ear[3]) < 0, said
    assert "hearing_offset_db = -" in said
    # all bearings were noted as 000 here, which no trip file should learn from
    assert "right birds" in said
    assert "bearing_error_deg =" not in said


def margin_db(site: Site, soundscape: Soundscape, bird: tuple[float, float], ear: tuple[float, float]) -> float | None:
    """Margin over the ground of the trip, None beyond 800 m."""
    xy = [metres_of(place, site.grid.epsg) for place in (bird, ear)]
    if not site.grid.contains(np.array(xy)).all() or np.hypot(*np.subtract(*xy)) > 800:
        return None
    return soundscape.path(*xy).margin_db
