"""Noise of roads: the source model typed from its restatement, and a published rule for roads in Britain."""

import numpy as np
import pytest

from hushwalk.science.hearing_threshold import summed_db
from hushwalk.science.traffic_noise import (
    a_weighting_db,
    road_dba,
    road_level_db,
    traffic_band_db,
    traffic_table,
    vehicle_power_db,
)

BANDS = np.array(traffic_table()["vehicles"]["band_hz"], dtype=float)


def dba(levels: np.ndarray) -> float:
    return float(summed_db(*(levels + a_weighting_db(BANDS))))


def test_the_weighting_is_that_of_the_standard() -> None:
    # IEC 61672-1, table of the A weighting at 31.5, 63, 125, 250, 1000, 4000 Hz
    bands = np.array([31.5, 63, 125, 250, 1000, 4000.0])
    assert a_weighting_db(bands) == pytest.approx([-39.4, -26.2, -16.1, -8.6, 0.0, 1.0], abs=0.15)


def test_at_the_reference_speed_power_is_the_sum_of_both_coefficients() -> None:
    # Jonasson 2007, light vehicles at 70 km/h and 1 kHz: rolling 88.6, traction 79.2 dB
    at = int(np.flatnonzero(BANDS == 1000)[0])
    assert vehicle_power_db("light", 70.0)[at] == pytest.approx(10 * np.log10(10**8.86 + 10**7.92))
    # heavy vehicles at 63 Hz: rolling 83.5, traction 109.5 dB
    low = int(np.flatnonzero(BANDS == 63)[0])
    assert vehicle_power_db("heavy", 70.0)[low] == pytest.approx(10 * np.log10(10**8.35 + 10**10.95))


def test_a_busy_road_is_about_as_loud_as_the_british_rule_says() -> None:
    # Calculation of Road Traffic Noise (1988): L10 = 42.2 + 10 lg q at 10 m for 75 km/h without lorries, and the mean
    # level is about 3 dB lower; q = 1000 vehicles an hour
    british = 42.2 + 30 - 3
    ours = dba(road_level_db(1000, 75, 0.0)) - 10
    assert ours == pytest.approx(british, abs=3.0)


def test_twice_the_cars_are_three_decibels_and_twice_the_way_three_less() -> None:
    one, two = road_level_db(500, 80, 0.1), road_level_db(1000, 80, 0.1)
    assert two - one == pytest.approx(10 * np.log10(2))


def test_classes_come_in_order_and_flows_lie_within_their_published_ranges() -> None:
    levels = [road_dba(kind) for kind in ("motorway", "trunk", "primary", "secondary")]
    assert levels == sorted(levels, reverse=True)
    for row in traffic_table()["classes"].values():
        if isinstance(row, dict):
            low, high = row["range"]
            assert row["daily"] == pytest.approx(np.sqrt(low * high), rel=0.02)


def test_the_spectrum_adds_up_to_the_level_it_is_given() -> None:
    assert dba(traffic_band_db(BANDS, 55.0)) == pytest.approx(55.0)
