from collections.abc import Callable

import numpy as np
import pytest

from hushwalk.errors import PlaceError, SettingsError
from hushwalk.filming.skyline import SkylineParams, sky_view, skyline_at
from hushwalk.grid.layer import Layer
from hushwalk.grid.points import convergence_deg

MIDDLE = (597_700.0, 5_272_900.0)  # of the made country

Country = Callable[[Callable[[np.ndarray, np.ndarray], np.ndarray]], Layer]
NEAR = SkylineParams(eye_m=0.0, reach_m=900.0)


def test_level_ground_lies_just_below_the_level(country: Country) -> None:
    got = skyline_at(country(lambda _e, _n: 400.0), MIDDLE, params=SkylineParams(eye_m=0.6, reach_m=900.0))
    assert np.all((got.terrain_deg < 0) & (got.terrain_deg > -0.2))
    assert np.all(got.coverage_m == 900.0)


def test_a_plane_is_as_steep_as_it_is(country: Country) -> None:
    """A plane that rises 0.2 to grid east: the skyline at bearing b is atan(0.2 sin b)."""
    got = skyline_at(country(lambda e, _n: 400 + 0.2 * e), MIDDLE, params=NEAR)
    turn = float(convergence_deg(32615, np.array(MIDDLE)))
    exact = np.degrees(np.arctan(0.2 * np.sin(np.radians(got.azimuth_deg - turn))))
    uphill = exact > 0
    assert got.terrain_deg[uphill] == pytest.approx(exact[uphill], abs=0.001)


def test_the_trees_that_were_measured_are_joined(country: Country) -> None:
    """A tree line of 20 m at 50 m stands 21.8 deg up: near beats far."""
    angle = np.degrees(np.arctan2(20, 50))
    got = skyline_at(country(lambda e, _n: 400 + 0.1 * e), MIDDLE, np.array([[80, angle], [100, angle]]), NEAR)
    assert got.angle_deg[90] == pytest.approx(21.80, abs=0.005)
    assert got.angle_deg[60] == got.terrain_deg[60]
    assert got.measured


def test_rays_that_leave_the_heights_are_told(country: Country) -> None:
    got = skyline_at(country(lambda _e, _n: 400.0), MIDDLE, params=SkylineParams(reach_m=5000.0))
    assert got.coverage_m.min() == pytest.approx(1000, abs=15)
    assert got.short.all()
    assert not got.measured


def test_a_hole_in_the_heights_ends_the_coverage_but_not_the_look(country: Country) -> None:
    layer = country(lambda e, _n: np.where(e > 700, 500.0, 400.0))
    values = np.array(layer.values)
    values[:, 130:140] = np.nan
    got = skyline_at(layer.with_values(values), MIDDLE, params=NEAR)
    assert got.coverage_m[90] == pytest.approx(280, abs=15)
    assert got.terrain_deg[90] == pytest.approx(np.degrees(np.arctan2(100, 710)), abs=0.1)


def test_a_log_off_the_heights_or_on_a_hole_is_refused(country: Country) -> None:
    layer = country(lambda _e, _n: 400.0)
    with pytest.raises(PlaceError, match="the log"):
        skyline_at(layer, (MIDDLE[0] + 5000, MIDDLE[1]))
    holed = np.array(layer.values)
    holed[95:105, 95:105] = np.nan
    with pytest.raises(PlaceError, match="no heights"):
        skyline_at(layer.with_values(holed), MIDDLE)


def test_a_measured_point_that_cannot_be_is_refused(country: Country) -> None:
    with pytest.raises(SettingsError, match="measured skyline"):
        skyline_at(country(lambda _e, _n: 400.0), MIDDLE, np.array([[80.0, 120.0]]), NEAR)
    with pytest.raises(SettingsError, match="reach_m above 0"):
        SkylineParams(reach_m=0.0)


def test_a_wall_all_round_hides_the_low_sky(country: Country) -> None:
    """Level ground in a ring of walls that stand 45 deg up sees cos^2 45 = half of the sky."""
    got = skyline_at(country(lambda e, n: 400 + np.where(np.hypot(e, n) > 300, np.hypot(e, n), 0)), MIDDLE, params=NEAR)
    assert sky_view(got) == pytest.approx(0.5, abs=0.01)
