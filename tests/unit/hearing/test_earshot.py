import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.earshot import earshot
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.soundscape import FootprintParams, Soundscape

STOP_M = (500_803.0, 5_199_688.0)
NEAR = FootprintParams(reach_m=250.0, target_cell_m=30.0, chance_floor=0.0, threads=1)


def near(elevation: Layer, call: Call) -> Soundscape:
    return Soundscape(AcousticGround(elevation), Conditions(), call, Listener(), NEAR)


def test_earshot_on_open_level_ground_is_a_circle(flat: Layer, call: Call) -> None:
    windy = Conditions(wind_at_ear_ms=4.0)
    chance = Soundscape(AcousticGround(flat), windy, call, Listener(), FootprintParams(reach_m=300)).footprint(STOP_M)
    edge = earshot(chance, STOP_M)
    assert edge.radius_m == pytest.approx(np.full(72, edge.median_m), abs=3)
    assert len(edge.rings) == 1
    assert np.hypot(*(edge.rings[0] - STOP_M).T) == pytest.approx(np.full(len(edge.rings[0]), edge.median_m), abs=3)


def test_earshot_says_where_a_wall_closes_it(flat: Layer, call: Call) -> None:
    wall = flat.values.copy()
    wall[:, 84:86] += 40  # east of the stop
    chance = near(flat.with_values(wall), call).footprint(STOP_M)
    assert earshot(chance, STOP_M).radius_m[18] < 100 < earshot(chance, STOP_M).radius_m[54]
    with pytest.raises(SettingsError, match="level"):
        earshot(chance, STOP_M, 1.0)


def test_rings_close_at_the_rim_of_the_grid(flat: Layer, call: Call) -> None:
    corner = (500_015.0, 5_199_985.0)
    edge = earshot(near(flat, call).footprint(corner), corner)
    assert all(np.allclose(ring[0], ring[-1]) for ring in edge.rings)
