"""What must hold for every skyline, lens and dawn: turned ground, taller ridges, wider fields, clearer skies."""

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hushwalk.filming.framing import Fit, Lens, Room, frame, sensor_named
from hushwalk.filming.log_light import LightParams, Shot, ShotKind, light_at_log
from hushwalk.filming.sessions import light_quality
from hushwalk.filming.sky_day import SUN, shade, sky_day
from hushwalk.filming.skyline import Skyline, SkylineParams, skyline_at
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.horizon import measured_skyline_deg
from hushwalk.science.optics import shutter_for_blur_s

N = 61
CENTRE = (500_000.0, 5_200_000.0)  # on the central meridian, where grid north is true north
GRID = Grid(32615, CENTRE[0] - N * 5, CENTRE[1] + N * 5, 10.0, N, N)
LOOK = SkylineParams(eye_m=0.5, reach_m=280.0)
DAY = sky_day(date(2027, 4, 25), ZoneInfo("America/Chicago"), -93.0, 47.0)


def ground(seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    rows, cols = np.indices((N, N))
    waves = sum(
        rng.normal() * 12 * np.sin(rows / rng.uniform(4, 20) + rng.uniform(0, 6)) * np.cos(cols / rng.uniform(4, 20))
        for _ in range(4)
    )
    return 400 + np.asarray(waves)


def look(heights: np.ndarray) -> Skyline:
    return skyline_at(Layer("elevation", "m", GRID, heights), CENTRE, params=LOOK)


@given(st.integers(0, 10_000), st.integers(1, 3))
@settings(max_examples=25, deadline=None)
def test_the_skyline_of_turned_ground_turns(seed: int, quarters: int) -> None:
    heights = ground(seed)
    before = look(heights).terrain_deg
    after = look(np.rot90(heights, -quarters)).terrain_deg  # clockwise, as azimuths count
    assert after == pytest.approx(np.roll(before, 90 * quarters), abs=1e-9)


@given(st.integers(0, 10_000), st.integers(0, N - 1), st.integers(0, N - 1), st.floats(0.0, 80.0))
@settings(max_examples=25, deadline=None)
def test_raising_ground_never_lengthens_the_sun(seed: int, row: int, col: int, more: float) -> None:
    heights = ground(seed)
    raised = heights.copy()
    raised[row, col] += more
    here = slice(N // 2 - 1, N // 2 + 2)
    raised[here, here] = heights[here, here]  # the log itself stays where it is
    low, high = look(heights), look(raised)
    assert np.all(high.terrain_deg >= low.terrain_deg - 1e-12)
    assert np.count_nonzero(shade(DAY, high) == SUN) <= np.count_nonzero(shade(DAY, low) == SUN)


@given(st.integers(0, 10_000))
@settings(max_examples=15, deadline=None)
def test_the_skyline_agrees_with_looking_at_every_sample(seed: int) -> None:
    """The same surface read by brute force every metre: never above it by more than rounding, nor far below."""
    heights = ground(seed)
    got = look(heights).terrain_deg
    mid = N // 2
    for azimuth in range(0, 360, 30):
        d = np.arange(10.0, 280.0, 1.0)
        r = mid - np.cos(np.radians(azimuth)) * d / 10
        c = mid + np.sin(np.radians(azimuth)) * d / 10
        i, j = r.astype(int), c.astype(int)
        a, b = r - i, c - j
        z = (1 - a) * ((1 - b) * heights[i, j] + b * heights[i, np.minimum(j + 1, N - 1)])
        k = np.minimum(i + 1, N - 1)
        z += a * ((1 - b) * heights[k, j] + b * heights[k, np.minimum(j + 1, N - 1)])
        drop = d**2 * 0.87 / (2 * 6_371_000)
        brute = np.degrees(np.arctan2(z - heights[mid, mid] - 0.5 - drop, d)).max()
        assert got[azimuth] == pytest.approx(brute, abs=0.25)


@given(
    st.floats(100, 900),
    st.floats(1.0, 12.0),
    st.floats(0.3, 4.0),
    st.floats(0.01, 3.0),
    st.floats(4.0, 15.0),
    st.floats(1.0, 20.0),
    st.booleans(),
)
@settings(max_examples=300, deadline=None)
def test_a_wider_field_never_brings_the_hide_nearer(
    focal: float, near: float, width: float, more: float, stand_off: float, room: float, zoom: bool
) -> None:
    lens = Lens("any", focal, 5.6, near + focal / 1000, widest_mm=focal / 3 if zoom else None)
    place = Room(stand_off, stand_off + room)
    sensor = sensor_named("full_frame")
    narrow, wide = frame(lens, sensor, width, place), frame(lens, sensor, width + more, place)
    assert wide.distance_m >= narrow.distance_m - 1e-9
    at_the_wall = wide.distance_m == pytest.approx(place.farthest_m)
    assert wide.field_m >= width + more - 1e-9 or at_the_wall or wide.field_m == pytest.approx(width + more)
    assert narrow.distance_m >= stand_off
    assert narrow.distance_m >= lens.nearest_m - 1e-12 or narrow.fit is Fit.OUT_OF_FOCUS


@given(st.sampled_from(["clear", "broken", "overcast"]), st.floats(0.05, 1.0), st.floats(0.05, 1.0))
@settings(max_examples=30, deadline=None)
def test_thicker_crowns_never_brighten(sky: str, one: float, other: float) -> None:
    states = np.full(DAY.n_minutes, SUN)
    shares = (max(one, other), min(one, other))
    thin, thick = (light_at_log(DAY, states, LightParams(sky=sky, transmittance=t)).middle_lux for t in shares)
    assert np.all(thick <= thin)
    shot = Shot(ShotKind.VIDEO, 4.0, 1 / 100)
    assert np.all(light_quality(thick, shot, 6400) <= light_quality(thin, shot, 6400))


@given(st.lists(st.tuples(st.floats(0, 360), st.floats(-10, 80)), min_size=2, max_size=12), st.floats(0, 360))
@settings(max_examples=100, deadline=None)
def test_a_measured_skyline_turns_with_its_points(points: list[tuple[float, float]], turn: float) -> None:
    table = np.array(points)
    asked = np.arange(0, 360, 7.0)
    turned = table + np.array([turn, 0.0])
    turned[:, 0] %= 360
    before, after = measured_skyline_deg(asked, table), measured_skyline_deg(asked + turn, turned)
    azimuth, times = np.unique(table[:, 0] % 360, return_counts=True)
    steps = azimuth[times > 1]  # two heights at one azimuth are a step; on it either is right
    off_steps = np.abs((asked[:, None] - steps + 180) % 360 - 180).min(axis=1, initial=180.0) > 1e-6
    same = np.isfinite(before) & np.isfinite(after) & off_steps
    both = [np.sort(np.concatenate([t[:, 0] % 360, t[:, 0] % 360 + 360])) for t in (table, turned)]
    spans = np.abs(np.diff(np.concatenate(both)))  # rounding may part two points at one azimuth when they are turned
    if spans.size and spans[spans > 0].size and spans[spans > 0].min() > 1e-3 and (np.abs(spans - 30) > 1e-6).all():
        assert after[same] == pytest.approx(before[same], abs=1e-3)


@given(st.floats(0.5, 40), st.floats(1, 900), st.floats(0.3, 4))
def test_what_moves_crosses_so_many_dots_while_the_shutter_is_open(speed: float, dots: float, field: float) -> None:
    assert speed * shutter_for_blur_s(speed, dots, field, 3840) * 3840 / field == pytest.approx(dots)
