"""Tracks cut into pieces that were walked: a walker of known pace, stops, pauses, jumps, and real tracks."""

import gpxpy
import numpy as np
import pytest

from hushwalk.grid.points import to_metres
from hushwalk.walking.track_pieces import walked_pieces


def track(speeds_ms: list[tuple[float, float]], step_s: float = 5.0, wander_m: float = 0.0) -> tuple:
    """Walk east: a list of (seconds, speed), with a receiver that wanders."""
    clock = np.arange(0, sum(seconds for seconds, _ in speeds_ms) + step_s / 2, step_s)
    ends = np.cumsum([0.0, *(seconds for seconds, _ in speeds_ms)])
    along = np.cumsum([0.0, *(seconds * speed for seconds, speed in speeds_ms)])
    x = np.interp(clock, ends, along)
    xy = np.stack([x, np.zeros_like(x)], axis=1)
    return xy + wander_m * np.random.default_rng(2).standard_normal(xy.shape), clock


def speed(pieces) -> float:
    return float(pieces.length_m.sum() / pieces.seconds.sum())


def test_a_walker_of_known_pace() -> None:
    pieces = walked_pieces(*track([(1200.0, 1.1)]))
    assert speed(pieces) == pytest.approx(1.1, rel=0.01)
    assert pieces.length_m.sum() > 1200
    assert pieces.length_m == pytest.approx(50.0, abs=5)


def test_stops_are_cut_out_even_where_the_receiver_wanders() -> None:
    walk = track([(600.0, 1.0), (480.0, 0.0), (600.0, 1.0), (1200.0, 0.0)], wander_m=3.0)
    pieces = walked_pieces(*walk)
    assert speed(pieces) == pytest.approx(1.0, rel=0.07)
    assert pieces.seconds.sum() < 1250


def test_the_slow_steps_of_a_search_still_count() -> None:
    assert speed(walked_pieces(*track([(1800.0, 0.42)]))) == pytest.approx(0.42, rel=0.02)


def test_what_happened_in_a_gap_is_not_known() -> None:
    xy, at = track([(600.0, 1.0), (1800.0, 0.5), (600.0, 1.0)])
    kept = (at < 600) | (at > 2400)
    assert speed(walked_pieces(xy[kept], at[kept])) == pytest.approx(1.0, rel=0.01)


def test_jumps_and_points_that_go_back_in_time_are_dropped() -> None:
    xy, at = track([(1200.0, 1.1)])
    xy[60] += 400.0
    at[100] = at[90]
    assert speed(walked_pieces(xy, at)) == pytest.approx(1.1, rel=0.02)


def test_a_ride_is_no_walk() -> None:
    assert len(walked_pieces(*track([(600.0, 12.0)])).seconds) == 0


@pytest.mark.parametrize("points", [0, 1, 2])
def test_next_to_nothing_gives_nothing(points: int) -> None:
    assert len(walked_pieces(np.zeros((points, 2)), np.arange(points, dtype=float)).seconds) == 0


MOVING_H = {  # file, track: moving time in hours, as said by the tracks' own SOURCES.md (steps faster than 1 km/h)
    ("korita-zbevnica.gpx", "ACTIVE LOG"): 0.84,
    ("korita-zbevnica.gpx", "ACTIVE LOG #2"): 1.13,
    ("cerknicko-jezero.gpx", "ACTIVE LOG #2"): 0.46,
}


@pytest.mark.real_layers
@pytest.mark.parametrize(("file", "name"), MOVING_H)
def test_real_tracks_lose_their_stops(shared_data, file: str, name: str) -> None:
    with (shared_data / "tracks" / file).open(encoding="utf-8") as opened:
        own = next(one for one in gpxpy.parse(opened).tracks if one.name == name)
    points = [point for segment in own.segments for point in segment.points]
    xy = to_metres(32633, np.array([(point.longitude, point.latitude) for point in points]))
    at = np.array([(point.time - points[0].time).total_seconds() for point in points])
    pieces = walked_pieces(xy, at)
    moving_s = 3600 * MOVING_H[file, name]
    assert pieces.seconds.sum() / moving_s == pytest.approx(1.0, abs=0.1)
    assert 0.6 < speed(pieces) < 1.2
