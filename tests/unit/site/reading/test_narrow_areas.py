"""Water drawn as areas: a narrow one is crossed as a line is, a wide one is water."""

import pytest
import shapely

from hushwalk.site.reading.narrow_areas import mean_width_m, middle_line, split_by_width


def test_a_stream_of_four_metres_has_its_middle_line() -> None:
    course = shapely.LineString([(0, 0), (200, 30), (350, -40), (600, 0)])
    (line_m,) = [sum(part.length for part in middle_line(course.buffer(2.0, cap_style="flat")))]
    assert line_m == pytest.approx(course.length, rel=0.05)
    middle = shapely.union_all(middle_line(course.buffer(2.0, cap_style="flat")))
    assert shapely.hausdorff_distance(middle, course) < 3.0
    for x in range(20, 580, 7):  # no straight step over the stream slips through
        assert shapely.LineString([(x, -90), (x, 90)]).intersects(middle)


def test_a_trickle_is_drawn_by_its_banks() -> None:
    trickle = shapely.LineString([(0, 0), (300, 0)]).buffer(0.4, cap_style="flat")
    (banks,) = middle_line(trickle)
    assert banks.length == pytest.approx(trickle.length)


def test_a_pond_stays_an_area_and_its_narrow_outlet_becomes_a_line() -> None:
    pond = shapely.Point(0, 0).buffer(60)
    outlet = shapely.box(55, -2, 300, 2)
    wide, narrow = split_by_width(pond.union(outlet))
    assert sum(part.area for part in wide) == pytest.approx(pond.area, rel=0.02)
    assert [round(mean_width_m(part)) for part in narrow] == [4]
    assert sum(part.area for part in (*wide, *narrow)) == pytest.approx(pond.union(outlet).area)


def test_corners_of_a_wide_area_are_no_streams() -> None:
    wide, narrow = split_by_width(shapely.box(0, 0, 80, 80))
    assert narrow == []
    assert wide[0].area == pytest.approx(6400)
