"""ERDC/CRREL on walking in snow (its abstract): energy coefficient by sinkage, and sinkage by depth and density."""

import pytest

from hushwalk.science.going import snow_energy_coefficient, snow_sinkage_m, snow_speed_factor

# sinkage cm: (eta, share of speed), worked out from the published equation in the project's reference notes
BY_SINKAGE_CM = {5: (1.86, 0.73), 10: (2.84, 0.59), 15: (4.58, 0.47)}


@pytest.mark.parametrize("sinkage_cm", BY_SINKAGE_CM)
def test_energy_and_speed(sinkage_cm: int) -> None:
    eta, speed = BY_SINKAGE_CM[sinkage_cm]
    assert float(snow_energy_coefficient(sinkage_cm / 100)) == pytest.approx(eta, abs=0.0051)
    assert float(snow_speed_factor(sinkage_cm / 100)) == pytest.approx(speed, abs=0.0051)


def test_sinkage() -> None:
    """30 cm of snow of 0.3 g/cm3: 30 (1 - 0.3 / 1.186) cm."""
    assert float(snow_sinkage_m(0.30, 300.0)) == pytest.approx(0.30 * (1 - 0.3 / 1.186))
