"""From the demo's bearings to fixes, a search and the season, by the commands, against the known places of the birds.

The known birds are simulated (data_demo/README.md); no command sees their file.
"""

import json
import re
import shutil
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from pyproj import Transformer

from hushwalk.birds.fix import NoPoint
from hushwalk.birds.story import FixRequest, fix_trip
from hushwalk.cli import hushwalk
from hushwalk.grid.points import parse_place, to_metres

EPSG = 32615


def run(*words: object) -> Result:
    return CliRunner().invoke(hushwalk, [str(word) for word in words])


@pytest.fixture(scope="module")
def trip(tmp_path_factory: pytest.TempPathFactory, demo_folder: Path) -> Path:
    folder = tmp_path_factory.mktemp("trip") / "demo"
    shutil.copytree(demo_folder, folder, ignore=shutil.ignore_patterns("known_birds.geojson", "__pycache__"))
    said = run("note", folder / "trip.toml", "--from", folder / "bearings.csv")
    assert said.exit_code == 0, said.output
    return folder / "trip.toml"


@pytest.fixture(scope="module")
def known(demo_folder: Path) -> dict[str, np.ndarray]:
    said = json.loads((demo_folder / "known_birds.geojson").read_text(encoding="utf-8"))["features"]
    return {bird["properties"]["id"]: to_metres(EPSG, np.array(bird["geometry"]["coordinates"][:2])) for bird in said}


def test_the_birds_lie_in_their_ground(trip: Path, known: dict[str, np.ndarray]) -> None:
    said = fix_trip(trip, FixRequest(next_bearing=False))
    truth = {row.uid: row.note.bird for row in said.fixed.notes.bearing_rows}
    held = [
        any(fix.grounds[2].holds(known[bird])[0] for bird in {truth[b.uid] for b in fix.bearings})
        for fix in said.fixed.fixes
    ]
    assert len(held) >= 10
    assert np.mean(held) >= 0.8  # 95 of 100 are meant; of a dozen one or two may be missed
    areas = [[g.area_ha for g in bird.grounds] for bird in said.birds]
    assert all(a < b < c for a, b, c in areas)
    single = [bird for bird in said.birds if len(bird.lines) == 1]
    assert single
    assert all(bird.point is None and bird.refusal.reason is NoPoint.ONE_PLACE for bird in single)


def test_the_command_tells_ground_places_and_the_next_bearing(trip: Path) -> None:
    said = run("fix", trip, "--bird", "B08", "--from", "P08")
    assert said.exit_code == 0, said.output
    assert re.search(r"B08: 50% in [\d.]+ ha, 80% in [\d.]+ ha, 95% in [\d.]+ ha", said.stdout)
    middle = re.search(r"middle +([\d.]+, -[\d.]+)  (15T \w\w \d{5} \d{5})", said.stdout)
    stand = re.search(r"stand at ([\d.]+, -[\d.]+)  (15T \w\w \d{5} \d{5})", said.stdout)
    a, b = (to_metres(EPSG, np.array(parse_place(place[1]))) for place in (middle, stand))
    assert np.hypot(*(a - b)) >= 80
    assert to_metres(EPSG, np.array(parse_place(middle[2]))) == pytest.approx(a, abs=2)
    assert "read 331 M" in said.stdout or "noted as B08" in said.stdout


def test_what_cannot_be_fixed_is_told(trip: Path, tmp_path: Path) -> None:
    for words, reason in (
        (("--bird", "B99", "--no-next"), "no bird is called 'B99'"),
        (("--day", "2027-04-20"), "there are bearings of 2027-04-23"),
        (("--notes", tmp_path / "none.gpkg"), "note bearings first"),
        (("--bird", "B08", "--from", "nowhere"), "is no stop of the notes or the plan"),
    ):
        said = run("fix", trip, *words)
        assert said.exit_code != 0
        assert reason in str(said.exception), said.output


def test_a_row_that_is_not_understood_is_named_and_the_others_are_fixed(trip: Path, tmp_path: Path) -> None:
    spoilt = tmp_path / "notes.gpkg"
    whole = (trip.parent / "notes.gpkg").read_bytes()
    spoilt.write_bytes(whole.replace(b"usual", b"usuel", 1))
    said = run("fix", trip, "--no-next", "--as-noted", "--notes", spoilt)
    assert said.exit_code == 0, said.output
    assert re.search(r"row \d+ of sightings says what this version does not know, and is left out", said.stdout)
    assert "22 bearings from" in said.stdout


def test_the_search_is_planned_written_and_kept_to_its_rules(trip: Path, tmp_path: Path) -> None:
    early = run("search", trip, "--begin", "07:00")
    assert "--begin 07:00 is too early" in str(early.exception)
    noted = run("note", trip, "search", "b61", "--say", "looked, nothing", "--day", "2027-04-23", "10:30")
    assert noted.exit_code == 0, noted.output
    said = run("search", trip, "--out", tmp_path / "late")
    assert said.exit_code == 0, said.output
    assert "B61: searched for already that day; no return the same day" in said.stdout
    begin, back, by = re.search(r"begin +(\d\d:\d\d).+\n.+?(\d\d:\d\d) \(by (\d\d:\d\d)\)", said.stdout).groups()
    areas = re.findall(r"^  \d\. (\d\d:\d\d) to (\d\d:\d\d)  (B\d+)", said.stdout, re.MULTILINE)
    assert areas
    assert "B61" not in [bird for _, _, bird in areas]
    clock = [begin, *(when for arrive, leave, _ in areas for when in (arrive, leave)), back, by]
    assert clock == sorted(clock)
    assert begin >= "09:50"  # four hours after sunrise, 05:58 on that day
    names = {path.name for path in (tmp_path / "late").iterdir()}
    assert names == {"search.html", "search_a4.pdf", "search_letter.pdf", "search.gpx", "search.geojson", "search.json"}
    made = json.loads((tmp_path / "late" / "search.geojson").read_text(encoding="utf-8"))["features"]
    assert [f["properties"]["bird"] for f in made if f["properties"]["kind"] == "area"] == [b for _, _, b in areas]
    planned = json.loads((tmp_path / "late" / "search.json").read_text(encoding="utf-8"))
    metres = Transformer.from_crs(4326, 32615, always_xy=True)
    for area in planned["areas"]:  # every area takes as long as its lines do, and as its log when it is found
        line = np.array([metres.transform(*place) for place in area["path_lonlat"]])
        length = float(np.hypot(*np.diff(line, axis=0).T).sum())
        arrive, leave = (datetime.fromisoformat(area[key]) for key in ("arrive", "leave"))
        minutes = length / planned["pace_ms"] / 60 + 10 * area["logs"]
        assert (leave - arrive).total_seconds() / 60 == pytest.approx(minutes, abs=0.5)
    walked = run("search", trip, "--walked", "1", "--out", tmp_path / "late")
    assert walked.exit_code == 0, walked.output
    again = run("search", trip, "--on", "2027-04-24", "--out", tmp_path / "next")
    assert again.exit_code == 0, again.output
    assert "one earlier search counts" in again.stdout


def test_the_season_adds_up_and_groups_the_logs(trip: Path) -> None:
    for words in (
        ("log1", "fresh", "--at", "15T XN 99449 51766", "side=N", "height=0.5"),
        ("log2", "few", "--at", "15T XN 99499 51716"),
        ("log3", "old", "--at", "15T YN 00055 50940"),
    ):
        assert run("note", trip, *words, "--day", "2027-04-23", "11:00").exit_code == 0
    said = run("season", trip)
    assert said.exit_code == 0, said.output
    assert "23 bearings" in said.stdout
    heard, expected = re.search(r"(\d+) males heard, ([\d.]+) predicted", said.stdout).groups()
    patches = re.findall(r"^  (?:patch \d+|elsewhere) +(\d+) heard, ([\d.]+) expected", said.stdout, re.MULTILINE)
    assert sum(int(n) for n, _ in patches) == int(heard)
    assert sum(float(m) for _, m in patches) == pytest.approx(float(expected), abs=0.3)
    assert "male 1: LOG01, main log" in said.stdout
    assert "male 1: LOG02, lesser log" in said.stdout
    assert "male 2: LOG03, main log" in said.stdout
    assert "droppings: fresh pile" in said.stdout
    page = (trip.parent / "out" / "2027-04-23" / "season.html").read_text(encoding="utf-8")
    for words in ("Stop P11 of 23 April", "male 1", "LOG01", "would not have been heard so far"):
        assert words in page
