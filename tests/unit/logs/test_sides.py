from collections.abc import Callable

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.logs.criteria import light_score
from hushwalk.logs.log import HideGround, Log, SessionSun
from hushwalk.logs.observations import Criterion
from hushwalk.logs.observations import Observed as O  # noqa: N817
from hushwalk.logs.sides import Side, score_sides

MIDDLE = (597_700.0, 5_272_900.0)  # of the made country

HideGroundOf = Callable[[Callable[[np.ndarray, np.ndarray], np.ndarray]], HideGround]


def sun_in(azimuth: float, *, lit: bool = True) -> SessionSun:
    return SessionSun(np.full(60, azimuth), np.full(60, lit), np.ones(60))


def named(sides: tuple[Side, ...], name: str) -> Side:
    return next(side for side in sides if side.name == name)


def criterion(side: Side, name: str) -> Criterion:
    return next(one for one in side.criteria if one.name == name)


def score(side: Side, name: str) -> float:
    return criterion(side, name).score


def observed(side: Side, name: str) -> dict[O, float]:
    return {fact.what: fact.value for fact in criterion(side, name).observed}


def test_all_eight_sides_come_best_first(level: HideGround) -> None:
    got = score_sides(Log(MIDDLE, facing_deg=(90.0,)), level, sun_in(90.0, lit=False))
    assert len(got) == 8
    assert [s.score for s in got] == sorted((s.score for s in got), reverse=True)
    assert {got[0].name, got[1].name} == {"NE", "SE"}  # three-quarter front of a bird that faces east
    assert got[-1].name == "W"


def test_a_bird_that_faces_both_ways_has_two_good_flanks(level: HideGround) -> None:
    got = score_sides(Log(MIDDLE, facing_deg=(0.0, 180.0)), level, sun_in(0.0, lit=False))
    assert score(named(got, "E"), "facing") == pytest.approx(0.8)
    assert score(named(got, "N"), "facing") == pytest.approx(0.5)  # face or tail
    assert set(observed(named(got, "N"), "facing")) == {O.FACES_CAMERA, O.TAIL_ONLY}


def test_front_side_and_back_light_by_minutes(level: HideGround) -> None:
    got = score_sides(Log(MIDDLE), level, sun_in(90.0))
    assert observed(named(got, "E"), "light") == {O.FRONT_LIGHT: 60}  # the sun stands behind the hide
    assert observed(named(got, "N"), "light") == {O.SIDE_LIGHT: 60}
    assert observed(named(got, "W"), "light") == {O.BACK_LIGHT: 60}
    assert score(named(got, "W"), "light") < score(named(got, "E"), "light") < score(named(got, "NE"), "light")
    shaded = named(score_sides(Log(MIDDLE), level, sun_in(90.0, lit=False)), "W")
    assert set(observed(shaded, "light")) == {O.NO_SUN}


def test_the_hide_stands_where_the_side_says(level: HideGround) -> None:
    got = named(score_sides(Log(MIDDLE), level, sun_in(90.0), {"E": 18.0}), "E")
    assert got.distance_m == 18.0
    assert got.xy_m[0] - MIDDLE[0] == pytest.approx(18.0, abs=0.02)
    assert got.lens_deg == 270.0
    near = named(score_sides(Log(MIDDLE), level, sun_in(90.0), {"E": 4.0}), "E")
    assert near.distance_m == 10.0  # never nearer


def test_backdrop_room_and_view_count_on_their_side(level: HideGround) -> None:
    log = Log(MIDDLE, backdrop_m={"W": 12, "E": 1}, room_m={"E": 15, "N": 5}, view_share={"E": 0.9})
    got = score_sides(log, level, sun_in(90.0, lit=False))
    assert score(named(got, "E"), "backdrop") == 1.0  # what stands west of the log is behind it from the east
    assert score(named(got, "W"), "backdrop") == 0.0
    assert named(got, "E").distance_m == 15
    assert observed(named(got, "N"), "room") == {O.ROOM_TOO_NEAR: 5}
    assert O.NO_ROOM in observed(named(got, "S"), "room")
    assert score(named(got, "N"), "room") == score(named(got, "S"), "room")  # no hide stands nearer than it may
    assert score(named(got, "E"), "view") == 0.9
    assert got[0].name == "E"


def test_steep_wet_and_low_ground_count(hide_ground: HideGroundOf) -> None:
    ground = hide_ground(lambda e, _n: 400 + np.where(e > 0, 0.6 * e, 0.0))
    ground.blocked[:, :20] = True
    got = score_sides(Log(MIDDLE), ground, sun_in(90.0, lit=False), {"E": 20.0})
    assert observed(named(got, "E"), "footing")[O.HIDE_SLOPE] == pytest.approx(np.degrees(np.arctan(0.6)), abs=0.5)
    assert O.LENS_DOWN in observed(named(got, "E"), "level")
    assert named(got, "E").tilt_deg == pytest.approx(np.degrees(np.arctan2(12 + 0.6 - 0.4 - 0.175, 20)), abs=0.3)
    assert O.GROUND_BLOCKED in observed(named(got, "W"), "footing")


def test_the_way_in_and_the_wind(level: HideGround) -> None:
    log = Log(MIDDLE, access=("S",), approach_deg=180.0, wind_from_deg=0.0, wind_ms=4.0)
    got = score_sides(log, level, sun_in(90.0, lit=False))
    assert got[0].name == "S"
    assert set(observed(got[0], "approach")) == {O.UNSEEN}
    assert set(observed(named(got, "N"), "approach")) == {O.PARTLY_SEEN}
    assert score(named(got, "S"), "wind") > score(named(got, "N"), "wind")
    assert O.DOWNWIND in observed(named(got, "S"), "wind")


def test_soft_light_favours_no_side() -> None:
    off = np.array([0.0, 90.0, 180.0])
    assert np.ptp(light_score(off, np.full(3, fill_value=False))) == 0
    assert np.ptp(light_score(off, np.full(3, fill_value=True))) > 0


def test_an_unknown_side_is_refused() -> None:
    with pytest.raises(SettingsError, match="side 'EAST'"):
        Log(MIDDLE, backdrop_m={"EAST": 3})


def test_without_a_session_the_light_is_left_out(level: HideGround) -> None:
    log = Log(MIDDLE, facing_deg=(90.0,), backdrop_m={"W": 12})
    got = score_sides(log, level)
    assert all(one.name != "light" for side in got for one in side.criteria)
    # With a light that favours no side the order is the same.
    assert [s.name for s in got] == [s.name for s in score_sides(log, level, sun_in(90.0, lit=False))]
