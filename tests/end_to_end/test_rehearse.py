"""The planned demo, played: from its summary to words, picture and figures."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from hushwalk.cli import hushwalk
from hushwalk.errors import InputError, MissingFileError
from hushwalk.morning.chosen_way import FLAT
from hushwalk.morning.report import Report
from hushwalk.outputs.walk.walk_data import summary_text

pytestmark = pytest.mark.xdist_group("plan of the demo")


@pytest.fixture(scope="module")
def summary(demo_report: Report, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("plan") / "summary.json"
    path.write_text(summary_text(demo_report), encoding="utf-8")
    return path


def test_the_demo_is_rehearsed(summary: Path, demo_folder: Path) -> None:
    words = ["rehearse", str(demo_folder / "trip.toml"), "--plan", str(summary), "--days", "60", "--bearings", "1"]
    said = CliRunner().invoke(hushwalk, words)
    assert said.exit_code == 0, said.output
    assert "the day played 60 times" in said.stdout
    assert "1 mornings played" in said.stdout
    told = json.loads((summary.parent / "rehearsal.json").read_text(encoding="utf-8"))
    plan = json.loads(summary.read_text(encoding="utf-8"))
    assert told["stops"] == len(plan["stops"])
    assert 0.5 < told["a_day"]["heard"]["mean"] / plan["males"]["expected"] < 1.5
    assert told["on_time"] >= 0.9
    assert (summary.parent / "rehearsal.svg").read_text(encoding="utf-8").startswith("<svg")
    again = CliRunner().invoke(hushwalk, [*words, "--json"])
    assert json.loads(again.stdout) == told


def test_a_plan_that_is_not_there_or_of_another_day_is_refused(summary: Path, demo_folder: Path) -> None:
    trip = str(demo_folder / "trip.toml")
    gone = CliRunner().invoke(hushwalk, ["rehearse", trip, "--plan", str(summary.parent / "none.json")])
    assert isinstance(gone.exception, MissingFileError)
    other = json.loads(summary.read_text(encoding="utf-8")) | {"date": "2027-05-01"}
    wrong = summary.parent / "other.json"
    wrong.write_text(json.dumps(other), encoding="utf-8")
    refused = CliRunner().invoke(hushwalk, ["rehearse", trip, "--plan", str(wrong)])
    assert isinstance(refused.exception, InputError)
    assert "2027-05-01" in str(refused.exception)


def test_the_demo_is_planned_for_the_way_that_finds_most(demo_report: Report) -> None:
    assert demo_report.closing is not None
    working = demo_report.closing.working
    worth = {way.closing_in_min: way.chances.worth for way in working.compared}
    assert len(worth) > 2
    assert worth[working.kept_free_s / 60] >= max(worth.values()) - FLAT
    heard = [way.males for way in working.compared]
    assert heard == sorted(heard, reverse=True)  # time kept free is taken from listening


def test_the_report_says_what_to_expect(summary: Path) -> None:
    plan = json.loads(summary.read_text(encoding="utf-8"))
    day, ways = plan["day"], plan["closing_in"]["compared"]
    assert sum(day["chance_heard"].values()) == pytest.approx(1.0, abs=0.002)
    assert 0 < day["chance_log_found"] <= min(1.0, day["a_day"]["found"]["mean"] + 1e-9)
    assert day["closing_in_minutes"] == plan["closing_in"]["kept_free_minutes"]
    assert {way["closing_in_minutes"] for way in ways} >= {0.0, 30.0, 60.0}
    assert all(way["a_day"]["disturbed"]["mean"] > 0 for way in ways), "one walks by birds without closing in, too"
    assert day["words"]
