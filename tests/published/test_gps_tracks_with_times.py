"""Real GPS tracks of walks with times (gpxpy 1.6.2 test files, Apache-2.0): predicted against true time, nothing tuned.

Moving time counts the steps faster than 1 km/h. The walkers, their loads and their stops are unknown, so the band is
wide; the test prints the table with `pytest -s`. Heights are the receiver's own, read every 50 m along the track.
"""

from itertools import pairwise

import gpxpy
import numpy as np
import pytest

from hushwalk.science.gait import pace_functions

WALKS = {  # file, track: true moving time in hours, as said by the tracks' own SOURCES.md
    ("korita-zbevnica.gpx", "ACTIVE LOG"): 0.84,
    ("korita-zbevnica.gpx", "ACTIVE LOG #2"): 1.13,
    ("cerknicko-jezero.gpx", "ACTIVE LOG #2"): 0.46,
}
HIKING = ["irmischer_clarke_on_path", "campbell_2019_p05", "marquez_perez", "tobler_on_path", "naismith_langmuir"]

pytestmark = pytest.mark.real_layers


def walked(path, name: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    with path.open(encoding="utf-8") as file:
        track = next(t for t in gpxpy.parse(file).tracks if t.name == name)
    points = [p for segment in track.segments for p in segment.points]
    steps_m = np.array([a.distance_2d(b) for a, b in pairwise(points)])
    steps_s = np.array([(b.time - a.time).total_seconds() for a, b in pairwise(points)])
    return steps_m, steps_s, np.array([p.elevation for p in points])


def predicted_h(steps_m: np.ndarray, heights_m: np.ndarray, name: str) -> float:
    along = np.r_[0, np.cumsum(steps_m)]
    marks = np.linspace(0, along[-1], int(along[-1] / 50) + 1)
    run, rise = np.diff(marks), np.diff(np.interp(marks, along, heights_m))
    return float(np.sum(run * pace_functions()[name].seconds_per_metre(rise / run))) / 3600


@pytest.mark.parametrize(("file", "name"), WALKS)
def test_predicted_against_true_moving_time(shared_data, file: str, name: str) -> None:
    steps_m, steps_s, heights_m = walked(shared_data / "tracks" / file, name)
    true_h = steps_s[steps_m / np.maximum(steps_s, 1e-9) > 1 / 3.6].sum() / 3600
    assert true_h == pytest.approx(WALKS[file, name], abs=0.006)
    said = {pace: predicted_h(steps_m, heights_m, pace) for pace in HIKING}
    print(f"\n{file} {name}: true {true_h:.2f} h; " + ", ".join(f"{k} {v:.2f} h" for k, v in said.items()))  # noqa: T201  the report is the purpose
    assert said["irmischer_clarke_on_path"] == pytest.approx(true_h, rel=0.25)
    assert all(0.6 < hours / true_h < 1.4 for hours in said.values())
