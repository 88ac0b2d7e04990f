"""The effective detection radius, against its integral over level ground and against a sum over all cells."""

import numpy as np
import pytest
from scipy.integrate import quad

from hushwalk.errors import SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.earshot_map import earshot_map, effective_radius
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.soundscape import FootprintParams, Soundscape

REACH_M = 400.0


def soundscape(elevation: Layer, call: Call) -> Soundscape:
    how = FootprintParams(reach_m=REACH_M, chance_floor=0.0, threads=1)
    return Soundscape(AcousticGround(elevation), Conditions(wind_at_ear_ms=3.0), call, Listener(), how)


def test_on_level_open_ground_it_is_the_integral_and_the_same_at_the_rim(flat: Layer, call: Call) -> None:
    """Buckland et al. 2001: the squared radius is twice the integral of g(r) r dr."""
    heard = soundscape(flat, call)
    west, south, east, north = flat.grid.bounds
    middle = np.array([(west + east) / 2, (south + north) / 2])
    alone = soundscape(flat, call).level

    def at(r: float) -> float:
        return float(alone.chance(np.array([r]))[0]) * r

    integral = np.sqrt(2 * quad(at, 1.0, REACH_M, limit=200)[0])
    assert effective_radius(heard, middle) == pytest.approx(integral, rel=0.03)
    assert effective_radius(heard, np.array([west + 5.0, north - 5.0])) == pytest.approx(integral, rel=0.03)


def test_over_a_wall_it_is_what_all_cells_sum_up_to(flat: Layer, call: Call) -> None:
    wall = flat.values.copy()
    wall[:, 84:86] += 30
    heard = soundscape(flat.with_values(wall), call)
    west, south, east, north = flat.grid.bounds
    ear = np.array([(west + east) / 2, (south + north) / 2])
    chance = heard.footprint(ear)
    rows, cols = np.indices(flat.grid.shape)
    away = np.hypot(*(flat.grid.xy(rows.ravel(), cols.ravel()) - ear).T)
    area = np.nansum(chance.values.ravel()[away <= REACH_M]) * flat.grid.cell_m**2
    assert effective_radius(heard, ear) == pytest.approx(np.sqrt(area / np.pi), rel=0.04)


def test_the_map_is_that_of_each_ear_and_unknown_ground_stays_unknown(flat: Layer, call: Call) -> None:
    holed = flat.values.copy()
    holed[:30, :30] = np.nan
    heard = soundscape(flat.with_values(holed), call)
    rows: list[tuple[int, int]] = []
    found = earshot_map(heard, 20 * flat.grid.cell_m, lambda done, of: rows.append((done, of)))
    assert found.unit == "m"
    assert np.isnan(found.values[0, 0])
    assert found.values[2, 2] == effective_radius(heard, found.grid.xy([2], [2])[0])
    assert rows[-1] == (found.grid.n_rows, found.grid.n_rows)
    with pytest.raises(SettingsError, match="an earshot map has cells of"):
        earshot_map(heard, 1.0)
