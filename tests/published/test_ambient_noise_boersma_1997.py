"""Boersma 1997, JASA 101:2104-2110 (abstract): wind noise over grassland, total L95 = 37.9 lg v + 42.5 dB.

Third-octave intensity falls as f^-2 from the lowest band measured, 6.3 Hz.
"""

import numpy as np
import pytest

from hushwalk.hearing.background import wind_noise_db


@pytest.mark.parametrize("wind_ms", [1.0, 2.0, 3.0, 5.0, 8.0])
def test_the_bands_add_up_to_the_published_total(wind_ms: float) -> None:
    bands_hz = 6.3 * 10 ** (np.arange(40) / 10)
    total = 10 * np.log10(np.sum(10 ** (wind_noise_db(bands_hz, wind_ms) / 10)))
    assert total == pytest.approx(37.9 * np.log10(wind_ms) + 42.5, abs=0.05)


def test_double_the_frequency_is_6_db_less() -> None:
    low, high = wind_noise_db(np.array([40.0, 80.0]), 3.0)
    assert low - high == pytest.approx(6.02, abs=0.01)
