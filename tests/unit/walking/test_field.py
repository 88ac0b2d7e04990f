import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.walking.cost_field import field_of, height_at, pace_at, pace_table, step_between
from hushwalk.walking.ground import build_ground

GRID = Grid(32615, 0.0, 200.0, 10.0, 20, 30)
ROWS, COLS = np.indices(GRID.shape)
GAIT = gait_named("irmischer_clarke_off_path")
TABLE = pace_table(GAIT)


def step(z: np.ndarray, a: tuple[float, float], b: tuple[float, float], **given: object) -> float:
    factor = given.get("factor")
    layer = None if factor is None else Layer("pace factor", "1", GRID, factor)  # type: ignore[arg-type]
    ground = build_ground(Layer("elevation", "m", GRID, z), pace_factor=layer)
    entry = given.get("entry", np.ones(GRID.shape, dtype=bool))
    return step_between(np.array(a), np.array(b), field_of(ground, TABLE, entry))  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["irmischer_clarke_off_path", "tobler_on_path", "marquez_perez", "campbell_2017"])
def test_the_table_follows_the_curve(name: str) -> None:
    gait = gait_named(name)
    slopes = np.random.default_rng(0).uniform(-1, 1, 300)
    said = [pace_at(pace_table(gait).on_path, s) for s in slopes]
    assert said == pytest.approx(gait.on_path_seconds_per_metre(slopes), rel=1e-3)


def test_heights_lie_on_a_plane_between_cells_and_are_held_outside() -> None:
    z = 3.0 * ROWS + 2.0 * COLS
    assert height_at(z, 4.25, 7.5) == pytest.approx(3 * 4.25 + 2 * 7.5)
    assert height_at(z, -3.0, 7.0) == pytest.approx(14.0)


def test_a_step_on_a_plane_takes_its_length_times_the_pace_of_its_slope() -> None:
    z = -1.0 * COLS  # falls 1 m in 10 m to the east
    length_m = 10 * np.hypot(6.3, 12.7)
    seconds = length_m * float(GAIT.off_path_seconds_per_metre(-127 / 10 / length_m))
    assert step(z, (3.1, 4.2), (9.4, 16.9)) == pytest.approx(seconds, rel=1e-3)


def test_growth_counts_by_the_length_under_it() -> None:
    factor = np.where(COLS >= 10, 3.0, 1.0)
    flat = np.zeros(GRID.shape)
    bare = step(flat, (5.0, 5.0), (8.0, 15.0))
    assert step(flat, (5.0, 5.0), (8.0, 15.0), factor=factor) == pytest.approx(bare * (0.45 + 3 * 0.55), rel=1e-6)


def test_a_wall_stops_a_step_also_at_a_corner_and_at_the_edge() -> None:
    flat, entry = np.zeros(GRID.shape), np.ones(GRID.shape, dtype=bool)
    entry[6, 5] = False
    assert step(flat, (5.0, 5.0), (6.0, 6.0), entry=entry) == np.inf
    assert step(flat, (3.0, 3.0), (9.0, 9.0), entry=entry) == np.inf
    assert step(flat, (6.0, 1.0), (6.0, 12.0), entry=entry) == np.inf
    assert step(flat, (5.0, 1.0), (5.0, 12.0), entry=entry) < np.inf
    assert step(flat, (5.0, 1.0), (5.0, 40.0)) == np.inf


def test_a_step_of_no_length_takes_no_time() -> None:
    assert step(np.zeros(GRID.shape), (5.0, 1.0), (5.0, 1.0)) == 0.0
