"""Where one may stand within a walk: reached on foot, and off houses, private ways and shores."""

import numpy as np

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.site.walk_network import WalkNetwork
from hushwalk.walking.ground import build_ground
from hushwalk.walking.traveller import on_foot

GRID = Grid(32615, 500_000, 5_200_000, 10, 60, 60)


def test_stands_are_where_one_can_walk_and_may_stand() -> None:
    traveller = on_foot("irmischer_clarke_off_path")
    water = np.zeros(GRID.shape, bool)
    water[:, 50:] = True
    flat = Layer("elevation", "m", GRID, np.full(GRID.shape, 300.0))
    graph = traveller.network(build_ground(flat, params=traveller.ground_params, water=water))
    no_stop = np.zeros(GRID.shape, bool)
    no_stop[20:25, 20:25] = True
    way = WalkNetwork(graph, np.zeros(GRID.shape), np.zeros(GRID.shape, bool), no_stop)
    stands = way.stands_from((500_105.0, 5_199_895.0), 3600.0)
    assert not stands.known[no_stop].any()
    assert not stands.known[water].any()
    assert stands.known[~(no_stop | water)].all()
    assert stands.values[22, 30] > stands.values[22, 18] > 0  # one walks on past the place where nobody stands
