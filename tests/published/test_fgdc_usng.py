"""United States National Grid and UTM zones against FGDC-STD-011-2001 and the rules of NGA.SIG.0012.

The strings of the Washington Monument are the standard's worked example. The further rows were worked out with the
open library GEOTRANS as wrapped by mgrs 1.6.0 (the program under test uses the same wrapper for the letters, so the
rows check zone, letters and cutting here, and pyproj checks the metres).
"""

import pytest
from pyproj import Transformer

from hushwalk.errors import PlaceError
from hushwalk.grid.points import parse_place, to_metres, usng_text, utm_epsg

MONUMENT = (-77.0352402156242, 38.889467309501576)  # E 323 483.168, N 4 306 479.498 on NAD83, zone 18


def test_the_worked_example_of_the_standard() -> None:
    assert usng_text(MONUMENT, 10).replace(" ", "") == "18SUJ2348306479"
    assert usng_text(MONUMENT, 8).replace(" ", "") == "18SUJ23480647"
    assert usng_text(MONUMENT, 6).replace(" ", "") == "18SUJ234064"
    assert usng_text(MONUMENT, 4).replace(" ", "") == "18SUJ2306"
    assert usng_text(MONUMENT) == "18S UJ 23483 06479"


def test_the_worked_example_read_back() -> None:
    assert to_metres(32618, parse_place("18SUJ2348306479")) == pytest.approx((323_483.5, 4_306_479.5), abs=0.01)
    assert to_metres(26918, MONUMENT) == pytest.approx((323_483.168, 4_306_479.498), abs=0.002)


@pytest.mark.parametrize(
    ("lonlat", "text"),
    [
        ((-92.10, 46.79), "15TWM6869082221"),
        ((-77.9, 40.8), "18TTL5535420602"),
        ((-114.1, 54.0), "11UPV9006887414"),
        ((44.4, 33.3), "38SMB4414084706"),
        ((-147.72, 64.84), "06WVS6584490817"),
        ((-90.0, 47.0), "16TBT7193009532"),  # the seam belongs to the eastern zone
        ((-90.0000001, 47.0), "15TYN2806909532"),
    ],
)
def test_references_on_both_sides_of_a_seam(lonlat: tuple[float, float], text: str) -> None:
    assert usng_text(lonlat).replace(" ", "") == text
    zone = int(text[:2])
    east, north = Transformer.from_crs(4326, 32600 + zone, always_xy=True).transform(*lonlat)
    assert (f"{int(east) % 100_000:05d}", f"{int(north) % 100_000:05d}") == (text[5:10], text[10:])
    assert utm_epsg(*lonlat) == 32600 + zone


@pytest.mark.parametrize(
    ("lonlat", "epsg"),
    [
        ((3.0, 60.0), 32632),  # 32V reaches west to 3 E
        ((2.999, 60.0), 32631),
        ((3.0, 64.0), 32631),
        ((20.0, 78.0), 32633),  # 31X, 33X, 35X, 37X share Svalbard; 32X, 34X, 36X are not used
        ((8.999, 78.0), 32631),
        ((9.0, 78.0), 32633),
        ((21.0, 78.0), 32635),
        ((33.0, 78.0), 32637),
        ((42.0, 78.0), 32638),
        ((20.0, 71.999), 32634),
        ((-180.0, 10.0), 32601),
        ((180.0, 10.0), 32601),
        ((179.999, -10.0), 32760),
        ((0.0, 0.0), 32631),
    ],
)
def test_the_zones_of_the_world(lonlat: tuple[float, float], epsg: int) -> None:
    assert utm_epsg(*lonlat) == epsg


@pytest.mark.parametrize("lonlat", [(0.0, 84.01), (0.0, -80.01), (181.0, 0.0), (float("nan"), 0.0)])
def test_beyond_the_ends_there_is_no_zone(lonlat: tuple[float, float]) -> None:
    with pytest.raises(PlaceError, match="no UTM zone"):
        utm_epsg(*lonlat)
