"""ISO 226:2023 table 1 and table B.1, ISO 226:2003 table 1: threshold of hearing and equal loudness.

Tolerance: the printed digit.
"""

import numpy as np
import pytest

from hushwalk.science.hearing_threshold import equally_loud_db, threshold_db

BANDS_HZ = [20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200]
THRESHOLD_2023_DB = [78.1, 68.7, 59.5, 51.1, 44.0, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4]
BANDS_2003_HZ = [250, 500, 1000]
THRESHOLD_2003_DB = [11.4, 4.4, 2.4]
HIGH_HZ, HIGH_DB = [2000, 3150, 4000], [-1.3, -6.0, -5.4]  # the edition of 2003, from memory


def test_the_threshold_of_hearing_as_printed() -> None:
    assert threshold_db(np.array(BANDS_HZ, dtype=float)) == pytest.approx(THRESHOLD_2023_DB, abs=0.05)
    assert threshold_db(np.array(BANDS_2003_HZ, dtype=float)) == pytest.approx(THRESHOLD_2003_DB, abs=0.05)
    assert threshold_db(np.array(HIGH_HZ, dtype=float)) == pytest.approx(HIGH_DB, abs=0.05)


def test_60_phon_at_100_hz() -> None:
    assert float(equally_loud_db(100, 60.0)) == pytest.approx(78.5, abs=0.05)  # table B.1


@pytest.mark.parametrize("band_hz", BANDS_HZ)
def test_the_loudness_of_the_threshold_is_2_4_phon(band_hz: float) -> None:
    # the exponent 0.072 of the standard is 0.03 times the 2.4 dB that 1 kHz needs
    printed = THRESHOLD_2023_DB[BANDS_HZ.index(band_hz)]
    assert float(equally_loud_db(band_hz, 2.4)) == pytest.approx(printed, abs=0.05)
