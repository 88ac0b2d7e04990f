from typing import Any

import pytest

from hushwalk.errors import SettingsError
from hushwalk.hearing.conditions import Conditions


@pytest.mark.parametrize(
    "fault",
    [{"temperature_c": 60.0}, {"humidity_pct": 0.0}, {"wind_at_ear_ms": -1.0}, {"snow": "deep"}, {"air": "foggy"}],
)
def test_a_value_that_cannot_be_is_named(fault: dict[str, Any]) -> None:
    with pytest.raises(SettingsError, match=next(iter(fault))):
        Conditions(**fault)


def test_a_number_that_is_none_is_refused() -> None:
    with pytest.raises(SettingsError, match="wind_at_ear_ms"):
        Conditions(wind_at_ear_ms=float("nan"))


def test_the_air_in_decibels() -> None:
    assert [Conditions(air=air).weather_db for air in ("calm dawn", "neutral", "upwind")] == [0, 3, 6]
