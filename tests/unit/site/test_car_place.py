"""A car in water or far from any road is noticed, and the nearest road is named."""

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely

from hushwalk.files.vectors import Feature
from hushwalk.grid.grid import Grid
from hushwalk.grid.points import to_lonlat
from hushwalk.morning.warnings import Trouble, car_doubt
from hushwalk.site.car_place import nearest_road
from hushwalk.site.reading.ways import WayTraits
from hushwalk.wording.warning_words import warning_sentence

GRID = Grid(32615, 500_000, 5_200_000, 10, 100, 100)
ROAD = shapely.LineString([(500_000, 5_199_800), (501_000, 5_199_800)])  # 300 m north of the middle
MIDDLE = (500_505.0, 5_199_495.0)


def site_with(*, roads: tuple[Any, ...] = (), tracks: tuple[Any, ...] = (), car: tuple[float, float] = MIDDLE) -> Any:
    water = np.zeros(GRID.shape, dtype=bool)
    water[60:, :] = True  # south of 5,199,400
    trails = tuple(Feature(line, traits=WayTraits("track")) for line in tracks)
    trails += (Feature(shapely.Point(car).buffer(5).exterior, traits=WayTraits("path")),)
    inputs = SimpleNamespace(features={"trails": trails}, shapes=lambda kind: roads if kind == "roads" else ())
    return cast(
        "Any",
        SimpleNamespace(grid=GRID, car=SimpleNamespace(xy_m=car), ground=SimpleNamespace(water=water), inputs=inputs),
    )


def test_the_nearest_road_or_track_is_found_and_a_path_is_none() -> None:
    found = nearest_road(site_with(roads=(ROAD,)))
    assert found is not None
    assert (found.far_m, found.azimuth_deg) == (pytest.approx(305.0), pytest.approx(0.0))
    there = to_lonlat(GRID.epsg, np.array([MIDDLE[0], 5_199_800.0])).tolist()
    assert [found.lon_deg, found.lat_deg] == pytest.approx(there)
    track = shapely.LineString([(500_600, 5_199_400), (500_600, 5_199_600)])
    nearer = nearest_road(site_with(roads=(ROAD,), tracks=(track,)))
    assert nearer is not None
    assert (nearer.far_m, nearer.azimuth_deg) == (pytest.approx(95.0), pytest.approx(90.0))
    assert nearest_road(site_with()) is None


def test_a_car_beside_a_road_is_right_and_one_far_off_gets_the_likely_mend() -> None:
    assert car_doubt(site_with()) == ()  # no layer of roads: nothing is known
    assert car_doubt(site_with(roads=(ROAD,), car=(500_505.0, 5_199_705.0))) == ()
    (warning,) = car_doubt(site_with(roads=(ROAD,)))
    assert warning.trouble is Trouble.OFF_ROAD
    assert "the nearest road is 305 m N, at 46.9" in warning_sentence(warning)


def test_a_car_in_water_is_noticed_unless_a_road_runs_there() -> None:
    at = (500_505.0, 5_199_385.0)
    (warning,) = car_doubt(site_with(roads=(ROAD,), car=at))
    assert warning.trouble is Trouble.IN_WATER
    words = warning_sentence(warning)
    assert words.startswith("Car in water: the layers show open water where it stands; the nearest road is 415 m N, at")
    (alone,) = car_doubt(site_with(car=at))
    assert warning_sentence(alone).endswith("where it stands; look at place.car.")
    along = shapely.LineString([(500_000, 5_199_390), (501_000, 5_199_390)])
    assert car_doubt(site_with(roads=(along,), car=at)) == ()
