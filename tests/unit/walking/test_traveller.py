"""Who walks: boots and snowshoes on the same ground."""

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.science.going import usual_sinkage_m
from hushwalk.walking.ground import build_ground
from hushwalk.walking.shortest_paths import walking_time_from
from hushwalk.walking.traveller import Traveller, on_foot, on_snowshoes, traveller_of

PACE = "irmischer_clarke_off_path"
GRID = Grid(32615, 700_000.0, 5_250_400.0, 20.0, 20, 20)
LEVEL = Layer("elevation", "m", GRID, np.zeros(GRID.shape))


SLOPES = np.linspace(-0.4, 0.4, 9)


def pace(who: Traveller) -> list[float]:
    gait = who.gait
    return gait.off_path_seconds_per_metre(SLOPES).tolist() + gait.on_path_seconds_per_metre(SLOPES).tolist()


def seconds(who: Traveller, heights: Layer = LEVEL) -> float:
    ground = build_ground(heights, params=who.ground_params)
    reached = walking_time_from(who.network(ground), (700_010.0, 5_250_390.0), limit_s=1e6)
    return float(reached.values[0, -1])


def test_boots_walk_as_the_published_curve_and_the_sinkage_say() -> None:
    for snow in ("none", "old", "fresh"):
        plain = gait_named(PACE, pace_factor=1.1, snow_sinkage_m=usual_sinkage_m(snow))
        assert pace(on_foot(PACE, pace_factor=1.1, snow=snow)) == pytest.approx(
            plain.off_path_seconds_per_metre(SLOPES).tolist() + plain.on_path_seconds_per_metre(SLOPES).tolist()
        )


def test_snowshoes_are_slower_on_bare_ground_and_quicker_in_deep_snow() -> None:
    assert seconds(on_snowshoes(PACE)) > seconds(on_foot(PACE))
    assert seconds(on_snowshoes(PACE, snow="fresh")) < seconds(on_foot(PACE, snow="fresh"))


def test_steep_ground_is_open_to_boots_and_closed_to_snowshoes() -> None:
    step = np.clip(np.arange(20) - 8, 0, 4) * 20.0 * np.tan(np.radians(35.0))  # level, a steep bank, level again
    hill = Layer("elevation", "m", GRID, np.broadcast_to(step, GRID.shape).copy())
    assert np.isfinite(seconds(on_foot(PACE), hill))
    assert not np.isfinite(seconds(on_snowshoes(PACE), hill))


def test_a_ford_takes_longer_with_snowshoes_to_take_off() -> None:
    assert on_snowshoes(PACE).ford_s == on_foot(PACE).ford_s + 240.0


def test_the_word_of_the_trip_file_names_the_traveller() -> None:
    assert traveller_of("foot", PACE).kind == on_foot(PACE).kind
    shoes = traveller_of("snowshoes", PACE, snow="old")
    assert shoes.kind == "snowshoes"
    assert pace(shoes) == pace(on_snowshoes(PACE, snow="old"))
    with pytest.raises(SettingsError, match="pace"):
        traveller_of("foot", "strolling")
