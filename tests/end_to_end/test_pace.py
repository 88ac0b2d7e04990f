"""A track walked on the demo, from GPX to the lines of a trip file."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from hushwalk.cli import hushwalk
from hushwalk.errors import InputError
from hushwalk.grid.points import to_lonlat
from hushwalk.morning.report import Report

pytestmark = pytest.mark.xdist_group("plan of the demo")


def gpx(points: list[tuple[float, float, datetime | None]]) -> str:
    rows = (
        f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}">{f"<time>{at.isoformat()}</time>" if at else ""}</trkpt>'
        for lon, lat, at in points
    )
    body = "".join(rows)
    return f'<gpx xmlns="http://www.topografix.com/GPX/1/1"><trk><name>walk</name><trkseg>{body}</trkseg></trk></gpx>'


@pytest.fixture(scope="module")
def walk(demo_report: Report, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The legs of the plan, walked in as much time as planned, with every stop stood."""
    points: list[tuple[float, float, datetime | None]] = []
    for leg in demo_report.legs:
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(leg.line_m, axis=0).T))])
        seconds = (leg.arrive - leg.depart).total_seconds()
        for second in np.arange(0, seconds, 10.0):
            where = [np.interp(along[-1] * second / seconds, along, leg.line_m[:, k]) for k in (0, 1)]
            lon, lat = to_lonlat(demo_report.grid.epsg, np.array(where)).tolist()
            points.append((lon, lat, (leg.depart + timedelta(seconds=float(second))).astimezone(UTC)))
    path = tmp_path_factory.mktemp("walk") / "walk.gpx"
    path.write_text(gpx(points), encoding="utf-8")
    return path


def test_a_walk_at_the_planned_times_gives_the_reserve_back(walk: Path, demo_folder: Path) -> None:
    said = CliRunner().invoke(hushwalk, ["pace", str(demo_folder / "trip.toml"), str(walk)])
    assert said.exit_code == 0, said.output
    factor = float(said.stdout.split("pace_factor = ")[1].split()[0])
    assert factor == pytest.approx(1.15, abs=0.25)  # a plan is walked 15 % slower than the pace, its reserve
    assert "[walker]" in said.stdout


def test_a_track_without_times_or_elsewhere_is_refused(tmp_path: Path, demo_folder: Path) -> None:
    trip, now = str(demo_folder / "trip.toml"), datetime(2027, 4, 24, 10, tzinfo=UTC)
    untimed = tmp_path / "untimed.gpx"
    untimed.write_text(gpx([(-90.34, 47.38, None), (-90.33, 47.38, None)]), encoding="utf-8")
    refused = CliRunner().invoke(hushwalk, ["pace", trip, str(untimed)])
    assert isinstance(refused.exception, InputError)
    assert "no track has times" in str(refused.exception)
    away = tmp_path / "away.gpx"
    places = [(10.0 + 1e-4 * k, 50.0, now + timedelta(seconds=8 * k)) for k in range(100)]
    away.write_text(gpx(list(places)), encoding="utf-8")
    refused = CliRunner().invoke(hushwalk, ["pace", trip, str(away)])
    assert isinstance(refused.exception, InputError)
    assert "nothing was walked on the ground" in str(refused.exception)
