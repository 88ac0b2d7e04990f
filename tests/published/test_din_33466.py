"""Height off trails against the German rule for walking times on signposts: 300 m up and 500 m down an hour.

DIN 33466:2003, from memory; the tracks are those of test_gps_tracks_with_times.py.
"""

from itertools import pairwise

import gpxpy
import numpy as np
import pytest

from hushwalk.science.gait import gait_named, pace_functions

UP_M_AN_HOUR, DOWN_M_AN_HOUR = 300.0, 500.0


@pytest.mark.parametrize("name", sorted(pace_functions()))
def test_nobody_climbs_or_drops_faster_off_trails_than_the_rule_allows(name: str) -> None:
    slopes = np.linspace(0.02, 1.2, 60)
    gait = gait_named(name)
    up = 3600 * slopes / gait.off_path_seconds_per_metre(slopes)
    down = 3600 * slopes / gait.off_path_seconds_per_metre(-slopes)
    assert up.max() <= UP_M_AN_HOUR * (1 + 1e-9)
    assert down.max() <= DOWN_M_AN_HOUR * (1 + 1e-9)


def test_on_even_ground_the_rule_takes_nothing() -> None:
    gait = gait_named("irmischer_clarke_off_path")
    assert gait.off_path_seconds_per_metre(0.0) == gait.off_path.seconds_per_metre(0.0)


@pytest.mark.real_layers
def test_off_trails_no_real_climb_is_planned_quicker_than_it_was_walked_on_a_path(shared_data) -> None:
    with (shared_data / "tracks" / "korita-zbevnica.gpx").open(encoding="utf-8") as file:
        track = next(t for t in gpxpy.parse(file).tracks if t.name == "ACTIVE LOG")  # 2.3 km, 217 m up, 0.84 h moving
    points = [p for segment in track.segments for p in segment.points]
    along = np.r_[0, np.cumsum([a.distance_2d(b) for a, b in pairwise(points)])]
    marks = np.linspace(0, along[-1], int(along[-1] / 50) + 1)
    run, rise = np.diff(marks), np.diff(np.interp(marks, along, [p.elevation for p in points]))
    gait = gait_named("irmischer_clarke_off_path")
    planned_h = float(np.sum(run * gait.off_path_seconds_per_metre(rise / run))) / 3600
    assert planned_h > 0.84
    assert planned_h < 2 * 0.84
