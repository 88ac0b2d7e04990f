"""Where one may walk and stand, on made ground of 1 km2."""

import numpy as np
import pytest
import shapely

from hushwalk.files.vectors import Feature
from hushwalk.grid.grid import Grid
from hushwalk.site.passage import passage_of, traffic_lines
from hushwalk.site.reading.cover_kinds import kind_by_key
from hushwalk.site.reading.ways import WayTraits
from hushwalk.site.settings import HouseDistances
from hushwalk.wording.passage_words import passage_sentences

GRID = Grid(32615, 0.0, 1000.0, 10.0, 100, 100)
MIXED, BUILT = kind_by_key("mixed_forest").code, kind_by_key("developed").code


def way(n: float, **traits: object) -> Feature:
    line = shapely.LineString([(100.0, n), (900.0, n)])
    return Feature(line, traits=WayTraits(**traits))  # type: ignore[arg-type]


def centres() -> np.ndarray:
    rows, cols = np.indices(GRID.shape)
    return shapely.points(GRID.xy(rows.ravel(), cols.ravel())).reshape(GRID.shape)


def test_motorways_and_private_ways_are_left_out_and_bridges_stand_apart() -> None:
    roads = [
        way(100, kind="motorway"),
        way(200, kind="ramp", access="yes"),
        way(300, kind="driveway"),
        way(400, kind="street"),
        way(500, kind="street", level="bridge"),
    ]
    found = passage_of(
        {"roads": roads, "trails": [way(600, access="no"), way(700, kind="path", slow=True)]}, None, GRID
    )
    assert [line.bounds[1] for line in found.roads] == [400]
    assert [line.bounds[1] for line in found.trails] == [700]
    assert [line.bounds[1] for line in found.raised] == [500]
    assert [line.bounds[1] for line in found.slow] == [700]
    assert [line.bounds[1] for line in found.motorways] == [100, 200]
    assert found.facts.private_km == pytest.approx(1.6)
    assert found.facts.motorway_km == pytest.approx(1.6)
    assert found.facts.unsaid_km == pytest.approx(2.4)
    assert found.facts.unclassed_km == pytest.approx(0.8)  # the trail that nobody may walk tells no class


def test_with_leave_of_the_owners_private_ways_are_walked_as_any_other() -> None:
    ways = {"roads": [way(300, kind="driveway"), way(100, kind="motorway")], "trails": [way(600, access="no")]}
    shut, leave = passage_of(ways, None, GRID), passage_of(ways, None, GRID, leave=True)
    assert (shut.trails, shut.roads, leave.private.any()) == ((), (), False)
    assert shut.private.any()
    assert [line.bounds[1] for line in (*leave.roads, *leave.trails)] == [300, 600]
    assert [line.bounds[1] for line in leave.motorways] == [100]
    assert "private ways are crossed off the path" in " ".join(passage_sentences(shut.facts))
    assert "1.6 km of private ways are walked, as the trip file says" in " ".join(passage_sentences(leave.facts))
    assert "private ways are not walked" not in " ".join(passage_sentences(leave.facts))


def test_the_strip_of_a_motorway_is_not_entered_unless_it_runs_in_a_tunnel() -> None:
    over = passage_of({"roads": [way(505, kind="motorway")]}, None, GRID).bars["motorway"]
    assert over[47:52, 50].all()  # 30 m on either side
    assert not over[44, 50]
    assert not passage_of({"roads": [way(505, kind="motorway", level="tunnel")]}, None, GRID).barred.any()


def test_no_cell_that_touches_the_surroundings_of_a_house_is_open() -> None:
    homes = [Feature(shapely.box(480, 480, 495, 490)), Feature(shapely.Point(203.0, 703.0))]
    found = passage_of({"buildings": homes}, None, GRID)
    far_m = np.minimum(*(shapely.distance(centres(), one.geometry) for one in homes))
    half = GRID.cell_m * np.sqrt(0.5)
    assert (far_m[~found.bars["houses"]] >= 60.0 + GRID.cell_m / 2).all()
    assert (far_m[~found.no_stop] >= 100.0 + GRID.cell_m / 2).all()
    assert not found.no_stop[far_m > 101.0 + half].any()
    assert found.facts.houses == 2


def test_the_trip_file_may_say_other_distances() -> None:
    homes = {"buildings": [Feature(shapely.box(480, 480, 495, 490))]}
    none = passage_of(homes, None, GRID, HouseDistances(0.0, 0.0))
    assert not none.barred.any()
    assert not none.no_stop.any()
    wide = passage_of(homes, None, GRID, HouseDistances(300.0, 200.0))
    assert wide.bars["houses"].sum() > passage_of(homes, None, GRID).bars["houses"].sum()


def test_built_up_cover_is_not_crossed_but_along_a_road_it_is_the_road() -> None:
    cover = np.full(GRID.shape, MIXED)
    cover[46:55, 10:90] = BUILT  # 90 m wide round the road at 500
    cover[20:30, 60:80] = BUILT  # a hamlet
    found = passage_of({"roads": [way(500, kind="street")]}, cover, GRID)
    assert not found.bars["built-up"][46:55].any()
    assert found.bars["built-up"][20:30, 60:80].all()
    assert found.bars["houses"][15, 70]  # where no layer shows houses, built-up ground stands for them
    assert found.facts.houses is None
    assert found.facts.built_up_km2 == pytest.approx(0.02)


def test_without_roads_narrow_strips_of_built_up_cover_are_taken_for_roads() -> None:
    cover = np.full(GRID.shape, MIXED)
    cover[50:56, :] = BUILT
    cover[10:30, 10:30] = BUILT
    built = passage_of({}, cover, GRID).bars["built-up"]
    assert not built[50:56].any()
    assert built[12:28, 12:28].all()


def test_only_busy_roads_in_the_open_are_heard() -> None:
    roads = [way(100, kind="motorway"), way(200, kind="motorway", level="tunnel"), way(300, kind="street")]
    heard = traffic_lines({"roads": [*roads, way(400, kind="primary")]})
    assert {kind: len(lines) for kind, lines in heard.items()} == {"motorway": 1, "primary": 1}


def test_a_path_is_a_trail_whichever_layer_it_comes_in_and_a_street_a_road() -> None:
    found = passage_of(
        {"roads": [way(100, kind="path"), way(200)], "trails": [way(300, kind="street"), way(400)]}, None, GRID
    )
    assert sorted(line.bounds[1] for line in found.trails) == [100, 400]
    assert sorted(line.bounds[1] for line in found.roads) == [200, 300]


def test_the_rough_measure_differs_by_less_than_a_cell() -> None:
    homes = {"buildings": [Feature(shapely.box(480, 480, 495, 490))]}
    exact, rough = passage_of(homes, None, GRID), passage_of(homes, None, GRID, rough=True)
    far_m = shapely.distance(centres(), homes["buildings"][0].geometry)
    odd = exact.bars["houses"] != rough.bars["houses"]
    assert (np.abs(far_m[odd] - 60.0) < 1.5 * GRID.cell_m).all()
