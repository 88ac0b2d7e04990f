"""Which stops of a plan under way may still be stood at."""

from datetime import UTC, datetime

import numpy as np

from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_lonlat
from hushwalk.morning.replan import stops_to_come
from hushwalk.notes.planned_walk import PlannedStop
from hushwalk.wording.warning_words import not_stood_words

GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 50, 50)
NOW = datetime(2027, 4, 24, 11, tzinfo=UTC)


def stop(name: str, east_m: float) -> PlannedStop:
    lon_deg, lat_deg = np.ravel(to_lonlat(GRID.epsg, np.array([[500_000.0 + east_m, 5_199_755.0]])))
    return PlannedStop(name, float(lon_deg), float(lat_deg), NOW, NOW)


def test_a_stop_that_nobody_may_stand_at_is_left_out_by_name() -> None:
    no_stop = np.zeros(GRID.shape, bool)
    no_stop[:, 30:] = True
    stops = (stop("P03", 105.0), stop("P04", 355.0), stop("P05", 205.0))
    kept, left_out = stops_to_come(stops, GRID, no_stop)
    assert [one.name for one in kept] == ["P03", "P05"]
    assert left_out == ("P04",)
    assert not_stood_words("P04").startswith("P04 of the plan is left out: by the layers and notes of today nobody may")
    assert stops_to_come((), GRID, no_stop) == ((), ())
