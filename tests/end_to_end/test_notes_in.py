"""`hushwalk note`: lines, tables and GPS files into one ledger, as a person at the stop and at the table uses it."""

import csv
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

import geopandas as gpd
import pyproj
import pytest

from hushwalk.cli import main
from hushwalk.science.magnetic import declination

Run = Callable[..., tuple[int, str, str]]
PLANNED = [("P01", -90.3525983, 47.3784012, "05:08"), ("P02", -90.3537224, 47.3808363, "05:20")]
GPX = """<?xml version="1.0"?>
<gpx version="1.{minor}" creator="receiver" xmlns="http://www.topografix.com/GPX/1/{minor}">
{points}
<trk><name>ACTIVE LOG</name><trkseg>
<trkpt lat="47.3784" lon="-90.3526"><time>2027-04-24T10:00:00Z</time></trkpt>
<trkpt lat="47.3808" lon="-90.3537"><time>2027-04-24T10:20:00Z</time></trkpt>
</trkseg></trk></gpx>
"""
POINT = '<wpt lat="{lat}" lon="{lon}"><time>2027-04-24T{utc}:00Z</time><name>{name}</name></wpt>'


@pytest.fixture
def trip(tmp_path: Path, demo_folder: Path) -> Path:
    """The demo's trip file with two planned stops; notes need no layers."""
    text = (demo_folder / "trip.toml").read_text(encoding="utf-8")
    (tmp_path / "trip.toml").write_text(text, encoding="utf-8")
    stops = [
        {
            "name": n,
            "lon_deg": x,
            "lat_deg": y,
            "arrive": f"2027-04-24T{t}:00-05:00",
            "leave": f"2027-04-24T{t}:30-05:00",
        }
        for n, x, y, t in PLANNED
    ]
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "summary.json").write_text(json.dumps({"stops": stops}), encoding="utf-8")
    return tmp_path / "trip.toml"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], trip: Path) -> Run:
    def once(*words: str) -> tuple[int, str, str]:
        code = 0
        try:
            main(["note", str(trip), *words])
        except SystemExit as end:
            code = int(end.code or 0)
        said = capsys.readouterr()
        return code, said.out, said.err

    return once


def ledger(trip: Path, table: str) -> gpd.GeoDataFrame:
    """Read with a library that knows nothing of hushwalk."""
    return gpd.read_file(trip.parent / "notes.gpkg", layer=table)


def test_a_bearing_in_four_words(run: Run, trip: Path) -> None:
    code, out, _ = run("p1", "b2", "085", "far", "05:12", "--day", "2027-04-24")
    assert code == 0
    assert out.startswith("compass read 085, true 082 (declination 2.7 W)\nnoted ")
    (row,) = ledger(trip, "sightings_now").to_dict("records")
    east = declination(date(2027, 4, 24), -90.3525983, 47.3784012).declination_deg
    assert row["azimuth_deg"] == pytest.approx(85 + east, abs=1e-9)
    assert (row["stop"], row["bird"], row["distance"]) == ("P01", "B2", "far")
    assert (row["geom"] if "geom" in row else row["geometry"]).coords[0] == (-90.3525983, 47.3784012)


@pytest.mark.parametrize("form", ["47.378401, -90.352598", "15T {east} {north}", "15T XN {east5} {north5}"])
def test_a_place_in_every_form(run: Run, trip: Path, form: str) -> None:
    east, north = pyproj.Transformer.from_crs(4326, 32615, always_xy=True).transform(-90.352598, 47.378401)
    words = {"east": int(east), "north": int(north), "east5": f"{int(east) % 100000:05d}"}
    place = form.format(**words, north5=f"{int(north) % 100000:05d}")
    assert run("log3", "fresh", "10:05", "--day", "2027-04-24", "--at", place)[0] == 0
    (point,) = ledger(trip, "logs_now").geometry
    assert point.x == pytest.approx(-90.352598, abs=2e-5)
    assert point.y == pytest.approx(47.378401, abs=2e-5)


def test_a_note_is_made_now_unless_a_time_is_said(run: Run, trip: Path) -> None:
    assert run("p2", "nil")[0] == 0
    (row,) = ledger(trip, "visits_now").to_dict("records")
    noted = row["noted_at"]
    assert abs((row["at"] - noted).total_seconds()) < 60


def test_a_mended_note_keeps_its_old_row(run: Run, trip: Path) -> None:
    key = re.search(r"noted (\w+)", run("p1", "085", "05:12", "--day", "2027-04-24")[1])[1]
    code, out, _ = run("--mend", key, "265", "--why", "read it back to front")
    assert code == 0
    assert "compass read 265, true 262" in out
    assert list(ledger(trip, "sightings")["reading_deg"]) == [85.0, 265.0]
    assert list(ledger(trip, "sightings_now")["reading_deg"]) == [265.0]
    assert "085" not in run()[1]
    assert "mended by" in run("--all")[1]
    assert run("--mend", key, "270", "--why", "again")[0] == 2  # the newest row is mended, not an old one
    newest = re.search(r"into (\w+)", out)[1]
    assert run("--strike", newest, "--why", "it was a truck")[0] == 0
    assert len(ledger(trip, "sightings_now")) == 0
    assert len(ledger(trip, "sightings")) == 3
    assert "it was a truck" in run("--all")[1]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["p1", "410"], "410 is not a bearing"),
        (["p1", "wurst"], "no note yet"),
        (["p9", "085"], "stop 'P9' is not in the plan"),
        (["p1", "085", "--at", "nowhere"], "nowhere"),
        (["p1", "085", "--day", "2027-04-24"], "needs a time"),
        (["--mend", "ffff", "085", "--why", "x"], "no"),
        (["--at", "47.3, -90.3"], "need the words of a note"),
        (["p1", "085", "--from", "x.csv"], "one at a time"),
        (["--from", "x.csv"], "x.csv is not there"),
        (["--from", "x.csv", "--name", "017"], "no naming"),
        (["085"], "neither a stop"),
    ],
)
def test_a_fault_is_told_and_nothing_is_written(run: Run, trip: Path, words: list[str], said: str) -> None:
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err
    assert not (trip.parent / "notes.gpkg").exists()


def test_the_end_of_the_magnetic_model_is_told(run: Run) -> None:
    code, _, err = run("p1", "085", "05:12", "--day", "2029-04-24")
    assert code == 0
    assert "the magnetic model ends with 2029" in err
    code, out, err = run("p1", "085", "05:12", "--day", "2031-04-24")
    assert (code, "the magnetic model has ended: the last one is used" in err) == (0, True)
    assert "compass read 085, true 082" in out
    code, out, err = run("p1", "085T", "05:12", "--day", "2034-04-24")
    assert (code, "model" in err) == (0, False)


def test_the_printed_table_comes_back_filled(run: Run, trip: Path) -> None:
    blank = trip.parent / "walk.csv"
    assert run("--blank", str(blank), "--lines", "2")[0] == 0
    with blank.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["stop"] for row in rows] == ["P01", "P01", "P02", "P02"]
    rows[0] |= {"start": "05:08", "end": "05:14", "bird": "B20", "reading_deg": "038"}
    rows[1] |= {"reading_deg": "400"}
    rows[2] |= {"start": "05:20", "end": "05:26", "heard": "no"}
    with blank.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    code, out, err = run("--from", str(blank))
    assert code == 2, "a refused row must not go unseen by a script"
    assert "P01 B20: compass read 038, true 035" in out
    assert "walk.csv row 3: reading 400 is not a bearing" in err
    assert "3 new" in out
    assert len(ledger(trip, "sightings_now")) == 1
    assert sorted(ledger(trip, "visits_now")["heard"]) == [False, True]
    again = run("--from", str(blank))[1]
    assert "0 new, 0 mended by their lines, 3 there already" in again
    text = blank.read_text(encoding="utf-8").replace(",400,", ",086,").replace(",038,", ",039,")
    blank.write_text(text, encoding="utf-8")
    code, out, _ = run("--from", str(blank))
    assert code == 0
    assert "1 new, 1 mended by their lines, 2 there already" in out
    assert sorted(ledger(trip, "sightings_now")["reading_deg"]) == [39.0, 86.0]
    assert run("--blank", str(blank))[0] == 2, "a table that may hold notes is never written over"


def test_two_people_with_a_table_each_do_not_correct_each_other(run: Run, trip: Path) -> None:
    for name, reading in (("anna.csv", "038"), ("bert.csv", "120")):
        table = trip.parent / name
        run("--blank", str(table))
        lines = table.read_text(encoding="utf-8-sig").splitlines()
        cells = next(csv.reader([lines[1]]))
        row = dict(zip(lines[0].split(","), cells, strict=True)) | {"start": "05:10", "reading_deg": reading}
        with table.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, row)
            writer.writeheader()
            writer.writerow(row)
        assert run("--from", str(table))[0] == 0
    assert sorted(ledger(trip, "sightings_now")["reading_deg"]) == [38.0, 120.0]


def test_logs_in_a_table_go_on_from_the_last_number(run: Run, trip: Path) -> None:
    run("log3", "fresh", "--at", "47.38, -90.35")
    assert run("--blank", str(trip.parent / "logs.csv"), "--logs")[0] == 0
    assert (trip.parent / "logs.csv").read_text(encoding="utf-8-sig").splitlines()[1].split(",")[1] == "LOG04"


def test_a_compass_that_is_set_to_true_north(run: Run, trip: Path) -> None:
    text = trip.read_text(encoding="utf-8")
    trip.write_text(text + '\n[walker]\ncompass = "true"\n', encoding="utf-8")
    assert "set to true north read 085, true 085" in run("p1", "085", "05:12", "--day", "2027-04-24")[1]
    assert "compass read 085, true 082" in run("p1", "085m", "05:13", "--day", "2027-04-24")[1]
    run("--blank", str(trip.parent / "walk.csv"))
    assert ",T,usual," in (trip.parent / "walk.csv").read_text(encoding="utf-8-sig").splitlines()[1]


def test_the_demo_table(run: Run, trip: Path, demo_folder: Path) -> None:
    code, out, _ = run("--from", str(demo_folder / "bearings.csv"))
    assert code == 0
    assert "23 bearings, 11 visits; 0 refused" in out
    assert "34 new" in out
    assert "0 new" in run("--from", str(demo_folder / "bearings.csv"))[1]
    assert len(ledger(trip, "visits_now")) == 11


def gpx(trip: Path, minor: int, *points: tuple[str, float, float, str]) -> Path:
    path = trip.parent / f"tracks{minor}.gpx"
    said = "\n".join(POINT.format(name=n, lon=x, lat=y, utc=t) for n, x, y, t in points)
    path.write_text(GPX.format(minor=minor, points=said), encoding="utf-8")
    return path


@pytest.mark.parametrize("minor", [0, 1])
def test_waypoints_and_tracks(run: Run, trip: Path, minor: int) -> None:
    path = gpx(
        trip,
        minor,
        ("P01 B2 085M", -90.3526, 47.3784, "10:12"),
        ("P02 NIL", -90.3537, 47.3808, "10:25"),
        ("017", -90.3526, 47.3784, "10:13"),
        ("LOG3 FRESH", -90.3511, 47.3805, "15:02"),
        ("P01", -90.352598, 47.378401, "10:08"),
        ("CAR", -90.3494, 47.3797, "09:30"),
        ("HOME", -90.0, 47.0, "01:00"),
    )
    code, out, err = run("--from", str(path), "--name", "HOME=-")
    assert code == 2
    assert "P01 B2: compass read 085, true 082" in out
    assert "'017': the name follows no rule" in err
    assert err.count("refused:") == 1, "the plan's own stops and car are no notes, and no faults"
    assert "4 new" in out
    code, out, _ = run("--from", str(path), "--name", "HOME=-", "--name", "017=P01 B7 120T FAR")
    assert code == 0
    assert "1 new, 0 mended by their lines, 4 there already" in out
    assert sorted(ledger(trip, "sightings_now")["azimuth_deg"].round(1)) == [82.3, 120.0]
    assert list(ledger(trip, "sessions_now")["session"]) == ["walk"]
    assert list(ledger(trip, "logs_now")["name"]) == ["LOG03"]


def test_the_line_of_the_plan_is_not_taken_for_a_walk(run: Run, trip: Path) -> None:
    points = "".join(
        f'<trkpt lat="{y}" lon="{x}"><time>2027-04-24T{int(t[:2]) + 5:02d}{t[2:]}:00Z</time></trkpt>'
        for _, x, y, t in PLANNED
    )
    path = trip.parent / "back.gpx"
    head = '<gpx version="1.1" creator="receiver" xmlns="http://www.topografix.com/GPX/1/1">'
    path.write_text(f"{head}<trk><name>TRACK</name><trkseg>{points}</trkseg></trk></gpx>", encoding="utf-8")
    code, out, _ = run("--from", str(path))
    assert code == 0
    assert "no note; 0 refused, 1 left blank" in out
    assert not (trip.parent / "notes.gpkg").exists()


def test_one_bad_file_lets_nothing_in(run: Run, trip: Path, demo_folder: Path) -> None:
    bomb = trip.parent / "bomb.gpx"
    bomb.write_text('<!DOCTYPE gpx [<!ENTITY a "b">]><gpx>&a;</gpx>', encoding="utf-8")
    code, _, err = run("--from", str(demo_folder / "bearings.csv"), "--from", str(bomb))
    assert code == 2
    assert "document type or entities" in err
    assert not (trip.parent / "notes.gpkg").exists()


@pytest.mark.skipif(sys.platform == "win32", reason="a terminal to answer from is made the Unix way")
def test_unknown_names_are_asked_where_somebody_can_answer(trip: Path) -> None:
    path = gpx(trip, 1, ("017", -90.3526, 47.3784, "10:13"), ("018", -90.3526, 47.3784, "10:14"))
    mine, theirs = os.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "hushwalk", "note", str(trip), "--from", str(path)],
        stdin=theirs,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as asked:
        os.close(theirs)
        os.write(mine, b"what?\nb2 085m\n\n")  # no rule; the stop nearby is understood; Enter leaves 018 out
        out, err = asked.communicate(timeout=120)
        os.close(mine)
    assert asked.returncode == 0, err
    assert "m from P01" in out
    assert "that follows no rule" in out
    assert "1 bearing, 1 session; 0 refused, 1 left blank" in out
    (row,) = ledger(trip, "sightings_now").to_dict("records")
    assert (row["stop"], row["bird"], row["reading_deg"]) == ("P01", "B2", 85.0)


def test_the_trip_may_be_left_out_in_its_folder(
    trip: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(trip.parent)
    main(["note", "p1", "nil"])
    main(["note"])
    assert "P01: nothing heard" in capsys.readouterr().out
    monkeypatch.chdir(trip.parent / "out")
    for words, said in ((["p1", "nil"], "comes first"), (["north_ridge"], "comes first"), ([], "no trip file")):
        with pytest.raises(SystemExit) as end:
            main(["note", *words])
        assert end.value.code == 2
        assert said in capsys.readouterr().err


def test_the_folder_of_the_trip_will_do(trip: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["note", str(trip.parent), "p1", "nil"])
    main(["note", str(trip.parent)])
    assert "P01: nothing heard" in capsys.readouterr().out


def test_a_table_saved_anew_with_other_dates_and_times_is_the_same_table(
    run: Run, trip: Path, demo_folder: Path
) -> None:
    text = (demo_folder / "bearings.csv").read_text(encoding="utf-8-sig")
    (trip.parent / "first.csv").write_text(text, encoding="utf-8")
    assert "34 new" in run("--from", str(trip.parent / "first.csv"))[1]
    rows = list(csv.DictReader(text.splitlines()))
    for row in rows:
        row |= {"date": "4/23/2027", "start": f"{row['start']}:00 AM".lstrip("0"), "end": f"{row['end']}:00 AM"}
        row["reading_deg"] = row["reading_deg"].lstrip("0")
    with (trip.parent / "second.csv").open("w", encoding="utf-16", newline="") as file:
        writer = csv.DictWriter(file, rows[0], delimiter="\t")
        writer.writeheader()
        writer.writerows(rows)
    code, out, _ = run("--from", str(trip.parent / "second.csv"))
    assert code == 0
    assert "0 new, 0 mended by their lines, 34 there already" in out
    rows[0]["reading_deg"] = "40"
    with (trip.parent / "second.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0], delimiter=";")
        writer.writeheader()
        writer.writerows(rows)
    assert "0 new, 1 mended by their lines, 33 there already" in run("--from", str(trip.parent / "second.csv"))[1]


def test_a_place_that_can_hardly_be_is_doubted_and_kept(run: Run, trip: Path) -> None:
    code, _, err = run("log3", "fresh", "--at", "47.3784, 90.3526")  # the sign of the longitude forgotten
    assert code == 0
    assert "km from the car: is a sign or a digit wrong?" in err
    path = gpx(trip, 1, ("P02 B2 085M", -90.352598, 47.378401, "10:12"))  # stored at P01
    code, _, err = run("--from", str(path))
    assert code == 0
    # 270.8 m north and 84.8 m east between the two stops
    assert re.search(r"a note of P02 lies 28\d m from that stop", err)
    assert run("p1", "nil", "--at", "47.3785, -90.3527")[2] == ""


def test_a_stop_of_another_days_plan_is_doubted(run: Run, demo_folder: Path) -> None:
    assert "those of the plan for 24 April 2027" in run("p1", "085", "05:12", "--day", "2027-04-20")[2]
    assert "those of the plan" not in run("p1", "085", "05:12", "--day", "2027-04-24")[2]
    assert "those of the plan" not in run("--from", str(demo_folder / "bearings.csv"))[2]  # a table holds its places


def test_the_list_reminds_of_stops_passed_in_silence(run: Run) -> None:
    run("p2", "085", "05:22", "--day", "2027-04-24")
    assert "nothing is noted of P01" in run()[1]
    assert "nothing is noted of" not in run("--day", "2027-04-25")[1]
    run("p1", "nil", "05:10", "--day", "2027-04-24")
    assert "nothing is noted of" not in run()[1]
