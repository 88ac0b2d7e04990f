"""The demo that travels along is written out, and the newest page of a trip is found."""

import os
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from hushwalk.cli import hushwalk
from hushwalk.errors import MissingFileError, OutputError
from hushwalk.site.demo_trip import copy_demo
from hushwalk.site.trip_file import read_trip

ROOT = Path(__file__).resolve().parents[3]
ODD = "ü" if sys.getfilesystemencoding() == "utf-8" else "u"  # what the names of files can hold here


def test_the_demo_is_a_trip_of_its_own(tmp_path: Path) -> None:
    trip = copy_demo(tmp_path / f"new demo {ODD}")
    settings = read_trip(trip)
    assert all((settings.folder / layer.path).is_file() for layer in settings.layers)
    assert not list(trip.parent.glob("*.py"))
    with pytest.raises(OutputError, match="is there already"):
        copy_demo(trip.parent)


def test_the_wheel_carries_the_demo() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"] == {"data_demo": "hushwalk/data/demo"}


def test_the_newest_page_is_opened_and_a_trip_without_one_is_said(tmp_path: Path) -> None:
    trip = copy_demo(tmp_path)
    said = CliRunner().invoke(hushwalk, ["open", str(trip), "--print"])
    assert isinstance(said.exception, MissingFileError)
    assert "hushwalk plan" in str(said.exception)
    for day, age_s in (("2027-04-24", 500), ("2027-04-25", 100)):
        page = tmp_path / "out" / day / "map.html"
        page.parent.mkdir(parents=True)
        page.write_text("x", encoding="utf-8")
        os.utime(page, (page.stat().st_mtime - age_s, page.stat().st_mtime - age_s))
    said = CliRunner().invoke(hushwalk, ["open", str(trip), "--print"])
    assert said.output.strip() == (tmp_path / "out" / "2027-04-25" / "map.html").resolve().as_uri()
