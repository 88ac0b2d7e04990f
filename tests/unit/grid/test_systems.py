"""Reference systems: the way between them, and what a wrong one looks like."""

import numpy as np
import pytest

from hushwalk.errors import InputError
from hushwalk.grid.systems import (
    Box,
    boxes_in,
    carried,
    fitting_systems,
    name_of,
    outside_doubt,
    shift_doubt,
    system,
    transformer,
)

LON, LAT = -92.1, 46.79
GROUND = Box(566_000.0, 5_180_000.0, 571_000.0, 5_185_000.0)  # round the place, in EPSG:32615


def test_east_comes_before_north_in_every_system() -> None:
    # worked example of UTM: 92 W is 1 degree east of the central meridian of zone 15, so x > 500 km
    found = carried(np.array([[LON, LAT]]), transformer("EPSG:4326", "EPSG:32615", LON, LAT))
    assert 500_000 < found[0, 0] < 600_000
    assert 5_100_000 < found[0, 1] < 5_300_000
    back = carried(found, transformer("EPSG:32615", "EPSG:4326", LON, LAT))
    np.testing.assert_allclose(back, [[LON, LAT]], atol=1e-9)


def test_a_box_across_the_antimeridian_becomes_two() -> None:
    way = transformer("EPSG:32601", "EPSG:4326", 180.0, 52.0)
    parts = boxes_in(Box(270_000, 5_760_000, 320_000, 5_790_000), way)
    assert len(parts) == 2
    assert parts[0].east == 180.0
    assert parts[1].west == -180.0


def test_a_system_that_is_none_is_refused_with_an_example() -> None:
    with pytest.raises(InputError, match="EPSG:26915"):
        system("utm zone fifteen")


def test_the_old_datum_is_doubted_and_the_usual_ones_are_not() -> None:
    # accuracies are those that the EPSG registry states for its operations: NAD83 to WGS 84 (1) 4 m, NAD27 5..20 m
    assert shift_doubt("EPSG:26715", "EPSG:32615", LON, LAT).startswith("its datum (EPSG:26715")
    assert shift_doubt("EPSG:5070", "EPSG:32615", LON, LAT) == ""
    assert shift_doubt("EPSG:4326", "EPSG:32615", LON, LAT) == ""
    nameless = "+proj=utm +zone=15 +ellps=GRS80 +units=m +type=crs"
    assert "does not say on which datum" in shift_doubt(nameless, "EPSG:32615", LON, LAT)


def test_a_system_meant_for_another_country_is_doubted() -> None:
    # EPSG:6367 is Mexico's; its numbers are those of UTM 12, so a file labelled with it fits in Utah too
    assert "Mexico" in outside_doubt("EPSG:6367", -113.0, 37.3)
    assert outside_doubt("EPSG:32612", -113.0, 37.3) == ""


@pytest.mark.parametrize("code", ["EPSG:26915", "EPSG:26916", "EPSG:5070", "EPSG:3857", "EPSG:4326"])
def test_bare_numbers_are_recognised(code: str) -> None:
    box = boxes_in(GROUND, transformer("EPSG:32615", code, LON, LAT))[0]
    assert code in fitting_systems(box, GROUND, 32615, LON, LAT)


def test_numbers_that_fit_nowhere_fit_nowhere() -> None:
    assert fitting_systems(Box(1e7, 1e7, 1.1e7, 1.1e7), GROUND, 32615, LON, LAT) == ()


def test_names_are_short() -> None:
    assert name_of("EPSG:26915") == "EPSG:26915 (NAD83 / UTM zone 15N)"
    assert name_of("+proj=aea +lat_1=20 +lat_2=60 +datum=NAD83 +type=crs").startswith("unnamed, Albers")
