"""Wind chill against the chart of the US National Weather Service (2001), seven rows of twelve winds.

The chart was read second hand; a row whose label was wrong in the stored copy (-10 F) is left out. The metric form of
the same index is from memory and only has to agree.
"""

import numpy as np
import pytest

from hushwalk.science.wind_chill import FACE_SHARE, wind_chill_c, wind_chill_f

WIND_MPH = np.arange(5, 61, 5)
CHART_F = {
    40: "36 34 32 30 29 28 28 27 26 26 25 25",
    30: "25 21 19 17 16 15 14 13 12 12 11 10",
    20: "13 9 6 4 3 1 0 -1 -2 -3 -3 -4",
    10: "1 -4 -7 -9 -11 -12 -14 -15 -16 -17 -18 -19",
    0: "-11 -16 -19 -22 -24 -26 -27 -29 -30 -31 -32 -33",
    -20: "-34 -41 -45 -48 -51 -53 -55 -57 -58 -60 -61 -62",
    -45: "-63 -72 -77 -81 -84 -87 -89 -91 -93 -95 -97 -98",
}


def half_away(values: np.ndarray) -> np.ndarray:
    return np.sign(values) * np.floor(np.abs(values) + 0.5)


@pytest.mark.parametrize("temperature_f", CHART_F)
def test_every_entry_of_the_chart(temperature_f: int) -> None:
    printed = np.array(CHART_F[temperature_f].split(), dtype=float)
    assert half_away(wind_chill_f(temperature_f, WIND_MPH)).tolist() == printed.tolist()


def test_the_metric_form_agrees() -> None:
    for t_c, v_kmh in ((-10.0, 20.0), (-20.0, 30.0), (0.0, 10.0)):
        metric = 13.12 + 0.6215 * t_c - 11.37 * v_kmh**0.16 + 0.3965 * t_c * v_kmh**0.16
        assert float(wind_chill_c(t_c, v_kmh / 3.6 * FACE_SHARE)) == pytest.approx(metric, abs=0.06)
    assert pytest.approx(-17.86, abs=0.005) == 13.12 - 6.215 - 11.37 * 20**0.16 - 3.965 * 20**0.16


def test_where_the_index_is_not_defined_the_air_itself_is_told() -> None:
    assert wind_chill_f([51.0, 20.0], [30.0, 2.9]).tolist() == [51.0, 20.0]
    assert float(wind_chill_c(-5.0, 0.0)) == pytest.approx(-5.0)
