"""Sullivan and others 2020, Fire 3:52: people with 22.7 kg packs on trails."""

import math

import pytest

from hushwalk.science.gait import pace_functions

# m/s by slope, worked out from the published equation by the author of the project's reference notes
SLOPES = [-0.50, -0.30, -0.20, -0.10, -0.05, 0, 0.05, 0.10, 0.20, 0.30, 0.50]
SPEEDS_MS = [0.7499, 1.0496, 1.2409, 1.3828, 1.4036, 1.3813, 1.3202, 1.2321, 1.0287, 0.8473, 0.6095]
MINUTES_A_KILOMETRE_HIGH = {-30: 16.1, -15: 11.9, 0: 9.9, 15: 14.0, 30: 19.7}  # printed in the paper
MINUTES_FLAT = {"low": 17, "mid": 12, "high": 10}  # printed in the paper


def test_the_equation() -> None:
    assert pace_functions()["sullivan_mid"].speed_ms(SLOPES) == pytest.approx(SPEEDS_MS, abs=5.1e-5)


@pytest.mark.parametrize(("angle_deg", "minutes"), MINUTES_A_KILOMETRE_HIGH.items())
def test_the_printed_minutes_of_the_high_rate(angle_deg: int, minutes: float) -> None:
    pace = pace_functions()["sullivan_high"].seconds_per_metre(math.tan(math.radians(angle_deg)))
    assert float(pace) * 1000 / 60 == pytest.approx(minutes, abs=0.051)


@pytest.mark.parametrize(("rate", "minutes"), MINUTES_FLAT.items())
def test_the_printed_minutes_on_the_flat(rate: str, minutes: int) -> None:
    pace = float(pace_functions()[f"sullivan_{rate}"].seconds_per_metre(0.0))
    assert round(pace * 1000 / 60) == minutes
