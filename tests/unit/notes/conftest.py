"""A notebook with two stops planned, for every test of the room."""

import json
from pathlib import Path

import pytest

from hushwalk.notes.notebook import Notebook, open_ledger
from hushwalk.site.starter import write_starter


@pytest.fixture
def trip(tmp_path: Path) -> Path:
    """A trip whose plan has the stops P01 and P02 on 25 April 2027."""
    path = write_starter(tmp_path)
    hours = {"arrive": "2027-04-25T06:00:00-05:00", "leave": "2027-04-25T06:05:00-05:00"}
    stops = [{"name": f"P0{k}", "lon_deg": -91.7, "lat_deg": 47.62 + k / 200} | hours for k in (1, 2)]
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "summary.json").write_text(json.dumps({"stops": stops}), encoding="utf-8")
    return path


@pytest.fixture
def book(trip: Path) -> Notebook:
    """The notebook of that trip, with nothing noted yet."""
    return open_ledger(trip)
