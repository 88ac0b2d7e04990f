"""`hushwalk gather` as it is typed: dry run, probe, faults, a square and a region."""

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from werkzeug import Request, Response

from hushwalk.cli import hushwalk
from hushwalk.gather import dry_run
from hushwalk.regions.region_file import read_area_file
from hushwalk.site.trip_file import read_trip

Start = Callable[..., Any]
ODD = "ü" if sys.getfilesystemencoding() == "utf-8" else "u"  # what the names of files can hold here
HOUR = {"values": [{"validTime": "2027-04-25T08:00:00+00:00/PT8H", "value": 18.0}]}


def answers(request: Request) -> Response:
    """The two answers of the weather service, as short as they can be."""
    if "/points/" in request.path:
        return Response('{"properties": {"forecastGridData": "https://api.weather.gov/gridpoints/DLH/100,60"}}')
    return Response(json.dumps({"properties": {"updateTime": "2027-04-24T18:00:00+00:00", "windSpeed": HOUR}}))


def typed(*words: str) -> Result:
    return CliRunner().invoke(hushwalk, ["gather", *words])


def test_a_dry_run_prints_addresses_and_weights_and_asks_nobody(services_at: Start, tmp_path: Path) -> None:
    server = services_at("us")
    said = typed(str(tmp_path / "trip"), "--car", "47.62, -91.70", "--dry-run")
    assert said.exit_code == 0
    assert "USGS_13_n48w092.tif" in said.output
    assert "bbox=" in said.output
    assert "if that fails: NLCD" in said.output
    assert "nothing was asked" in said.output
    assert not server.asked
    assert not (tmp_path / "trip").exists()


def test_a_square_becomes_a_trip_and_a_region_an_area_file(services_at: Start, tmp_path: Path) -> None:
    services_at("ca")
    only, folder = ("--only", "elevation", "--only", "cover", "--only", "roads"), tmp_path / f"trip {ODD}"
    said = typed(str(folder), "--car", "50.0, -115.0", "--reach", "400", "--date", "2027-05-02", *only)
    assert said.exit_code == 0, said.output
    settings = read_trip(folder / "trip.toml")
    assert (settings.place.car, settings.morning.date.isoformat()) == ("50.000000, -115.000000", "2027-05-02")
    assert [layer.kind for layer in settings.layers] == ["elevation", "cover", "roads"]
    assert settings.ground.reach_m == 400.0
    assert "© OpenStreetMap contributors" in said.output
    assert "absence of a closure is never permission to enter" in said.output
    said = typed(str(tmp_path / "region"), "--region", "-115.02,49.99,-114.98,50.01", "--name", "Made region", *only)
    assert said.exit_code == 0, said.output
    assert read_area_file(tmp_path / "region" / "areas.toml").region.name == "Made region"


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ((), "say where: --car"),
        (("--car", "47.62, -91.70", "--region", "1,2,3,4"), "one of the two"),
        (("--region", "1,2,3"), "must be four numbers"),
        (("--region", "-91,48,-92,47"), "must be west, south, east, north"),
        (("--region", "-100,40,-90,47"), "at most 320 km are gathered at once"),
        (("--car", "somewhere"), "somewhere"),
        (("--car", "47.62, -91.70", "--only", "hills"), "no layer hills is gathered here"),
    ],
)
def test_a_fault_is_one_message_and_nothing_is_asked(
    services_at: Start, tmp_path: Path, words: tuple[str, ...], fault: str
) -> None:
    server = services_at("us")
    said = typed(str(tmp_path / "trip"), *words)
    assert fault in f"{said.output} {said.exception}"
    assert not server.asked


def test_without_heights_the_command_says_so_by_its_exit_code(services_at: Start, tmp_path: Path) -> None:
    server = services_at("se")
    server.fault("", lambda _: Response("gone", status=404))
    said = typed(str(tmp_path / "trip"), "--car", "60.5, 15.5", "--reach", "300")
    assert said.exit_code == 2
    assert "no plan can be made without heights" in said.output
    assert (tmp_path / "trip" / "sources.json").is_file()


def test_a_probe_asks_each_service_once_and_says_which_answer(
    services_at: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    server = services_at("us")
    here = {key: one for key, one in dry_run.services().items() if one.example == (47.62, -91.7)}
    monkeypatch.setattr(dry_run, "services", lambda: here)
    server.fault("nhd/MapServer/9", lambda _: Response("gone", status=404))
    server.fault("index-v1.json", lambda _: Response('{"features": []}'))
    server.fault("weather.gov", answers)
    said = typed("--probe")
    lines = {line.split()[1]: line for line in said.output.splitlines()}
    assert said.exit_code == 1
    assert lines["nhd_areas"].startswith("FAILED")
    assert {key for key, line in lines.items() if line.startswith("good")} >= {
        "glo30",
        "annual_nlcd",
        "osm",
        "padus_closed",
        "nws",
        "osm_extract",
    }
    assert "cells in EPSG:5070, 100% known" in lines["annual_nlcd"]
