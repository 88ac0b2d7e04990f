"""ISO 9613-1:1993 table 1: absorption of pure tones in air at 101.325 kPa, in dB/km.

Table values are for exact mid-bands 1000*10^(k/10) Hz (6.4, note 5). Tolerance: the last printed digit.
"""

import math

import pytest

from hushwalk.science.sound_air import air_db_per_m

# temperature [C], humidity [%], nominal band [Hz], printed [dB/km]
TABLE_1 = [
    (-20, 10, 50, "0.589"), (-20, 70, 50, "0.125"), (-10, 70, 125, "0.332"), (0, 10, 1000, "14.0"),
    (0, 50, 1000, "6.83"), (0, 70, 125, "0.390"), (0, 100, 125, "0.354"), (5, 50, 1000, "5.08"),
    (5, 70, 1000, "3.80"), (20, 70, 125, "0.339"), (20, 70, 200, "0.776"), (30, 70, 4000, "23.1"),
    (10, 10, 125, "0.788"), (10, 70, 125, "0.411"), (10, 70, 1000, "3.66"), (10, 70, 4000, "32.8"),
    (15, 70, 1000, "4.08"), (20, 10, 50, "0.270"), (20, 80, 50, "0.0501"), (20, 100, 50, "0.0403"),
    (20, 50, 100, "0.294"), (20, 70, 1000, "4.98"), (20, 15, 6300, "175"), (20, 80, 10000, "105"),
]  # fmt: skip


def exact_mid_band_hz(nominal_hz: float) -> float:
    return 1000 * 10 ** (round(10 * math.log10(nominal_hz / 1000)) / 10)


@pytest.mark.parametrize(("temperature_c", "humidity_pct", "band_hz", "printed"), TABLE_1)
def test_the_table_is_met_at_its_printed_digits(
    temperature_c: float, humidity_pct: float, band_hz: float, printed: str
) -> None:
    digits = len(printed.partition(".")[2])
    computed = 1000 * float(air_db_per_m(exact_mid_band_hz(band_hz), temperature_c, humidity_pct))
    # half a unit of the last printed digit, and a tenth of one for the standard's own rounding
    assert computed == pytest.approx(float(printed), abs=0.6 * 10**-digits)
