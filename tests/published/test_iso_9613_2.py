"""ISO 9613-2:1996: ground effect (7.3.1, table 3), dense foliage (table A.1), screening (7.4), spreading (equation 7).

Read in the standard: the tables, C2, C3 and the least path difference. From memory, confirmed by second-hand accounts
of the formula: Kmet and the limits of 20 and 25 dB.
"""

import math

import numpy as np
import pytest

from hushwalk.science.sound_foliage import foliage_db
from hushwalk.science.sound_ground import middle_share, octave_ground_db, porous_terms
from hushwalk.science.sound_screen import edge_loss_db
from hushwalk.science.sound_spreading import spreading_db

# table A.1: octave band [Hz], loss [dB/m] or [dB]
PER_METRE_DB = [
    (63, 0.02), (125, 0.03), (250, 0.04), (500, 0.05), (1000, 0.06), (2000, 0.08), (4000, 0.09), (8000, 0.12),
]  # fmt: skip
FIXED_DB = [(63, 0), (125, 0), (250, 1), (500, 1), (1000, 1), (2000, 1), (4000, 2), (8000, 3)]


def test_the_worked_example_over_hard_ground() -> None:
    # worked check: source 2 m, receiver 4 m, 500 m, G = 0
    assert float(middle_share(500.0, 2.0, 4.0)) == pytest.approx(0.64, abs=0.005)
    assert octave_ground_db(500.0, 2.0, 4.0, 0.0) == pytest.approx(np.full(8, -4.92), abs=0.005)


def test_the_printed_value_of_the_second_ground_function() -> None:
    assert porous_terms(0.0, 200.0)[1] == pytest.approx(9.9425, abs=5e-5)


def test_table_3_at_63_hz_knows_neither_ground_nor_height() -> None:
    for factor in (0.0, 0.5, 1.0):
        for height in (0.5, 4.0):
            q = 1 - 30 * (height + height) / 1000
            assert octave_ground_db(1000.0, height, height, factor)[0] == pytest.approx(-1.5 - 1.5 - 3 * q)


def test_table_3_from_2_khz_up_has_only_the_ground_factor() -> None:
    d, hs, hr, g = 400.0, 1.0, 2.0, 0.7
    q = 1 - 30 * (hs + hr) / d
    expected = 2 * -1.5 * (1 - g) - 3 * q * (1 - g)
    assert octave_ground_db(d, hs, hr, g)[5:] == pytest.approx(np.full(3, expected))


def test_near_the_source_there_is_no_middle_region() -> None:
    assert middle_share(np.array([1.0, 62.9, 63.0]), 0.5, 1.6) == pytest.approx(np.zeros(3))


@pytest.mark.parametrize(("band_hz", "per_m"), PER_METRE_DB)
def test_foliage_from_20_to_200_m(band_hz: float, per_m: float) -> None:
    assert foliage_db(band_hz, [20.0, 100.0, 200.0]) == pytest.approx(per_m * np.array([20.0, 100.0, 200.0]))
    assert float(foliage_db(band_hz, 900.0)) == pytest.approx(per_m * 200)


@pytest.mark.parametrize(("band_hz", "fixed"), FIXED_DB)
def test_foliage_of_10_to_20_m_takes_a_fixed_loss_and_less_takes_nothing(band_hz: float, fixed: float) -> None:
    assert foliage_db(band_hz, [0.0, 9.9, 10.0, 19.9]) == pytest.approx([0, 0, fixed, fixed])


@pytest.mark.parametrize("frequency_hz", [40.0, 63.0, 1000.0])
def test_a_line_of_sight_well_above_the_edge_is_not_screened(frequency_hz: float) -> None:
    wave = 340 / frequency_hz
    least = -2 * wave / 20
    assert edge_loss_db(least * 1.001, 50.0, 50.0, 100.0, 0.0, 0.0, wave) == 0
    assert 0 < edge_loss_db(least * 0.98, 50.0, 50.0, 100.0, 0.0, 0.0, wave) < 0.2


def test_a_grazing_edge_takes_10_lg_3() -> None:
    assert edge_loss_db(0.0, 50.0, 50.0, 100.0, 0.0, 0.0, 8.5) == pytest.approx(10 * math.log10(3))


def test_the_limits_of_one_edge_and_of_two() -> None:
    assert edge_loss_db(500.0, 50.0, 50.0, 100.0, 0.0, 0.0, 1.0) == 20
    assert edge_loss_db(500.0, 50.0, 50.0, 100.0, 80.0, 1.0, 1.0) == 25


@pytest.mark.parametrize("between_m", [5.0, 40.0, 400.0])
def test_two_edges_raise_the_path_difference_by_c3(between_m: float) -> None:
    wave, z, dss, dsr, d = 5.4, 2.0, 60.0, 90.0, 150.0 + between_m - 2.0
    c3 = (1 + (5 * wave / between_m) ** 2) / (1 / 3 + (5 * wave / between_m) ** 2)
    kmet = math.exp(-math.sqrt(dss * dsr * d / (2 * z)) / 2000)
    expected = 10 * math.log10(3 + 20 / wave * c3 * z * kmet)
    assert edge_loss_db(z, dss, dsr, d, between_m, 1.0, wave) == pytest.approx(expected)


def test_spreading_doubles_by_6_db() -> None:
    # equation 7 less the 11 dB from sound power to 1 m
    assert spreading_db([100, 200, 300, 400, 800]) == pytest.approx([40.0, 46.0, 49.5, 52.0, 58.1], abs=0.05)
