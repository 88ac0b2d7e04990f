import itertools
from dataclasses import replace

import gpxpy
import numpy as np
import pyogrio
import pytest
from pyproj import Geod

from hushwalk.morning.report import LeaveOut, Report, Robustness
from hushwalk.outputs.walk.gpx import GpxLimits, clean, gpx_text, short_name, split, straightened


def test_names_are_short_unique_and_plain(report: Report) -> None:
    said = gpxpy.parse(gpx_text(report))
    names = [point.name for point in said.waypoints]
    assert names == ["CAR", "P01", "P02", "P03", "P04", "P05"]
    route = said.routes[0].points
    assert [point.name for point in route if point.name] == ["CAR", "P01", "P02", "P03", "P04", "P05", "CAR"]
    assert len(route) > 7  # the bends between them have no name, so that no receiver announces them
    assert "face 108 compass" in said.waypoints[1].comment
    assert said.waypoints[3].comment.startswith("05:36-05:42 all round")


def test_a_waypoint_tells_the_way_on_with_all_that_waits_on_it(report: Report) -> None:
    legs = tuple(replace(leg, on_trail_share=0.96, fords=1, bridges=1) for leg in report.legs)
    said = gpxpy.parse(gpx_text(replace(report, legs=legs)))
    for point, leg in zip(said.waypoints, legs, strict=True):
        assert f"then to {leg.end}: {leg.length_m:.0f} m, {leg.minutes:.0f} min" in point.description
        assert "96 % on trail or road; wade 1 stream; 1 stream crossed on the trail, look for the bridge" in (
            point.description
        )


def test_two_independent_readers_find_the_same_places(report: Report, tmp_path) -> None:
    path = tmp_path / "walk.gpx"
    path.write_text(gpx_text(report), encoding="utf-8")
    first = [(point.longitude, point.latitude) for point in gpxpy.parse(path.read_text("utf-8")).waypoints]
    second = pyogrio.read_dataframe(path, layer="waypoints")
    spots = [report.car, *(stop.place for stop in report.stops)]
    for (lon, lat), shape, spot in zip(first, second.geometry, spots, strict=True):
        for x, y in ((lon, lat), (shape.x, shape.y)):
            assert abs(Geod(ellps="WGS84").inv(x, y, spot.lon_deg, spot.lat_deg)[2]) < 0.2


def test_times_are_planned_in_utc_and_never_run_back(report: Report) -> None:
    said = gpxpy.parse(gpx_text(report))
    assert said.waypoints[1].time.isoformat() == "2027-04-24T10:02:15+00:00"
    times = [point.time for track in said.tracks for part in track.segments for point in part.points]
    assert times == sorted(times)
    assert times[0] == report.depart
    assert times[-1] == report.back


def test_the_track_keeps_to_the_walk(report: Report) -> None:
    said = gpxpy.parse(gpx_text(report))
    length = sum(track.length_2d() for track in said.tracks)
    assert length == pytest.approx(report.length_m, rel=0.004)


@pytest.mark.parametrize("most", [5, 20])
def test_long_routes_and_tracks_are_split_with_shared_ends(report: Report, most: int) -> None:
    said = gpxpy.parse(gpx_text(report, GpxLimits(route_points=most, track_points=most)))
    assert max(len(route.points) for route in said.routes) <= most
    parts = [track.segments[0].points for track in said.tracks]
    assert max(map(len, parts)) <= most
    for before, after in itertools.pairwise(parts):
        assert (before[-1].latitude, before[-1].longitude) == (after[0].latitude, after[0].longitude)
    assert len({track.name for track in said.tracks}) == len(said.tracks)


def test_split_loses_nothing() -> None:
    for n in range(2, 30):
        for most in range(2, 9):
            parts = split(list(range(n)), most)
            assert [x for k, part in enumerate(parts) for x in part[(k > 0) :]] == list(range(n))
            assert max(map(len, parts)) <= most


def test_hostile_words_cannot_break_the_file(naughty_report: Report) -> None:
    worse = replace(naughty_report, title=naughty_report.title + "\x00\x0b\ud800")
    assert gpxpy.parse(gpx_text(worse)).name == "Ridge of Ends </script><b onclick=x>`${1}` & Sons"
    assert clean("a\x00b\tc") == "ab c"
    assert short_name("p-01 é", 3) == "P01"


def test_a_straight_line_needs_its_ends_only() -> None:
    line = np.c_[np.linspace(0, 100, 30), np.zeros(30)]
    assert straightened(line, 1.0).tolist() == [[0, 0], [100, 0]]
    assert len(straightened(line + np.c_[np.zeros(30), 9 * np.sin(np.arange(30))], np.inf)) == 2


def test_a_morning_without_stops_is_still_a_file(report: Report) -> None:
    bare = replace(report, stops=(), legs=())
    said = gpxpy.parse(gpx_text(bare))
    assert [point.name for point in said.waypoints] == ["CAR"]


def test_a_stop_says_when_to_turn_back_how_long_to_wait_and_which_in_turn_it_is_left_out(report: Report) -> None:
    waiting = replace(report.stops[0], wait_minutes=4.0)
    order = tuple(LeaveOut(stop.place.name, 0.1) for stop in reversed(report.stops))
    changed = replace(
        report, stops=(waiting, *report.stops[1:]), robustness=Robustness(report.stops[0].latest_leave, (), order)
    )
    read = gpxpy.parse(gpx_text(changed))
    said = next(point.comment for point in read.waypoints if point.name == waiting.place.name)
    assert f"turn back by {waiting.latest_leave:%H:%M}" in said
    assert "wait 4 min first" in said
    assert f"leave out as no. {len(order)} of {len(order)}" in said
    assert said.startswith(f"{waiting.arrive:%H:%M}-{waiting.leave:%H:%M} ")
