import networkx as nx
import numpy as np
import pytest
import shapely

from hushwalk.grid.grid import Grid
from hushwalk.walking.trails import TrailNetwork, TrailParams, WaysApart, weave_trails

GRID = Grid(32615, 0.0, 1000.0, 10.0, 100, 100)


def as_networkx(network: TrailNetwork) -> nx.Graph:
    graph = nx.Graph()
    graph.add_nodes_from(range(len(network.xy_m)))
    pieces = zip(network.edges.tolist(), network.length_m.tolist(), strict=True)
    graph.add_edges_from((a, b, {"length_m": length}) for (a, b), length in pieces)
    return graph


def across(n: float, west: float = 100.0, east: float = 900.0) -> shapely.LineString:
    return shapely.LineString([(west, n), (east, n)])


def test_lines_that_cross_without_a_vertex_are_joined() -> None:
    network = weave_trails(GRID, [across(505.0)], [shapely.LineString([(333.0, 100.0), (333.0, 900.0)])])
    graph = as_networkx(network)
    assert nx.number_connected_components(graph) == 1
    assert sorted({degree for _, degree in graph.degree}) == [1, 2, 4]
    assert network.length_m.sum() == pytest.approx(1600.0)
    assert network.length_m.max() <= 10.0 + 1e-9


def test_the_shortest_way_along_trails_is_that_of_the_lines() -> None:
    network = weave_trails(GRID, [across(505.0), shapely.LineString([(333.0, 100.0), (333.0, 900.0)])])
    graph = as_networkx(network)
    ends = [int(np.argmin(np.hypot(*(network.xy_m - xy).T))) for xy in ([100.0, 505.0], [333.0, 900.0])]
    assert nx.shortest_path_length(graph, *ends, weight="length_m") == pytest.approx(233.0 + 395.0)


def test_a_loose_end_is_joined_to_a_line_nearby_and_not_to_one_far_off() -> None:
    short_of_it = shapely.LineString([(500.0, 900.0), (500.0, 517.0)])
    joined = weave_trails(GRID, [across(505.0), short_of_it])
    apart = weave_trails(GRID, [across(505.0), short_of_it], params=TrailParams(join_m=11.0))
    assert nx.number_connected_components(as_networkx(joined)) == 1
    assert nx.number_connected_components(as_networkx(apart)) == 2
    assert joined.length_m.sum() == pytest.approx(apart.length_m.sum() + 12.0)


def test_a_trail_bridges_a_river_but_not_a_lake() -> None:
    river, lake = np.zeros(GRID.shape, dtype=bool), np.zeros(GRID.shape, dtype=bool)
    river[:, 48:52] = True
    lake[:, 40:60] = True
    over_river = weave_trails(GRID, [across(505.0)], water=river)
    over_lake = weave_trails(GRID, [across(505.0)], water=lake)
    by_road = weave_trails(GRID, [], [across(505.0)], water=lake)
    assert (over_river.cut, over_lake.cut, by_road.cut) == (0, 1, 0)
    assert over_lake.length_m.sum() == pytest.approx(600.0)
    assert nx.number_connected_components(as_networkx(over_lake)) == 2


def test_nothing_runs_through_closed_ground() -> None:
    closed = np.zeros(GRID.shape, dtype=bool)
    closed[:, 50] = True
    network = weave_trails(GRID, [across(505.0)], [across(705.0)], closed=closed)
    assert network.cut == 2
    assert not np.any((network.xy_m[:, 0] > 500.01) & (network.xy_m[:, 0] < 509.99))
    assert not network.mask(GRID)[:, 50].any()


def test_the_mask_holds_every_cell_passed() -> None:
    mask = weave_trails(GRID, [across(505.0)]).mask(GRID)
    assert np.array_equal(np.unique(np.nonzero(mask)[0]), [49])
    assert mask[49, 10:90].all()


def test_no_trails_make_an_empty_network() -> None:
    network = weave_trails(GRID, [])
    assert network.edges.shape == (0, 2)
    assert not network.mask(GRID).any()


def test_a_bridge_meets_other_ways_at_its_ends_only() -> None:
    deck = shapely.LineString([(450.0, 500.0), (550.0, 500.0)])
    west, east = across(500.0, 100.0, 450.0), across(500.0, 550.0, 900.0)
    below = shapely.LineString([(500.0, 100.0), (500.0, 900.0)])
    water = np.zeros(GRID.shape, dtype=bool)
    water[46:54, 46:54] = True
    graph = as_networkx(weave_trails(GRID, [west, east], [below], water=water, apart=WaysApart(raised=[deck])))
    parts = sorted(nx.connected_components(graph), key=len)
    assert len(parts) == 2  # neither joined where they cross, nor cut by the water below the bridge
    assert sum(d["length_m"] for _, _, d in graph.subgraph(parts[0] | parts[1]).edges(data=True)) > 1400


def test_a_trail_ends_at_a_motorway_and_a_road_leads_across() -> None:
    motorway = shapely.LineString([(100.0, 500.0), (900.0, 500.0)])
    north_south = shapely.LineString([(300.0, 100.0), (300.0, 900.0)])
    apart = WaysApart(motorways=[motorway])
    by_trail = weave_trails(GRID, [north_south], apart=apart)
    by_road = weave_trails(GRID, [], [north_south], apart=apart)
    ends = by_trail.xy_m[by_trail.edges]
    assert not shapely.intersects(shapely.linestrings(ends), motorway).any()
    assert nx.number_connected_components(as_networkx(by_trail)) == 2
    assert nx.number_connected_components(as_networkx(by_road)) == 1


def test_a_bad_tread_slows_its_own_pieces_only() -> None:
    muddy, firm = across(500.0), across(700.0)
    network = weave_trails(GRID, [muddy, firm], apart=WaysApart(slow=[muddy], slow_factor=1.5))
    middles = network.xy_m[network.edges].mean(axis=1)
    assert network.tread is not None
    assert set(network.tread[middles[:, 1] < 600]) == {1.5}
    assert set(network.tread[middles[:, 1] > 600]) == {1.0}


def test_a_street_beside_a_closed_parcel_stays_whole_and_one_into_it_ends_at_its_edge() -> None:
    parcel = shapely.box(200.0, 504.0, 400.0, 700.0)  # its edge lies in the cells of the street
    street, drive = across(502.0), shapely.LineString([(300.0, 502.0), (300.0, 650.0)])
    network = weave_trails(GRID, [], [street, drive], apart=WaysApart(closed=[parcel]))
    ends = shapely.linestrings(network.xy_m[network.edges])
    assert network.length_m.sum() == pytest.approx(800.0 + 2.0, abs=0.1)
    assert not (shapely.length(shapely.intersection(ends, parcel)) > 0).any()
    assert network.cut == 1


def test_a_closed_line_is_a_fence_that_no_way_and_no_link_crosses() -> None:
    fence = shapely.LineString([(500.0, 100.0), (500.0, 900.0)])
    network = weave_trails(GRID, [across(505.0)], apart=WaysApart(closed=[fence]))
    assert nx.number_connected_components(as_networkx(network)) == 2
    assert not shapely.intersects(shapely.linestrings(network.xy_m[network.edges]), fence).any()
