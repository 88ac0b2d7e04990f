"""Stands of two people in the same minutes, by hand."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from hushwalk.campaign.two_people import SharedStand, crossing_angles_deg, shared_stands
from hushwalk.site.norths import North
from hushwalk.site.place import Place

SIX = datetime(2027, 4, 24, 6, tzinfo=UTC)


def stop(name: str, east_m: float, begin_min: float, minutes: float = 6.0) -> Any:
    begin = SIX + timedelta(minutes=begin_min)
    place = SimpleNamespace(name=name, xy_m=(east_m, 0.0))
    return SimpleNamespace(place=place, arrive=begin, leave=begin + timedelta(minutes=minutes), earshot=())


def square(east_m: float, north_m: float, half_m: float) -> np.ndarray:
    return np.array([east_m, north_m]) + half_m * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]])


def test_stands_are_shared_for_some_minutes_from_where_lines_cross() -> None:
    mine = [stop("P01", 0.0, 0.0), stop("P02", 300.0, 20.0)]
    yours = [stop("P01", 250.0, 2.0), stop("P02", 350.0, 20.0), stop("P03", 650.0, 24.0), stop("P04", 1500.0, 20.0)]
    (stand,) = shared_stands(mine, yours)  # the others: 50 m apart; two minutes together; beyond hearing of each other
    assert stand.stops == ("P01", "P01")
    assert (stand.begin, stand.end) == (SIX + timedelta(minutes=2), SIX + timedelta(minutes=6))
    assert stand.apart_m == 250.0


@pytest.mark.parametrize(("north_m", "angle_deg"), [(100.0, 90.0), (100 * np.sqrt(3), 60.0), (-20.0, 22.6199)])
def test_bearings_to_one_place_cross_as_the_triangle_says(north_m: float, angle_deg: float) -> None:
    """Half of the base over the height; 22.62 deg is 180 deg less twice the angle whose tangent is 5."""
    mine, yours = stop("P01", 0.0, 0.0), stop("P01", 200.0, 0.0)
    mine.earshot, yours.earshot = (square(0.0, 0.0, 500.0),), (square(100.0, north_m, 0.01),)
    assert crossing_angles_deg(mine, yours) == pytest.approx((angle_deg, angle_deg), abs=0.02)


def test_the_angles_are_of_the_middle_half_of_the_ground_that_both_hear() -> None:
    mine, yours = stop("P01", 0.0, 0.0), stop("P01", 240.0, 0.0)
    mine.earshot, yours.earshot = (square(0.0, 0.0, 300.0),), (square(240.0, 0.0, 300.0),)
    rng = np.random.default_rng(1)
    x, y = rng.uniform(-60, 300, 40_000), rng.uniform(-300, 300, 40_000)
    lines = np.degrees(np.arctan2(y, x) - np.arctan2(y, x - 240)) % 180
    drawn = np.percentile(np.minimum(lines, 180 - lines), [25, 75])
    assert crossing_angles_deg(mine, yours) == pytest.approx(tuple(drawn), abs=1.5)
    yours.earshot = (square(2000.0, 0.0, 300.0),)
    assert crossing_angles_deg(mine, yours) is None


def test_each_of_the_two_sees_the_other() -> None:
    ada, bo = (Place(f"P0{k}", xy, 0.0, 0.0, 0.0, "", "") for k, xy in ((1, (0.0, 0.0)), (4, (300.0, 0.0))))
    stand = SharedStand(("P01", "P04"), (ada, bo), SIX, SIX, 300.0, (40.0, 60.0))
    north = North(-3.0, 0.4, 2.0, compass=None)
    first, second = stand.seen_by(0, "Bo", north), stand.seen_by(1, "Ada", north)
    assert (first.stop, first.other_stop, first.place.name, first.place.xy_m) == ("P01", "P04", "Bo P04", bo.xy_m)
    assert (first.azimuth_deg, first.magnetic_deg) == pytest.approx((92.0, 95.0))  # grid east lies 2 deg past true east
    assert (second.stop, second.place.name) == ("P04", "Ada P01")
    assert (second.azimuth_deg, second.magnetic_deg) == pytest.approx((272.0, 275.0))
