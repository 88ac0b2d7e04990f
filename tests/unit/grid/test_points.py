"""Places read and written."""

import numpy as np
import pytest

from hushwalk.errors import PlaceError
from hushwalk.grid.points import convergence_deg, lonlat_text, parse_place, to_lonlat, to_metres, usng_text, utm_text

PLACE = (-92.1, 46.79)


@pytest.mark.parametrize(
    "text",
    [
        "46.79, -92.10",
        "46.79 -92.10",
        "46.79;-92.1",
        "+46.79, \u221292.10",  # the true minus sign
        "46.79 \u201392.10",  # a dash, as a text program makes it
        "46.79N 92.10W",
        "46.79° N, 92.10° W",
        "N46.79 W92.10",
        "92.10 W, 46.79 N",
        "46 47.4 N 92 6.0 W",
        "46° 47.4' N, 92° 06.0' W",
        "46°47.4\u2032N 92°06.0\u2032W",
        "46 47.4 -92 6.0",
        "46°47'24\"N 92°06'00\"W",
        "46° 47\u2032 24\u2033, \u221292° 6\u2032 0\u2033",
        "n46 47 24 w92 06 00",
        "N46 47.4 W92.1",
    ],
)
def test_degrees_are_read_in_every_common_way(text: str) -> None:
    assert parse_place(text) == pytest.approx(PLACE, abs=1e-9)


@pytest.mark.parametrize(
    "text",
    [
        "15T 568690 5182221",
        "15 T 568690 5182221",
        "15t 568690.0 5182221.0",
        "15T 568690E 5182221N",
        "15T 568690 m E, 5182221 m N",
        "15N 568690 5182221",
        "UTM 15 north 568690 5182221",
        "zone 15T 568690, 5182221",
        "15T WM 68690 82221",
        "15TWM6869082221",
        "15T WM 6869082221",
        "15twm 68690 82221",
    ],
)
def test_utm_and_usng_are_read(text: str) -> None:
    assert to_metres(32615, parse_place(text)) == pytest.approx([568690, 5182221], abs=0.51)


def test_the_middle_of_a_coarse_square_is_given() -> None:
    for text, middle in [
        ("15T WM 6869 8222", (568695, 5182225)),
        ("15TWM686822", (568650, 5182250)),
        ("15TWM 68 82", (568500, 5182500)),
        ("15TWM6882", (568500, 5182500)),
    ]:
        assert to_metres(32615, parse_place(text)) == pytest.approx(middle, abs=0.01), text


def test_the_letter_s_is_band_s_in_the_north_and_else_the_southern_half() -> None:
    assert parse_place("18S 323483 4306479")[1] == pytest.approx(38.889, abs=0.001)
    assert parse_place("55S 500000 5250000")[1] < -40
    assert parse_place("18 south 323483 4306479")[1] < -50
    assert parse_place("55G 500000 5250000")[1] < -40


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("-92.10, 46.79", r"latitude -92\.1 .*did you mean .46\.79, -92\.1"),
        ("46.79, -192.1", "longitude -192.1 is not in -180..180"),
        ("95 N 200 W", "latitude 95 is not in"),
        ("", "understood are degrees"),
        ("by the old bridge", "understood are degrees"),
        ("46.79", "understood are degrees"),
        ("W 92.10 46.79", "understood are degrees"),
        ("46,79 -92,10", "understood are degrees"),
        ("46.79, nan", "understood are degrees"),
        ("46.79, -92.10, 300", "understood are degrees"),
        ("46 61.0 N 92 6 W", "below 60"),
        ("46.5 30 N 92 6 W", "only the last"),
        ("46 47.4 20 N 92 6 W", "only the last"),
        ("46.79 N 92.10 S", "gives N and S"),
        ("-46.79 S 92.10 W", "direction twice"),
        ("N46.79N W92.1", "understood are degrees|direction twice"),
        ("61T 568690 5182221", "zones run from 1 to 60"),
        ("15P 568690 5182221", "band T, not P"),
        ("15I 568690 5182221", "understood are degrees"),
        ("15T 568690 9999999999", "understood are degrees"),
        ("15N 568690 9900000", "beyond the ends of UTM"),
        ("15T WM 68690 8222", "5 and 4"),
        ("15T WM 6869082", "7 and 0"),
        ("15T WM", "0 and 0"),
        ("15T ZZ 68690 82221", "understood are degrees|no square"),
        ("15T AM 68690 82221", "no square AM in zone 15T"),
    ],
)
def test_what_cannot_be_a_place_is_told(text: str, said: str) -> None:
    with pytest.raises(PlaceError, match=said) as fault:
        parse_place(text)
    assert repr(text) in str(fault.value)


def test_texts_are_read_back_as_the_same_place() -> None:
    rng = np.random.default_rng(4)
    for lon, lat in zip(rng.uniform(-180, 180, 200), rng.uniform(-79, 83, 200), strict=True):
        assert parse_place(lonlat_text((lon, lat))) == pytest.approx((lon, lat), abs=0.0005 / 60 + 1e-9)
        for digits in (4, 6, 8, 10):
            text = usng_text((lon, lat), digits)
            assert usng_text(parse_place(text), digits) == text
            assert parse_place(text.replace(" ", "")) == parse_place(text)


def test_whole_metres_keep_their_text() -> None:
    east, north = np.meshgrid(np.arange(560_000, 561_000, 97.0), np.arange(5_180_000, 5_181_000, 97.0))
    for xy in np.stack([east.ravel(), north.ravel()], axis=-1):
        text = utm_text(32615, xy)
        assert text == f"15T {int(xy[0])} {int(xy[1])}"
        assert utm_text(32615, to_metres(32615, parse_place(text))) == text
        assert usng_text(to_lonlat(32615, xy)).split()[2:] == [f"{int(v) % 100_000:05d}" for v in xy]


def test_minutes_carry_into_the_next_degree() -> None:
    assert lonlat_text((-92 - 59.99996 / 60, 46 + 59.99996 / 60)) == "N47° 00.000' W093° 00.000'"
    assert lonlat_text((5.5, -3.25)) == "S03° 15.000' E005° 30.000'"


def test_what_cannot_be_written_is_told() -> None:
    with pytest.raises(PlaceError, match="got 7"):
        usng_text(PLACE, digits=7)
    with pytest.raises(PlaceError, match="no UTM zone"):
        usng_text((0.0, 85.0))
    with pytest.raises(PlaceError, match="EPSG:5070 is not UTM"):
        utm_text(5070, (0.0, 0.0))


def test_metres_and_degrees_are_inverse() -> None:
    xy = np.array([[480_000.0, 5_200_000.0], [520_000.0, 5_300_000.0]])
    assert to_metres(32615, to_lonlat(32615, xy)) == pytest.approx(xy, abs=1e-6)
    assert to_metres(32615, PLACE).shape == (2,)


def test_points_that_cannot_be_projected_are_told() -> None:
    with pytest.raises(PlaceError, match=r"1 point.*nan, 46"):
        to_metres(32615, [[-92.1, 46.79], [np.nan, 46.0]])
    with pytest.raises(PlaceError, match="shape"):
        to_metres(32615, [1.0, 2.0, 3.0])
    with pytest.raises(PlaceError, match="not projected"):
        to_metres(4326, [0.0, 0.0])
    with pytest.raises(PlaceError, match="not a reference system"):
        to_metres(999_999, [0.0, 0.0])


def test_convergence_is_the_bearing_error_of_a_step_along_grid_north() -> None:
    """A geodesic along one kilometre of grid north shows true azimuth = convergence (closed form of the definition)."""
    from pyproj import Geod  # noqa: PLC0415

    for epsg, xy in [(32615, (568_690.0, 5_182_221.0)), (32616, (280_000.0, 5_250_000.0))]:
        start, end = to_lonlat(epsg, [xy, (xy[0], xy[1] + 1000)])
        azimuth, _, _ = Geod(ellps="WGS84").inv(*start, *end)
        assert float(convergence_deg(epsg, xy)) == pytest.approx(azimuth, abs=2e-4)
