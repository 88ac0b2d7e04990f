import numpy as np
import pytest

from hushwalk.science.hearing_threshold import (
    ear_filter_excess_db,
    ear_filter_hz,
    masked_threshold_db,
    summed_db,
    threshold_db,
)
from hushwalk.science.sound_air import air_db_per_m, water_vapour_pct
from hushwalk.science.sound_foliage import dense_metres, factor_steps, foliage_db_per_m
from hushwalk.science.sound_ground import ground_db, octave_ground_db, snow_db
from hushwalk.science.sound_spreading import spreading_db
from hushwalk.science.sound_tables import sound_table

BANDS_HZ = np.array([40.0, 50.0, 63.0, 80.0, 100.0])


def test_air_takes_next_to_nothing_from_a_drum() -> None:
    assert np.all(1000 * air_db_per_m(BANDS_HZ, 2.0, 80.0) < 0.3)


def test_thin_air_takes_more_of_a_low_tone_at_equal_humidity() -> None:
    assert air_db_per_m(63.0, 10.0, 70.0, 80.0) != air_db_per_m(63.0, 10.0, 70.0)
    assert float(water_vapour_pct(20.0, 50.0, 80.0)) > float(water_vapour_pct(20.0, 50.0))


def test_spreading_never_becomes_a_gain() -> None:
    assert spreading_db([0.0, 0.3, 1.0]).tolist() == [0, 0, 0]


def test_the_ground_of_a_grouse_on_its_log() -> None:
    # worked out from the standard's formulas for 0.5 m and 1.6 m over porous ground, 63 to 1000 Hz
    expected = {
        100: [-4.11, 1.16, 13.18, 14.52, 3.88],
        200: [-5.05, 2.07, 14.96, 16.48, 4.41],
        300: [-5.37, 3.26, 15.20, 16.75, 4.48],
        500: [-5.62, 6.10, 15.24, 16.79, 4.49],
    }
    for far, losses in expected.items():
        assert octave_ground_db(float(far), 0.5, 1.6)[:5] == pytest.approx(losses, abs=0.006)


def test_third_octaves_lie_between_the_octaves() -> None:
    losses = ground_db(BANDS_HZ, np.array([300.0]), 0.5, 1.6)[:, 0]
    assert losses[:3] == pytest.approx(np.full(3, -5.37), abs=0.005)
    assert losses[3:] == pytest.approx([-5.37 + w * (3.26 + 5.37) for w in (0.345, 0.667)], abs=0.07)


def test_snow_by_its_three_words() -> None:
    assert snow_db(BANDS_HZ, "none").tolist() == [0] * 5
    assert np.all(snow_db(BANDS_HZ, "fresh") >= snow_db(BANDS_HZ, "old"))
    with pytest.raises(ValueError, match="deep"):
        snow_db(BANDS_HZ, "deep")


def test_foliage_below_63_hz_falls_with_the_frequency() -> None:
    assert foliage_db_per_m(BANDS_HZ) == pytest.approx([0.0127, 0.0159, 0.02, 0.0235, 0.0267], abs=1e-4)


def test_cover_factors_become_steps_of_a_twentieth() -> None:
    assert factor_steps(np.array([0.0, 0.25, 0.5, 1.0, np.nan])).tolist() == [0, 5, 10, 20, -1]


def crossed(**pieces: int) -> np.ndarray:
    steps = np.zeros(21, dtype=np.int64)
    for word, count in pieces.items():
        steps[int(word.removeprefix("s"))] = count
    return steps


@pytest.mark.parametrize(
    ("steps", "metres"),
    [
        (crossed(s5=30), 50.0),  # 300 m of leafless hardwood count as the densest 200 m, a quarter each
        (crossed(s20=10, s5=30), 125.0),  # 100 m dense and 100 m of the rest
        (crossed(s20=30), 200.0),
        (crossed(s20=1), 0.0),  # 10 m are too few
        (crossed(s20=2), 20.0),
        (crossed(s0=50), 0.0),
    ],
)
def test_dense_metres_of_a_mixed_path(steps: np.ndarray, metres: float) -> None:
    assert dense_metres(steps, 10.0, 20.0, 200.0) == pytest.approx(metres)


def test_the_ears_filter_lets_in_more_than_a_third_octave() -> None:
    # printed for 40, 50, 63, 80, 100 Hz: 29.0, 30.1, 31.5, 33.3, 35.5 Hz, and 5.0, 4.1, 3.3, 2.6, 1.9 dB
    assert ear_filter_hz(BANDS_HZ) == pytest.approx([29.0, 30.1, 31.5, 33.3, 35.5], abs=0.05)
    assert ear_filter_excess_db(BANDS_HZ) == pytest.approx([5.0, 4.1, 3.3, 2.6, 1.9], abs=0.06)


def test_noise_masks_by_energy() -> None:
    quiet = masked_threshold_db(BANDS_HZ, np.full(5, -100.0))
    assert quiet == pytest.approx(threshold_db(BANDS_HZ))
    loud = masked_threshold_db(BANDS_HZ, np.full(5, 90.0))
    assert loud == pytest.approx(90 + ear_filter_excess_db(BANDS_HZ) + 3, abs=0.01)
    assert summed_db(np.array(60.0), np.array(60.0)) == pytest.approx(63.01, abs=0.01)


def test_a_table_that_is_not_there_is_our_own_fault() -> None:
    with pytest.raises(KeyError):
        sound_table("moonlight")
