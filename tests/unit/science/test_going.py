import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.science.going import (
    night_speed_factor,
    off_path_time_factors,
    snow_sinkage_m,
    snow_speed_factor,
    usual_sinkage_m,
)


def test_the_night_ends_in_a_straight_ramp_from_nautical_to_civil_dawn() -> None:
    altitude = np.array([-40.0, -12.0, -9.0, -6.0, 3.0])
    assert night_speed_factor(altitude, on_trail=False) == pytest.approx([0.67, 0.67, 0.835, 1.0, 1.0])


def test_bare_ground_is_not_slowed_and_deeper_snow_slows_more() -> None:
    factors = snow_speed_factor([0.0, 0.01, 0.05, 0.2, 0.5])
    assert factors[0] == 1.0
    assert np.all(np.diff(factors) < 0)


def test_negative_sinkage_is_an_error() -> None:
    with pytest.raises(SettingsError, match="sinkage"):
        snow_speed_factor(-0.1)


def test_snow_denser_than_ice_carries() -> None:
    assert float(snow_sinkage_m(0.4, 2000.0)) == 0.0


def test_the_words_of_the_trip_file_have_a_sinkage() -> None:
    assert usual_sinkage_m("none") == 0.0 < usual_sinkage_m("old") < usual_sinkage_m("fresh")
    with pytest.raises(SettingsError, match="none, old, fresh"):
        usual_sinkage_m("deep")


def test_woods_count_as_one_and_thickets_as_more() -> None:
    factors = off_path_time_factors()
    assert factors["closed_forest"] == 1.0
    assert factors["open_hardwood"] < 1 < factors["young_dense"] < factors["blowdown"]
