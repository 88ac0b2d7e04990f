"""Campbell and others 2019, Applied Geography 106:93-107: trail speeds by percentile."""

import pytest

from hushwalk.science.gait import pace_functions

# m/s by slope, worked out from the published equation by the author of the project's reference notes
SLOPES = [-0.50, -0.30, -0.20, -0.10, -0.05, 0, 0.05, 0.10, 0.20, 0.30, 0.50]
SPEEDS_MS = {
    5: [0.5922, 0.7506, 0.9127, 1.1021, 1.1549, 1.1448, 1.0724, 0.9638, 0.7437, 0.5852, 0.4143],
    50: [1.0439, 1.3582, 1.7839, 2.4463, 2.6453, 2.5519, 2.2253, 1.8496, 1.2962, 0.9966, 0.7250],
}


@pytest.mark.parametrize("percentile", SPEEDS_MS)
def test_the_equation(percentile: int) -> None:
    pace = pace_functions()[f"campbell_2019_p{percentile:02d}"]
    assert pace.speed_ms(SLOPES) == pytest.approx(SPEEDS_MS[percentile], abs=5.1e-5)


def test_all_twenty_one_percentiles_are_there_and_in_order_on_the_flat() -> None:
    named = [name for name in pace_functions() if name.startswith("campbell_2019_p")]
    flat = [float(pace_functions()[name].speed_ms(0.0)) for name in sorted(named)]
    assert len(flat) == 21
    assert flat == sorted(flat)
