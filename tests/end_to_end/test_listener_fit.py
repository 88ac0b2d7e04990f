"""`hushwalk listener` on the demo: bearings of a walker with a known error, to males whose places are known."""

import csv
import json
import re
from pathlib import Path

import pytest

from hushwalk.cli import main
from hushwalk.trip.trip_file import read_trip

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
    told = fitted(trip, demo_folder, capsys)
    found = re.search(r"err by (\d+) degrees \(95 % between (\d+) and (\d+)\), [+-]\d+ on the mean, from 23", told)
    assert found
    assert int(found[2]) <= DRAWN_SD_DEG <= int(found[3])
    ear = re.search(r"average: ([+-][\d.]+) dB \(95 % between ([+-][\d.]+) and ([+-][\d.]+) dB\)", told)
    assert ear
    low, middle, high = (float(ear[k]) for k in (2, 1, 3))
    assert -10 < low < middle < high < 10
    lines = told[told.index("[walker]") :]
    trip.write_text(trip.read_text(encoding="utf-8") + "\n" + lines, encoding="utf-8")
    walker = read_trip(trip).walker  # the lines are those of a trip file
    assert walker.hearing_offset_db == pytest.approx(middle)
    assert int(found[1]) == pytest.approx(walker.bearing_error_deg, abs=0.5)
    again = fitted(trip, demo_folder, capsys)  # what the trip file says now does not move what the notes say
    assert ear[0] in again
    assert found[0] in again


def test_a_few_notes_are_told_to_be_too_few(trip: Path, demo_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    note_logs(trip, demo_folder, 2)
    told = fitted(trip, demo_folder, capsys)
    assert "Too little to say of your ears" in told
    assert "Too little to say of your bearings" in told
    assert "[walker]" not in told


def test_without_any_log_it_says_what_to_note(
    trip: Path, demo_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    with pytest.raises(SystemExit) as end:
        main(["listener", str(trip), "--layers", str(demo_folder)])
    assert end.value.code == 2
    assert "log3 fresh b2" in capsys.readouterr().err
