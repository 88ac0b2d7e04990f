"""Wet ground and its pace, however the layers draw it."""

import numpy as np
import pytest
import shapely

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.science.gait import gait_named
from hushwalk.site.reading.cover_kinds import cover_kinds, kind_by_key
from hushwalk.site.reading.narrow_areas import middle_line
from hushwalk.site.surfaces import houses_drawn, pace_over, wet_ground
from hushwalk.walking.graph import build_graph
from hushwalk.walking.ground import build_ground
from hushwalk.walking.times import travel_times

GRID = Grid(32615, 0.0, 600.0, 10.0, 60, 60)
SWAMP = shapely.box(200.0, 0.0, 300.0, 600.0)


def test_wetlands_cost_what_the_same_ground_costs_as_cover() -> None:
    nothing = np.zeros(GRID.shape, dtype=bool)
    wet = wet_ground([SWAMP], None, GRID)
    assert wet[:, 20:30].all()
    assert wet.sum() == 600
    pace = pace_over(np.ones(GRID.shape), wet, nothing)
    as_cover = {kind.pace_factor for kind in cover_kinds().values() if kind.wet and kind.walkable and not kind.forest}
    assert set(pace[wet]) == as_cover == {2.5}
    assert set(pace[~wet]) == {1.0}


def test_a_private_way_is_dear_to_follow() -> None:
    private = np.zeros(GRID.shape, dtype=bool)
    private[30, :] = True
    assert pace_over(np.ones(GRID.shape), np.zeros(GRID.shape, dtype=bool), private)[30, 0] == 5.0


def test_a_wetland_narrower_than_a_cell_is_not_lost_and_wet_cover_counts() -> None:
    ditch = shapely.box(203.0, 0.0, 204.0, 600.0)
    assert wet_ground([ditch], None, GRID)[:, 20].all()
    cover = np.full(GRID.shape, kind_by_key("mixed_forest").code)
    cover[:, 5] = kind_by_key("alder_swamp").code
    cover[:, 6] = kind_by_key("open_water").code
    wet = wet_ground([], cover, GRID)
    assert wet[:, 5].all()
    assert not wet[:, 6].any()  # that is water, which nobody enters


def test_a_brook_given_as_an_area_is_waded_as_one_given_as_a_line() -> None:
    course = shapely.LineString([(-20.0, 290.0), (300.0, 310.0), (620.0, 297.0)])
    flat = Layer("elevation", "m", GRID, np.zeros(GRID.shape))
    posts = np.array([[305.0, 105.0], [305.0, 505.0]])
    area = course.buffer(2.0, cap_style="flat").intersection(shapely.box(*GRID.bounds))
    drawn = [course], middle_line(area)
    lines = [
        travel_times(build_graph(build_ground(flat, streams=streams), gait_named("rees")), posts).path(0, 1)
        for streams in drawn
    ]
    assert [line.fords for line in lines] == [1, 1]
    assert lines[0].seconds == pytest.approx(lines[1].seconds, rel=0.01)


def test_houses_known_as_points_are_drawn_as_squares() -> None:
    point, outline = houses_drawn([shapely.Point(5.0, 5.0), SWAMP])
    assert point.area == pytest.approx(144.0)
    assert outline is SWAMP
