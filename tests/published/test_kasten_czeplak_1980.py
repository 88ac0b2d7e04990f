"""Cloud factors of Kasten and Czeplak (1980), G / G_clear = 1 - 0.75 (N / 8)^3.4, as in several open codes."""

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.science.exposure import cloud_transmittance

BY_OKTAS = [1, 0.9994, 0.9933, 0.9733, 0.9290, 0.8483, 0.7180, 0.5237, 0.2500]
STOPS = [0, 0, -0.01, -0.04, -0.11, -0.24, -0.48, -0.93, -2.00]


def test_all_nine_factors() -> None:
    assert cloud_transmittance(np.arange(9)) == pytest.approx(BY_OKTAS, abs=1e-4)
    assert np.log2(cloud_transmittance(np.arange(9))) == pytest.approx(STOPS, abs=0.006)


def test_there_are_eight_eighths() -> None:
    with pytest.raises(SettingsError, match=r"oktas 0\.\.8"):
        cloud_transmittance(9)
