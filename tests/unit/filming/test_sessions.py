from collections.abc import Callable
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.filming.log_light import LightParams, LogLight, Shot, ShotKind, light_at_log
from hushwalk.filming.sessions import (
    Activity,
    SessionParams,
    light_quality,
    rank,
    session_of,
)
from hushwalk.filming.sky_day import SkyDay, shade, sky_day
from hushwalk.filming.skyline import Skyline

SHOT = Shot(ShotKind.VIDEO, 4.0, 1 / 100)
FLAT = Activity((0.0,), (1.0,))
CURVE = Activity((-180, -30, 0, 180), (0.3, 1.0, 1.0, 0.4))
EVENING = Activity((-120, -60, 0, 60), (0.3, 0.4, 0.3, 0.2))
DAWN_LUX = 250 * 16 * 100 / 6400  # C N^2 / (S t) by hand: 62.5 lux


@pytest.fixture
def lit(april: SkyDay, skyline: Callable[..., Skyline]) -> tuple[LogLight, np.ndarray]:
    states = shade(april, skyline())
    return light_at_log(april, states), states


def test_the_quality_of_light_runs_over_four_stops() -> None:
    lux = DAWN_LUX * 2.0 ** np.arange(-2, 5)
    assert light_quality(lux, SHOT, 6400).tolist() == pytest.approx([0, 0, 0.25, 0.5, 0.75, 1, 1])
    assert light_quality(np.array([0.0]), SHOT, 6400).tolist() == [0.0]


def test_a_morning_multiplies_and_adds_up(april: SkyDay, lit: tuple[LogLight, np.ndarray]) -> None:
    got = session_of(april, *lit, CURVE, SessionParams(SHOT, season=0.8, weather=0.5))
    assert got is not None
    assert got.worth == pytest.approx(got.activity * got.light * 0.4)
    assert got.score == pytest.approx(got.worth.sum() / 60)
    assert len(got.minutes) == 420
    assert got.best[1] - got.best[0] == timedelta(hours=1)
    sums = [got.worth[k : k + 60].sum() for k in range(len(got.worth) - 59)]
    start = got.until - timedelta(minutes=420) + timedelta(minutes=int(np.argmax(sums)))
    assert got.best[0] == start


def test_in_the_hide_two_and_a_half_hours_before_sunrise_at_the_peak(
    april: SkyDay, lit: tuple[LogLight, np.ndarray]
) -> None:
    peak = session_of(april, *lit, CURVE, SessionParams(SHOT, walk_s=2400))
    late = session_of(april, *lit, CURVE, SessionParams(SHOT, season=0.3, walk_s=2400))
    assert peak is not None
    assert late is not None
    assert peak.anchor - peak.in_hide_by == timedelta(minutes=150)
    assert late.anchor - late.in_hide_by == timedelta(minutes=90)
    assert peak.in_hide_by - peak.leave_car_by == timedelta(minutes=50)  # 40 on foot, 10 to settle


def test_an_evening_hangs_on_sunset(april: SkyDay, lit: tuple[LogLight, np.ndarray]) -> None:
    got = session_of(april, *lit, EVENING, SessionParams(SHOT), "evening")
    assert got is not None
    assert abs((got.anchor - april.at(april.sunsets[0])).total_seconds()) < 1
    assert got.in_hide_by < got.anchor - timedelta(hours=2)
    assert got.activity.max() == pytest.approx(0.40, abs=0.01)


def test_days_without_a_sunrise_have_no_session(skyline: Callable[..., Skyline]) -> None:
    june = sky_day(date(2026, 6, 21), ZoneInfo("Europe/Oslo"), 25.0, 70.0)
    states = shade(june, skyline())
    light = light_at_log(june, states)
    for when in ("morning", "evening"):
        assert session_of(june, light, states, FLAT, SessionParams(SHOT), when) is None  # type: ignore[arg-type]


def test_clearer_and_busier_mornings_rank_first(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    states = shade(april, skyline())
    made = []
    for sky, weather in (("overcast", 1.0), ("clear", 1.0), ("clear", 0.2)):
        light = light_at_log(april, states, LightParams(sky=sky))
        got = session_of(april, light, states, CURVE, SessionParams(SHOT, weather=weather))
        assert got is not None
        made.append(got)
    assert rank(made)[0] is made[1]
    assert rank(made)[-1] is made[2]


def test_the_side_of_the_hide_moves_the_worth(april: SkyDay, lit: tuple[LogLight, np.ndarray]) -> None:
    scores = {}
    for azimuth in (45.0, 270.0):
        got = session_of(april, *lit, CURVE, SessionParams(SHOT, hide_deg=azimuth))
        assert got is not None
        scores[azimuth] = got.score
    assert scores[45.0] > scores[270.0]  # the morning sun stands in the east: from the west it is back light


def test_the_time_to_be_back_ends_the_session(april: SkyDay, lit: tuple[LogLight, np.ndarray]) -> None:
    """Back at 08:00 with half an hour to walk: the hide is left at 07:30, and no minute after it counts."""
    got = session_of(april, *lit, CURVE, SessionParams(SHOT, back_s=1800.0, back_by_min=480.0))
    free = session_of(april, *lit, CURVE, SessionParams(SHOT, back_s=1800.0))
    assert got is not None
    assert free is not None
    assert (got.until.hour, got.until.minute, got.back_at.hour, got.back_at.minute) == (7, 30, 8, 0)
    assert got.cut_short
    assert not free.cut_short
    assert got.minutes[-1] == 449
    assert got.score < free.score
    none = session_of(april, *lit, CURVE, SessionParams(SHOT, back_by_min=60.0))
    assert none is not None
    assert none.score == 0


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(SettingsError, match="rise"):
        Activity((0.0, 0.0), (1.0, 1.0))
    with pytest.raises(SettingsError, match="iso_max above 0"):
        SessionParams(SHOT, iso_max=0)
