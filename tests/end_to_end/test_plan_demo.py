"""The main job on the embedded demo, from the command line to the files in the hand."""

import json
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
import shapely

from hushwalk.errors import SettingsError
from hushwalk.morning.replan import replan
from hushwalk.morning.report import Report
from hushwalk.morning.solved_plan import RunParams
from hushwalk.morning.straight_back import TooLateError
from hushwalk.notes.planned_walk import read_walk
from hushwalk.outputs.walk.walk_data import summary_text
from hushwalk.site.trip_file import read_trip
from hushwalk.wording.plan_words import summary_words
from hushwalk.wording.straight_back_words import straight_back_words

pytestmark = pytest.mark.xdist_group("plan of the demo")  # its report takes half a minute and is made once
QUICK = RunParams(search_s=None, iterations=1500, proof_s=0.0)


@pytest.fixture(scope="module")
def report(demo_report: Report) -> Report:
    return demo_report


def test_one_is_back_in_time(report: Report) -> None:
    morning = report.settings.morning
    assert report.back.time() <= morning.back_by
    assert report.back.date() == morning.date
    assert report.depart < report.stops[0].arrive
    assert report.length_m <= morning.longest_walk_km * 1000


def test_the_timetable_has_no_gaps_and_never_runs_backwards(report: Report) -> None:
    assert len(report.legs) == len(report.stops) + 1
    assert report.legs[0].start == report.legs[-1].end == "CAR"
    for leg, stop in zip(report.legs, report.stops, strict=False):
        assert leg.end == stop.place.name
        assert leg.depart <= leg.arrive == stop.arrive <= stop.leave
    least = timedelta(minutes=report.settings.morning.minutes_per_stop_min)
    assert all(stop.leave - stop.arrive >= least for stop in report.stops)


def test_every_leg_begins_and_ends_where_it_says(report: Report) -> None:
    spots = {"CAR": report.car.xy_m, **{stop.place.name: stop.place.xy_m for stop in report.stops}}
    for leg in report.legs:
        assert np.hypot(*(leg.line_m[0] - spots[leg.start])) < 2 * report.grid.cell_m
        assert np.hypot(*(leg.line_m[-1] - spots[leg.end])) < 2 * report.grid.cell_m


def test_no_leg_touches_closed_ground_or_wades_open_water_off_trails(report: Report) -> None:
    closed = shapely.union_all(report.country.closed)
    water = shapely.union_all(report.country.water).buffer(-report.grid.cell_m)
    ways = shapely.union_all([*report.country.trails, *report.country.roads]).buffer(2 * report.grid.cell_m)
    assert closed.area > 0
    assert water.area > 0
    for leg in report.legs:
        line = shapely.LineString(leg.line_m)
        assert not line.intersects(closed.buffer(-1))
        assert shapely.difference(line, ways).intersection(water).length == 0


def test_before_civil_dawn_nobody_is_far_off_a_trail(report: Report) -> None:
    assert not report.settings.morning.off_trail_in_the_dark
    dawn = report.sun.civil_dawn
    assert dawn is not None
    dark = [leg for leg in report.legs if leg.arrive <= dawn]
    ways = shapely.union_all([*report.country.trails, *report.country.roads]).buffer(60)
    assert dark
    for leg in dark:
        assert shapely.difference(shapely.LineString(leg.line_m), ways).length == 0


def test_the_gains_of_the_stops_add_up_to_the_males_expected(report: Report) -> None:
    assert sum(stop.males_expected for stop in report.stops) == pytest.approx(report.males.expected, rel=1e-6)
    assert report.males.low < report.males.expected < report.males.high
    assert report.males.pessimistic < report.males.middle < report.males.focal
    assert report.listening is not None
    mean = sum(level.weight * getattr(report.males, level.evidence) for level in report.listening.levels)
    assert report.males.expected == pytest.approx(mean, rel=0.01)


def test_stops_keep_off_ground_that_probably_holds_a_log(report: Report) -> None:
    stand_off_m = report.settings.walker.stand_off_m
    density, grid = report.country.density_per_km2, report.grid
    rows, cols = np.indices(grid.shape)
    centres = grid.xy(rows.ravel(), cols.ravel())
    for stop in report.stops:
        near = np.hypot(*(centres - np.array(stop.place.xy_m)).T) <= stand_off_m
        logs = np.nansum(density.values.ravel()[near]) * grid.cell_area_km2
        assert 1 - np.exp(-logs) <= 0.11


def test_the_plan_hears_more_than_the_plain_walk(report: Report) -> None:
    assert report.plain.males_expected > 0
    assert report.males.expected > report.plain.males_expected


def test_the_summary_tells_what_a_tired_person_asks(report: Report) -> None:
    said = summary_words(report)
    for word in ("leave the car", "first stop", "sunrise", "stops", "km", "back at the car", "males expected", "plain"):
        assert word in said


def test_the_rest_of_the_walk_is_planned_from_the_stop_where_one_stands(
    report: Report, demo_folder: Path, tmp_path: Path
) -> None:
    (tmp_path / "summary.json").write_text(summary_text(report), encoding="utf-8")
    walk = read_walk(tmp_path / "summary.json")
    assert [stop.name for stop in walk] == [stop.place.name for stop in report.stops]
    settings, third = read_trip(demo_folder / "trip.toml"), report.stops[2]
    late = (third.leave + timedelta(minutes=25)).time()
    rest = replan(settings, walk, third.place.name, late, QUICK)
    assert rest.legs[0].start == "P03"
    assert [stop.number for stop in rest.stops] == list(range(4, 4 + len(rest.stops)))
    assert rest.stops[0].arrive.time() >= late
    assert rest.back.time() <= settings.morning.back_by
    assert 0 < rest.males.expected < report.males.expected
    made = np.array([stop.place.xy_m for stop in report.stops[:3]])
    assert all(np.hypot(*(made - np.array(stop.place.xy_m)).T).min() > 100 for stop in rest.stops)
    assert "times as many" not in summary_words(rest)
    with pytest.raises(SettingsError, match="no stop 'P99'"):
        replan(settings, walk, "P99", late, QUICK)
    with pytest.raises(TooLateError, match="go straight back") as too_late:
        replan(settings, walk, "P03", settings.morning.back_by, QUICK)
    way, third_m = too_late.value.way, np.array(report.stops[2].place.xy_m)
    east, north = np.array(report.car.xy_m) - third_m
    grid_deg = float(np.degrees(np.arctan2(east, north)))
    turned = grid_deg + report.north.convergence_deg - report.north.declination_deg
    assert way.magnetic_deg == pytest.approx(turned % 360, abs=0.5)
    assert way.away_m == pytest.approx(float(np.hypot(east, north)), abs=2)
    assert way.back > way.due
    assert straight_back_words(way).startswith("Straight back now: ")


def test_the_command_writes_every_file_and_nothing_else(demo_folder: Path, tmp_path: Path) -> None:
    said = subprocess.run(
        [
            *(sys.executable, "-m", "hushwalk", "plan", str(demo_folder / "trip.toml")),
            *("--out", str(tmp_path / "maps"), "--steps", "300", "--proof", "0"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert said.returncode == 0, said.stderr
    names = {path.name for path in (tmp_path / "maps").iterdir()}
    assert {"map.html", "walk.gpx", "walk.geojson", "summary.json"} <= names
    assert any(name.endswith(".pdf") for name in names)
    assert not [name for name in names if name.endswith(".part")]
    assert json.loads((tmp_path / "maps" / "summary.json").read_text(encoding="utf-8"))
    assert "males expected" in said.stdout


@pytest.mark.real_layers
def test_the_trip_of_the_guide_runs_on_real_layers(shared_data: Path, tmp_path: Path) -> None:
    guide = Path(__file__).resolve().parents[2] / "docs" / "guide" / "real_layers" / "trip.toml"
    said = subprocess.run(
        [
            *(sys.executable, "-m", "hushwalk", "plan", str(guide), "--layers", str(shared_data / "areas")),
            *("--out", str(tmp_path), "--steps", "300", "--proof", "0"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert said.returncode == 0, said.stderr
    assert "males expected" in said.stdout
    assert (tmp_path / "map.html").is_file()
