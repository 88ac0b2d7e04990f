from collections.abc import Callable

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.filming.hide_parts import light_worth
from hushwalk.filming.hide_scene import HideGround, LogScene, SunThen
from hushwalk.filming.hides import Side, sides_of
from hushwalk.filming.sun_hours import RIDGE, SUN
from hushwalk.grid.layer import Layer
from hushwalk.grid.terrain import slope

MIDDLE = (597_700.0, 5_272_900.0)  # of the made country

Country = Callable[[Callable[[np.ndarray, np.ndarray], np.ndarray]], Layer]


@pytest.fixture
def level(country: Country) -> HideGround:
    return ground_of(country(lambda _e, _n: 400.0))


def ground_of(layer: Layer) -> HideGround:
    return HideGround(layer, slope(layer), np.zeros(layer.grid.shape, dtype=bool))


def sun_in(azimuth: float, state: int = SUN) -> SunThen:
    return SunThen(np.full(60, azimuth), np.full(60, state), np.ones(60))


def named(sides: tuple[Side, ...], name: str) -> Side:
    return next(side for side in sides if side.name == name)


def worth(side: Side, part: str) -> float:
    return next(p.worth for p in side.parts if p.name == part)


def words(side: Side, part: str) -> str:
    return next(p.words for p in side.parts if p.name == part)


def test_all_eight_sides_are_told_best_first(level: HideGround) -> None:
    got = sides_of(LogScene(MIDDLE, facing_deg=(90.0,)), level, sun_in(90.0, RIDGE))
    assert len(got) == 8
    assert [s.score for s in got] == sorted((s.score for s in got), reverse=True)
    assert {got[0].name, got[1].name} == {"NE", "SE"}  # three-quarter front of a bird that faces east
    assert got[-1].name == "W"


def test_a_bird_that_faces_both_ways_has_two_good_flanks(level: HideGround) -> None:
    got = sides_of(LogScene(MIDDLE, facing_deg=(0.0, 180.0)), level, sun_in(0.0, RIDGE))
    assert worth(named(got, "E"), "facing") == pytest.approx(0.8)
    assert worth(named(got, "N"), "facing") == pytest.approx(0.5)  # face or tail
    assert "or" in words(named(got, "N"), "facing")


def test_front_side_and_back_light_by_minutes(level: HideGround) -> None:
    got = sides_of(LogScene(MIDDLE), level, sun_in(90.0))
    assert words(named(got, "E"), "light") == "front light 60 min"  # the sun stands behind the hide
    assert words(named(got, "N"), "light") == "side light 60 min"
    assert words(named(got, "W"), "light") == "back light 60 min"
    assert worth(named(got, "W"), "light") < worth(named(got, "E"), "light") < worth(named(got, "NE"), "light")
    assert words(named(sides_of(LogScene(MIDDLE), level, sun_in(90.0, RIDGE)), "W"), "light").startswith("no sun")


def test_the_hide_stands_where_the_side_says(level: HideGround) -> None:
    got = named(sides_of(LogScene(MIDDLE), level, sun_in(90.0), 18.0), "E")
    assert got.distance_m == 18.0
    assert got.xy_m[0] - MIDDLE[0] == pytest.approx(18.0, abs=0.02)
    assert got.lens_deg == 270.0
    near = named(sides_of(LogScene(MIDDLE), level, sun_in(90.0), 4.0), "E")
    assert near.distance_m == 10.0  # never nearer


def test_backdrop_room_and_view_count_on_their_side(level: HideGround) -> None:
    scene = LogScene(MIDDLE, backdrop_m={"W": 12, "E": 1}, room_m={"E": 15, "N": 5}, view_share={"E": 0.9})
    got = sides_of(scene, level, sun_in(90.0, RIDGE))
    assert worth(named(got, "E"), "backdrop") == 1.0  # what stands west of the log is behind it from the east
    assert worth(named(got, "W"), "backdrop") == 0.0
    assert named(got, "E").distance_m == 15
    assert "too near" in words(named(got, "N"), "room")
    assert "no room" in words(named(got, "S"), "room")
    assert worth(named(got, "E"), "view") == 0.9
    assert got[0].name == "E"


def test_steep_wet_and_low_ground_count(country: Country) -> None:
    layer = country(lambda e, _n: 400 + np.where(e > 0, 0.6 * e, 0.0))
    blocked = np.zeros(layer.grid.shape, dtype=bool)
    blocked[:, :100] = True
    got = sides_of(LogScene(MIDDLE), HideGround(layer, slope(layer), blocked), sun_in(90.0, RIDGE), 20.0)
    assert "slopes 31" in words(named(got, "E"), "footing")
    assert "looks down" in words(named(got, "E"), "level")
    assert named(got, "E").tilt_deg == pytest.approx(np.degrees(np.arctan2(12 + 0.6 - 0.4 - 0.175, 20)), abs=0.3)
    assert "no hide here" in words(named(got, "W"), "footing")


def test_the_way_in_and_the_wind(level: HideGround) -> None:
    scene = LogScene(MIDDLE, access=("S",), approach_deg=180.0, wind_from_deg=0.0, wind_ms=4.0)
    got = sides_of(scene, level, sun_in(90.0, RIDGE))
    assert got[0].name == "S"
    assert words(got[0], "approach") in {"reached unseen", "you come from behind the hide"}
    assert "go round" in words(named(got, "N"), "approach") or "sight" in words(named(got, "N"), "approach")
    assert worth(named(got, "S"), "wind") > worth(named(got, "N"), "wind")
    assert "downwind" in words(named(got, "S"), "wind")


def test_soft_light_favours_no_side() -> None:
    off = np.array([0.0, 90.0, 180.0])
    assert np.ptp(light_worth(off, np.full(3, RIDGE))) == 0
    assert np.ptp(light_worth(off, np.full(3, SUN))) > 0


def test_an_unknown_side_is_refused() -> None:
    with pytest.raises(SettingsError, match="side 'EAST'"):
        LogScene(MIDDLE, backdrop_m={"EAST": 3})
