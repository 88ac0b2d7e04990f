"""One's own pace learnt from pieces: factors that were put in come out, with honest intervals."""

import numpy as np
import pytest

from hushwalk.science.gait import gait_named, with_own_factors
from hushwalk.science.going import night_speed_factor
from hushwalk.walking.own_pace import WalkedPieces, learn_pace

GAIT = gait_named("irmischer_clarke_off_path")


def walker(
    pieces: int = 400,
    *,
    factors: tuple[float, float, float, float] = (1.2, 1.15, 1.3, 1.1),
    on_path: float = 0.5,
    dark: float = 0.2,
    noise: float = 0.1,
    number: int = 1,
) -> WalkedPieces:
    """A walker of known pace, off path, climb and dark factors, with a slow piece now and then."""
    pace, off_factor, climb, night = factors
    rng = np.random.default_rng(number)
    length = np.full(pieces, 50.0)
    slope = np.where(rng.random(pieces) < 0.35, rng.uniform(0.12, 0.3, pieces), rng.uniform(-0.08, 0.08, pieces))
    path = np.arange(pieces) % 100 < 100 * on_path
    growth = np.where(path, 1.0, rng.choice([1.0, 1.4], pieces))
    own = with_own_factors(GAIT, off_factor, climb)
    seconds = (
        length
        * pace
        * np.where(path, own.on_path_seconds_per_metre(slope), growth * own.off_path_seconds_per_metre(slope))
    )
    in_dark = rng.random(pieces) < dark
    slower = np.where(path, *(1 / night_speed_factor(-90.0, on_trail=on) for on in (True, False)))
    seconds = np.where(in_dark, seconds * night * slower, seconds)
    seconds *= np.exp(noise * rng.standard_normal(pieces)) * np.where(rng.random(pieces) < 0.03, 3.0, 1.0)
    return WalkedPieces(seconds, length, slope, path, growth, in_dark, np.arange(pieces) * 4 // pieces)


def test_the_factors_of_a_known_walker_come_out() -> None:
    found = learn_pace(walker(1600), GAIT)
    assert found.pace is not None
    assert found.off_path is not None
    assert found.climb is not None
    assert found.dark is not None
    assert found.pace.value == pytest.approx(1.2, rel=0.05)
    assert found.off_path.value == pytest.approx(1.15, rel=0.06)
    assert found.climb.value == pytest.approx(1.3, rel=0.15)
    assert found.dark.value == pytest.approx(1.1, rel=0.06)
    assert found.walked_m == 1600 * 50


def test_intervals_hold_the_truth_nine_times_of_ten_and_more() -> None:
    held = 0
    for number in range(40):
        pace = learn_pace(walker(300, number=number, noise=0.2), GAIT).pace
        assert pace is not None
        held += pace.low <= 1.2 <= pace.high
    assert held >= 34


def test_more_walking_makes_it_surer_and_the_reserve_smaller() -> None:
    short, long = (learn_pace(walker(n, noise=0.35, dark=0.0), GAIT) for n in (120, 2400))
    assert short.pace is not None
    assert long.pace is not None
    assert long.pace.high - long.pace.low < short.pace.high - short.pace.low
    assert short.reserve is not None
    assert long.reserve is not None
    assert 0.05 <= long.reserve <= short.reserve


def test_a_walker_that_differs_between_days_needs_more_reserve() -> None:
    even = walker(800, dark=0.0)
    days = np.array([0.8, 0.95, 1.1, 1.25])
    uneven = WalkedPieces(
        even.seconds * days[even.track], even.length_m, even.slope, even.on_path, even.growth, even.dark, even.track
    )
    calm, wild = learn_pace(even, GAIT).reserve, learn_pace(uneven, GAIT).reserve
    assert calm is not None
    assert wild is not None
    assert wild > calm + 0.1


def test_too_little_says_nothing() -> None:
    found = learn_pace(walker(8), GAIT)
    assert (found.pace, found.off_path, found.climb, found.dark, found.reserve) == (None,) * 5
    assert learn_pace(walker(0), GAIT).walked_m == 0.0


def test_without_a_path_the_woods_give_the_pace() -> None:
    found = learn_pace(walker(600, on_path=0.0, factors=(1.2, 1.0, 1.0, 1.0)), GAIT)
    assert found.pace is not None
    assert found.pace.value == pytest.approx(1.2, rel=0.05)
    assert found.off_path is None


def test_own_factors_change_the_gait_where_they_should() -> None:
    own = with_own_factors(GAIT, 1.5, 2.0)
    assert own.on_path_seconds_per_metre(0.0) == GAIT.on_path_seconds_per_metre(0.0)
    assert own.off_path_seconds_per_metre(0.0) == pytest.approx(1.5 * GAIT.off_path_seconds_per_metre(0.0))
    level, steep = GAIT.on_path_seconds_per_metre(0.0), GAIT.on_path_seconds_per_metre(0.2)
    assert own.on_path_seconds_per_metre(0.2) == pytest.approx(level + 2.0 * (steep - level))
    assert own.on_path_seconds_per_metre(-0.2) == GAIT.on_path_seconds_per_metre(-0.2)
