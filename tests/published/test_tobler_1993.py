"""Tobler 1993, NCGIA Technical Report 93-1: his table of the hiking function, read in later papers that print it."""

import numpy as np
import pytest

from hushwalk.science.gait import pace_functions

# degrees: km/h, as printed with two decimals
TABLE_KMH = {-30: 0.95, -15: 2.80, -5: 5.26, 0: 5.04, 5: 3.71, 15: 1.97, 30: 0.67}

# m/s by slope, worked out from the published equation by the author of the project's reference notes
SLOPES = [-0.50, -0.30, -0.20, -0.10, -0.05, 0, 0.05, 0.10, 0.20, 0.30, 0.50]
SPEEDS_MS = [0.3450, 0.6948, 0.9859, 1.3991, 1.6667, 1.3991, 1.1745, 0.9859, 0.6948, 0.4896, 0.2431]


@pytest.mark.parametrize(("angle_deg", "kmh"), TABLE_KMH.items())
def test_the_printed_table(angle_deg: int, kmh: float) -> None:
    speed = pace_functions()["tobler_on_path"].speed_ms(np.tan(np.radians(angle_deg)))
    assert float(speed) * 3.6 == pytest.approx(kmh, abs=0.0051)


def test_the_equation() -> None:
    assert pace_functions()["tobler_on_path"].speed_ms(SLOPES) == pytest.approx(SPEEDS_MS, abs=5.1e-5)


def test_the_peak_is_six_kilometres_an_hour_at_five_per_cent_down() -> None:
    assert float(pace_functions()["tobler_on_path"].speed_ms(-0.05)) == pytest.approx(6 / 3.6)


def test_off_the_path_is_three_fifths_of_it() -> None:
    known = pace_functions()
    share = known["tobler_off_path"].speed_ms(SLOPES) / known["tobler_on_path"].speed_ms(SLOPES)
    assert share == pytest.approx(3 / 5)
