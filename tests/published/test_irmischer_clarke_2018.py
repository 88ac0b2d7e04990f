"""Irmischer and Clarke 2018, CaGIS 45:177-186: speed while navigating wooded ground, on and off path."""

import pytest

from hushwalk.science.gait import pace_functions

# m/s by slope, worked out from the published equation by the author of the project's reference notes
SLOPES = [-0.50, -0.30, -0.20, -0.10, -0.05, 0, 0.05, 0.10, 0.20, 0.30, 0.50]
MEN_ON = [0.4347, 0.8166, 0.9925, 1.0962, 1.1100, 1.0962, 1.0560, 0.9925, 0.8166, 0.6163, 0.2963]
MEN_OFF = [0.2963, 0.5434, 0.6696, 0.7566, 0.7767, 0.7785, 0.7620, 0.7285, 0.6220, 0.4893, 0.2592]
WOMEN_OFF = [0.2815, 0.5163, 0.6361, 0.7188, 0.7378, 0.7396, 0.7239, 0.6921, 0.5909, 0.4649, 0.2462]
SPEEDS_MS = {
    "irmischer_clarke_on_path": MEN_ON,
    "irmischer_clarke_off_path": MEN_OFF,
    "irmischer_clarke_off_path_female": WOMEN_OFF,
}


@pytest.mark.parametrize("name", SPEEDS_MS)
def test_the_equation(name: str) -> None:
    assert pace_functions()[name].speed_ms(SLOPES) == pytest.approx(SPEEDS_MS[name], abs=5.1e-5)


def test_the_printed_flat_speed_off_path_decides_between_two_readings() -> None:
    """2.803 km/h; with (2 x 30)^2 under the fraction, as one manual prints it, it would be 2.806."""
    assert float(pace_functions()["irmischer_clarke_off_path"].speed_ms(0.0)) * 3.6 == pytest.approx(2.803, abs=5e-4)
