import pytest

from hushwalk.errors import InputError
from hushwalk.logs.skyline_points import skyline_points, skyline_text


def test_points_in_degrees_and_in_fists() -> None:
    assert skyline_points("60 14; 80: 12.5, 100 1f") == ((60.0, 14.0), (80.0, 12.5), (100.0, 10.0))
    assert skyline_points("") == ()


def test_each_azimuth_is_turned_by_the_north_that_it_counts_from() -> None:
    """Declination 3 degrees west: a compass shows 3 degrees more than true north."""
    turn = {"M": -3.0, "T": 0.0, "": -3.0}
    got = skyline_points("M60 14, 80T 12, 1 5", lambda azimuth, north: azimuth + turn[north])
    assert got == ((57.0, 14.0), (80.0, 12.0), (358.0, 5.0))


def test_what_was_read_is_written_as_it_is_read_again() -> None:
    points = ((57.3, 14.0), (358.0, -2.5))
    assert skyline_points(skyline_text(points)) == points


@pytest.mark.parametrize("text", ["60", "east 14", "400 10", "60 95", "60 14 20", "6.0.0 12", "60 12f"])
def test_what_cannot_be_is_told_with_how_to_write_it(text: str) -> None:
    with pytest.raises(InputError, match="such as '60 14, 80 12'"):
        skyline_points(text)
