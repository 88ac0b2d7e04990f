import numpy as np
import pytest

from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.hearing.background import (
    band_noise_db,
    road_noise,
    stream_noise,
    water_noise_db,
    wind_noise_db,
)
from hushwalk.science.traffic_noise import road_dba

BANDS_HZ = np.array([40.0, 63.0, 100.0])


@pytest.mark.parametrize(
    ("wind", "levels"),
    [(2, [33.6, 29.6, 25.6]), (3, [40.2, 36.3, 32.3]), (5, [48.6, 44.7, 40.7]), (8, [56.4, 52.4, 48.4])],
)
def test_wind_by_band(wind: float, levels: list[float]) -> None:
    assert wind_noise_db(BANDS_HZ, wind) == pytest.approx(levels, abs=0.1)


def test_water_by_band() -> None:
    assert water_noise_db(BANDS_HZ, 55.0) == pytest.approx([25, 29, 33], abs=0.1)


def test_without_wind_and_water_only_the_quiet_is_left() -> None:
    assert band_noise_db(BANDS_HZ, 0.0) == pytest.approx(np.full(3, 25.0))
    assert band_noise_db(BANDS_HZ, 1e-30) == pytest.approx(np.full(3, 25.0))


def test_water_fades_by_3_db_as_its_distance_doubles(flat: Layer) -> None:
    far = np.full(flat.grid.shape, 10.0)
    far[0, 1:4] = [20.0, 0.0, np.nan]
    level = stream_noise({"creek": flat.with_values(far)}).values
    assert level[5, 5] == 55
    assert level[0, 1] == pytest.approx(55 - 3.01, abs=0.01)
    assert level[0, 2] == pytest.approx(55 + 10 * np.log10(10 / 3))
    assert np.isnan(level[0, 3])


def test_two_waters_add_as_energies(flat: Layer) -> None:
    here = flat.with_values(np.full(flat.grid.shape, 10.0))
    both = stream_noise({"creek": here, "rapids": here}).values[0, 0]
    assert both == pytest.approx(10 * np.log10(10**5.5 + 10**6.5))


def test_a_kind_of_water_that_is_unknown_is_named(flat: Layer) -> None:
    with pytest.raises(InputError, match="fountain"):
        stream_noise({"fountain": flat})
    with pytest.raises(InputError, match="at least one"):
        stream_noise({})


def test_running_water_is_loudest_at_its_peak() -> None:
    level = water_noise_db(np.array([63.0, 250.0, 500.0, 1000.0, 4000.0]), 50.0)
    assert level[2] == max(level)
    assert level[1] == pytest.approx(level[2] - 20 * np.log10(2))  # 6 dB an octave below the peak
    assert level[3] == pytest.approx(level[2] - 10 * np.log10(2))  # 3 dB an octave above it, assumed
    assert level[4] < level[3]


def test_traffic_is_added_to_the_rest_and_falls_by_three_decibels_a_doubling() -> None:
    grid = Grid(32615, 0.0, 20.0, 10.0, 2, 3)
    far = Layer("distance", "m", grid, np.array([[1.0, 10.0, 20.0], [40.0, 400.0, 800.0]]))
    level = road_noise({"motorway": far}).values
    assert level[0, 1] - level[0, 2] == pytest.approx(10 * np.log10(2))
    assert level[0, 0] == pytest.approx(road_dba("motorway") - 10 * np.log10(5))  # nobody stands nearer than 5 m
    both = road_noise({"motorway": far, "trunk": far}).values
    assert (both > level).all()
    quiet, loud = band_noise_db(BANDS_HZ, 0.0), band_noise_db(BANDS_HZ, 0.0, traffic_dba=55.0)
    assert (loud > quiet + 10).all()


def test_without_a_busy_road_there_is_no_layer_of_traffic() -> None:
    with pytest.raises(InputError, match="at least one class of road"):
        road_noise({})
